"""Several photos of one piece make one judgement: where each mark lies on the piece, and on the glass or in it."""

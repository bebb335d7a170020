"""From facts about a piece to its grade; knows nothing of pixels."""

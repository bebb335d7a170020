"""Reports to hand over: what they say as blocks of a document, and documents as PDF and as HTML."""

"""The owner's collection: a plain folder, one folder a piece, and what can be asked of it."""

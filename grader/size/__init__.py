"""Sizes of the piece in millimetres, with their uncertainty by cause."""

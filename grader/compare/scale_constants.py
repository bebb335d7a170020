"""Numbers of the scale that a piece gives to a photo without a card."""

U_VIEW_RATIO = 0.03
"""Relative standard uncertainty of a length by the piece's width where the camera's slant is not known.
Source: a camera that leans by 15 degrees shortens lengths by 3 % one way."""

USUAL_NEARNESS = 0.2
"""One over the camera's distance from the widest ring, in widths of the piece.
Source: phones are held some 30 to 50 cm above pieces of 60 to 100 mm: 3.5 to 8 widths, in the middle 5."""

U_NEARNESS = 0.05
"""Its standard uncertainty. Source: rectangular from 3.5 to 8 widths and beyond."""

LINE_STEPS = 12
"""Points at which a line's way over the glass is measured. Source: a chord between two is within 0.1 % of an arc of
ten degrees."""

"""Numbers of the scale that a piece gives to a photo without a card."""

U_VIEW_RATIO = 0.03
"""Relative standard uncertainty of a length by the piece's width where slant and nearness of the camera are not known.
Source: a camera that leans by 15 degrees shortens lengths by 3 % one way, and from five widths away the top of the
dome, half a width nearer, is 10 % larger than its rim; marks lie between."""

"""Numbers of the review."""

U_DRAWN_PX = 1.5
"""Standard uncertainty of a size from where a person draws the edges, px of the photo. Source: estimate of this
project: one to two px of a picture looked at in full size."""

U_DRAWN_RATIO = 0.03
"""Relative standard uncertainty of a drawn size from how far the mark reaches and the dome's true shape. Source: median
error of 23 scratches drawn on the first of every two rendered photos (tests/benchmark/review_sizes.py --every 2)."""

U_TYPED_WIDTH_RATIO = 0.2
"""Relative standard uncertainty of a width that the person states. Source: estimate; a width of a tenth of a millimetre
is read off a loupe's scale to a fifth of itself."""

ASSUMED_WIDTH_RATIO = 0.002
"""Width of a line whose width nobody states, as a share of the piece's largest width. Source: convention of this
project, 0.14 mm on a piece of 70 mm, two thirds of the scratch to which the rules v1 refer."""

U_ASSUMED_WIDTH_RATIO = 0.5
"""Relative standard uncertainty of that. Source: scratches are half to twice as wide."""

U_RECORD_SCALE_RATIO = 0.05
"""Relative standard uncertainty of the scale at a place where only the record is at hand. Source: see DEVELOPERS,
"The review": against the surface that was fitted to the photo."""

LEAST_PULL_RATIO = 0.2
"""Least reach of a mark from the middle, as a share of the radius, by which the card's turn in the photo is told.
Source: an error of 0.03 of the radius in the place then is 9 degrees, a third of an hour."""

BAND_ELONGATION = 3.0
"""An outline at least so many times as long as wide is measured along itself, as a band. Source: below it, a band and
an ellipse of equal area differ by less than a tenth in length."""

OUTLINE_STEP_PX = 2.0
"""Spacing at which a drawn line is laid onto the glass. Source: below U_DRAWN_PX times root two."""

MOST_POINTS = 500
"""Most points of a drawing. Source: convention; a hand sets some dozen, and crossings are sought pair by pair."""

LEAST_AREA_PX2 = 1.0
"""Least area of a drawn outline. Source: one pixel."""

SAME_SCORE_POINTS = 0.05
"""Scores nearer than this are told as the same. Source: half of the last place that the record keeps."""

WORTH_TELLING_POINTS = 0.05
"""Costs nearer than this are told as the same. Source: see SAME_SCORE_POINTS."""

MOST_REASON_LETTERS = 500
"""Longest reason of an act. Source: convention, some eight lines."""

SAME_PLACE_RATIO = 0.5
"""Share of the smaller of two boxes round marks, in one photo, that the other covers when they are of one mark. Source:
chosen: the same mark found again in the same photo has the same outline; neighbours share corners of their boxes."""

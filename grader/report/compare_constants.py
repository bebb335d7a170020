"""Numbers of the pictures and the page of a comparison.

Lengths ending in ``_u`` are in thousandths of the piece's width in the picture.
"""

from grader.compare.change import ChangeName

CHANGE_COLOURS: dict[ChangeName, tuple[int, int, int]] = {
    'new': (213, 94, 0),
    'grown': (230, 159, 0),
    'unchanged': (190, 190, 190),
    'gone': (86, 180, 233),
    'not visible then': (204, 121, 167),
    'not visible now': (204, 121, 167),
}
"""Colour of each change. Source: M. Okabe and K. Ito, Color Universal Design (2008), for colour-blind readers."""

PANEL_PIECE_PX = 900.0
"""Width of the piece in each of the two pictures. Source: two of them and their tags fill a 2400 px wide sheet."""
PANEL_GAP_U = 20.0
"""Between the two pictures. Source: as wide as a margin of text."""
PANEL_RING_U, PANEL_RING_STEP_U = 62.0, 54.0
"""First ring of signs outside the circle round the piece, and the next. Source: clear of the clock's numerals."""
SIGN_RADIUS_U = 22.0
"""Size of a sign. Source: two digits fit."""
EMPTY_PLACE_RADIUS_U = 16.0
"""Circle round the place of a mark that is not there. Source: twice the least circle round a mark, so told apart."""

DETAIL_RATIO = 0.12
"""Width of a detail, as a share of the piece's. Source: a cane of the usual size fits, with what lies round it."""
DETAIL_U = 150.0
"""Its width in the picture. Source: six pairs fit in a row below the pictures."""
DETAILS_MOST = 6
"""Most pairs of details. Source: a row; more convince nobody further."""
DETAILS_ALIKE = 0.5
"""Details more alike than this are shown as agreeing. Source: half way to the same picture."""
DETAILS_APART_MOST = 4
"""Of two different pieces, most pairs that differ. Source: leaves two that are the most alike."""

CHANGES_DRAWN_MOST = 40
"""Most changes drawn. Source: more signs than that cannot be followed with the eye."""

VIEWER_PX = 1000
"""Least width of the pictures that lie over each other in the page. Source: as wide as they are shown on a screen."""
VIEWER_MOST_PX = 1800
"""Their greatest width: as fine as the photo, but not more. Source: a page of two such pictures is about 2 MB."""
VIEWER_MARGIN_RATIO = 0.03
"""Room round the piece in them. Source: the rim stays in sight."""
CLOSE_UP_PX = 240
"""Width of the two pictures of a change in the page. Source: two lie side by side on a phone."""
CLOSE_UP_REACH = 3.0
"""They show so many times the mark's extent. Source: its surroundings are needed to see the design agree."""
CLOSE_UP_LEAST_RATIO = 0.08
"""They show at least this share of the piece's width. Source: half a cane of the usual size on each side."""
CLOSE_UPS_MOST = 30
"""Most changes with pictures of their own. Source: 30 pairs are about 1 MB of the page."""
PAGE_JPEG_QUALITY = 88
"""JPEG quality of the pictures in the page. Source: no ringing round fine scratches when looked at on a screen."""

MAP_STEP_PX = 4
"""The place of every such pixel is computed, those between follow. Source: places on a dome bend by less than 0.05 px
over 4 px of 1000."""
LEAST_FACING = 0.08
"""Glass that faces the camera less is not drawn over. Source: pixels there are stretched tenfold and more."""
GAIN_QUANTILE = 0.6
"""Share of the glass that is darker than the light that is evened. Source: above dark ground, below mirrored lamps."""
GAIN_RANGE = (0.25, 4.0)
"""Pictures are made lighter or darker at most so much. Source: two stops; beyond, grain is all that comes up."""
LEGEND_LEAST_U = 200.0
"""Least height of the list below the pictures. Source: two or three entries; it grows until all fit in its columns."""
GAIN_PIECE_PX = 250.0
"""Width of the piece in the pictures whose light is compared. Source: 50,000 px of glass tell its light well."""
CLOSE_UP_SHOWN_RATIO = 0.3
"""Share of a close-up that the other photo must show for it to be drawn. Source: less is no surroundings of a mark."""
VIEWER_LINE_POINTS = 40
"""Points of a line in the page, about. Source: a circle of 40 corners looks round."""
LEAST_LOG_ODDS = 0.7
"""Findings of less weight are told to weigh little. Source: odds of two to one, as a natural logarithm."""

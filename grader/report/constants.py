"""Numbers of the annotated picture.

Lengths ending in ``_u`` are in thousandths of the piece's width in the picture, so that text and lines keep their
proportion whatever the photo's size.
"""

from grader.marks.mark import MarkKind

PIECE_LEAST_PX, PIECE_MOST_PX = 1000.0, 1500.0
"""Smaller pieces are enlarged to this width, larger ones reduced. Source: text of 24 u then is 24 to 36 px tall."""

ENLARGE_MOST = 8.0
"""Small pieces are enlarged no further. Source: a piece of 125 px is then 1000 px wide; smaller ones show nothing."""

UNITS_PER_PIECE = 1000.0
"""One u is this part of the piece's width. Source: convenience of whole numbers below."""

COLOURS = {
    MarkKind.SCRATCH: (230, 159, 0),
    MarkKind.CHIP: (213, 94, 0),
    MarkKind.BUBBLE: (86, 180, 233),
    MarkKind.BRUISE: (204, 121, 167),
    MarkKind.DUST: (190, 190, 190),
}
"""Colour of each kind. Source: M. Okabe and K. Ito, Color Universal Design (2008), for colour-blind readers."""

INK = (24, 26, 30)
"""Text and dark halos. Source: near black; 17 to 1 against the paper."""
PAPER = (250, 250, 248)
"""Ground of the sheet and light halos. Source: near white."""
FAINT_INK = (88, 92, 100)
"""Second lines of text. Source: 6.5 to 1 against the paper, above the 4.5 to 1 of WCAG 2.1, 1.4.3."""
RULE_INK = (196, 198, 202)
"""Thin rules between parts of the sheet. Source: just visible."""

TITLE_SIZE_U, TEXT_SIZE_U, SMALL_SIZE_U, TAG_SIZE_U = 46.0, 25.0, 21.0, 24.0
"""Sizes of text. Source: at 1000 px a piece the smallest is 21 px, read on a screen at half size."""
LINE_GAP = 1.35
"""Distance of lines of text in sizes. Source: usual typesetting."""

FINE_LINE_U, HALO_LINE_U = 2.2, 4.6
"""Line over its halo. Source: tried on light, dark and busy pieces."""
DASH_U, DASH_GAP_U = 9.0, 7.0
"""Dashes of doubtful marks. Source: tried on marks of 1 to 25 mm."""
MARK_CLEARANCE_U, MARK_LEAST_RADIUS_U = 7.0, 10.0
"""Distance of a mark's drawn outline from the mark, and the least radius drawn. Source: the mark stays in sight."""
HATCH_STEP_U, HATCH_LINE_U, HATCH_RATIO = 16.0, 1.6, 0.55
"""Distance, width and strength of hatching lines. Source: a tenth of the glass is covered, faintly."""

TICK_FROM_U, TICK_TO_U, NUMERAL_U = 14.0, 26.0, 44.0
"""Clock ticks and numerals, outside the circle round the piece. Source: between silhouette and tags."""
RING_U, RING_STEP_U = 92.0, 58.0
"""First ring of tags outside the circle round the piece, and the next. Source: clear of the numerals."""
TAG_RADIUS_U, TAG_GAP_U = 24.0, 6.0
"""Size of a tag and room between two. Source: two digits of TAG_SIZE_U fit."""
MARGIN_U = 46.0
"""Picture beyond the last ring. Source: half a tag and room."""
ARROW_U, ARROW_HEAD_U = 36.0, 15.0
"""Arrows at the ends of a diameter. Source: as long as two heads and a half."""
CORNER_PAD_U = 14.0
"""Room round the text in a corner. Source: half a line of text."""
RINGS_MOST = 4
"""Most rings of tags. Source: some 200 tags; more marks than that no one counts."""
RING_FILL = 0.92
"""A ring is taken as full from here on. Source: leaves the tags room to stay near their marks."""

LEGEND_WIDTH_U, LEGEND_PAD_U = 640.0, 30.0
"""Width of a column of the legend, and its margins. Source: a line of some 50 letters."""
LEGEND_COLUMNS_MOST = 3
"""Most columns of the legend. Source: beyond, the picture would be less than half of the sheet."""
LEGEND_TALLER, LEGEND_GROWTH = 1.3, 1.05
"""The legend may be so much taller than the picture before it gets another column; step of its growth.
Source: a sheet no wider than 2 to 1 fits most screens."""
WIDTH_HINT_U = 70.0
"""Length of the dashes that show a width's direction inside the glass, at each end. Source: clear of the crown."""

DRAWN_CONFIDENCE = 0.25
"""Less likely marks are not drawn. Source: "possible" begins here, see the words for confidence."""
SCALE_BARS_MM = (1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Lengths of a scale bar. Source: round numbers."""
SCALE_BAR_RATIO = 0.16
"""The bar is the longest that is no longer than this share of the width. Source: fits in a corner."""
UNSEEN_LETTERS = 'ABCDEFGH'
"""Letters for reasons why parts could not be seen. Source: there are fewer reasons than letters."""

SCREEN_WIDTH = 96
"""Letters in a line on the screen. Source: the width of the record's table."""

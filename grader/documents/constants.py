"""Numbers of the reports: page, type, pictures."""

MARGIN_SIDE_MM, MARGIN_TOP_MM, MARGIN_BOTTOM_MM = 20.0, 22.0, 22.0
"""Margins of the text. Source: room for a punch and a clip; looked at on both papers."""
FOOT_MM, HEAD_MM = 12.0, 13.0
"""Distance of the running lines from the page's edge. Source: common printers reach 5 mm."""

TEXT_PT, SMALL_PT, TITLE_PT, HEAD_PT, SUBHEAD_PT, LEAD_PT = 9.5, 8.0, 24.0, 14.0, 10.5, 11.5
"""Sizes of type. Source: 8 pt of a wide sans-serif is read without effort at 40 cm."""
LEADING_RATIO = 1.42
"""Distance of lines in sizes of type. Source: usual typesetting."""

INK, FAINT_INK, ACCENT, RULE, WASH = '#1b1d20', '#5a5f66', '#1d5c63', '#c9cccf', '#f3f5f4'
"""Text, second text, accents, rules, ground of boxes. Source: 6 to 1 on white at least for text (WCAG 2.1, 1.4.3)."""

NUMBER_DIGITS = 12
"""Hexadecimal digits of a document's number. Source: 2^48; two of a million documents clash once in 500 cases."""
SHORT_HASH_DIGITS = 16
"""Digits of a hash at the foot of a page. Source: fits the line; the whole stands in the appendix."""

FIGURE_LEAST_RATIO = 0.62
"""A large picture may be shrunk so far to fit on the rest of a page. Source: 105 mm on A4; marks are still seen."""
CARD_NAME_LETTERS = 28
"""Letters of a file name below a small picture. Source: with the words after it, two lines of 52 mm."""
OTHER_FIGURE_RATIO = 0.72
"""Width of further large pictures, as a share of the text's. Source: 122 mm; one and a table fit on a page."""
PICTURE_JPEG_QUALITY = 90
"""Quality of pictures on the page. Source: no ringing round thin lines at 200 % (looked at)."""
PLAIN_PICTURE_PX = 900
"""Larger side of a plain picture beside the facts. Source: 300 dots an inch at 76 mm."""
THUMB_PX = 260
"""Larger side of a small picture in a table. Source: 300 dots an inch at 22 mm."""
WHOLE_PHOTO_PX = 1500
"""Larger side of a whole photo on the page. Source: 220 dots an inch on A4."""

CLOSE_UP_PX = 560
"""Side of a close-up. Source: 270 dots an inch at 52 mm."""
CLOSE_UP_ROOM = 2.0
"""Side of a close-up in lengths of its mark. Source: the mark fills half of it; its surroundings tell where it is."""
CLOSE_UP_LEAST_RATIO = 1 / 14
"""Least side of a close-up as a share of the piece's width. Source: 5 mm of a usual piece."""
CLOSE_UP_CLEARANCE_PX, CLOSE_UP_LEAST_RADIUS_PX = 16.0, 40.0
"""Distance of the thin line from the mark, and the radius of its least circle. Source: the mark stays free."""
CLOSE_UP_SMOOTH_PX = 12
"""Neighbours to each side over which the thin line is smoothed. Source: less than its distance from the mark."""
CLOSE_UP_LINE_PX, CLOSE_UP_HALO_PX = 2.0, 4.0
"""The thin line and its halo. Source: a third of a millimetre on the page."""
STRIP_PX, STRIP_TEXT_PX = 58, 30
"""Height of the strip with the scale bar, and of its words. Source: 8 pt at 52 mm."""
SCALE_BARS_MM = (0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 20.0, 50.0)
"""Lengths of a scale bar. Source: round numbers."""
SCALE_BAR_RATIO = 0.45
"""The bar is the longest that is no longer than this share of the picture. Source: leaves room for its words."""
SCALE_SHARES = (0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2)
"""Shares of the width that a scale bar may stand for where there are no millimetres. Source: round numbers."""
CLOCK_AGREEMENT = 0.97
"""Least agreement (mean resultant length) of the marks on where 12 o'clock is. Source: a spread of 14 degrees."""
MIN_TAG_CONFIDENCE = 0.25
"""Less likely marks are not shown. Source: as in the annotated picture, where "possible" begins."""
TURN_MATCHES_LEAST = 3
"""Details that tell how a piece is turned. Source: two fix a turn; a third shows whether they agree."""
TURN_AGREEMENT = 0.98
"""Least agreement (correlation) of details on a turn. Source: a spread of 11 degrees."""
TURN_LEAST_RAD = 0.02
"""Smaller turns between photos are not drawn. Source: a degree, which nobody sees."""
OVERVIEW_RATIO = 0.6
"""Width of the picture of one side, as a share of the text's. Source: 102 mm; both sides fit on a page."""

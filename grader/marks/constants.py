"""Numbers of the marks stage."""

from grader.marks.mark import MarkKind

CROP_MARGIN_PX = 24
"""Ground kept round the piece in its crop. Source: the margin of the training crops in fixtures/studio."""

NETWORK_STEP_PX = 16
"""Crop sides are multiples of this. Source: four halvings in fixtures/mark_net/network.py."""

LARGEST_SCALE_PX_PER_MM = 10.0
"""Finer photos are reduced to this scale. Source: coarsest at which a 0.1 mm scratch is 1 px wide."""

LARGEST_PIECE_PX = 1200.0
"""Larger pieces are reduced to this width. Source: time limit of 2 s a photo on one core."""

DEPTH_SCALE_PX = 40.0
"""Softness of the rim channel. Source: the value used in training, fixtures/mark_net/augment.py."""

RIM_REACH_PX = 160
"""How far beyond a crop's edges its rim is looked for. Source: four times DEPTH_SCALE_PX, where the channel ends."""

LOW_ODDS = 0.12
"""A region ends where the network's odds fall below this. Source: of 0.12 and 0.25 (the next: 0.25 and 0.4) the better
one on 63 rendered photos, by one point of average precision."""

PEAK_ODDS = 0.25
"""A region needs one pixel at least this sure. Source: see LOW_ODDS."""

LIKELY_PEAK = 0.5
"""Regions whose peak is above this are counted as likely company. Source: convention, even odds."""

SURE_PEAK = 0.95
"""Regions whose peak is above this are counted as sure company. Source: convention."""

MOST_SPREADS = 4.0
"""A feature further from its mean in spreads counts as no further. Source: convention against wild values."""

SHARPER, SURER = 1.3, 0.6
"""Factor of log chances, and what is then added to those of each kind: training crops are grainier than photos, so that
the same odds mean more in a photo. Source: one half of the pieces of 63 rendered photos; the expected calibration error
falls from 0.069 to 0.034 there and from 0.070 to 0.043 on the other half."""

SIDE_DOUBT = 1.5
"""Taken from the log chances of each kind in photos from the side. Source: 179 regions of 15 rendered side views kept
apart: there 0.82 meant 0.33 before, and from 1.5 on the likelihood hardly rises any more."""

MIN_REGION_PX = 4
"""Smaller regions are noise. Source: convention of this project, two px each way; not varied."""

PATH_STEP_PX = 6.0
"""Spacing of the points along a scratch. Source: long enough to hide pixel steps, short against its bends."""

LINE_END_PX = 1.0
"""What a skeleton loses at its two ends together. Source: half a px at each end."""

EDGE_ODDS = 0.5
"""A chip, bubble or line reaches as far as the odds are at least even. Source: convention; on 46 chips of rendered
photos it lowers the median error of the diameter from 14 % (whole region) to 9 %."""

U_EDGE_PX = 0.7
"""Standard uncertainty of a mark's size from where its edges are drawn.
Source: estimate of this project, about a px less its rounding."""

U_SIZE_RATIO = {
    MarkKind.SCRATCH: 0.15,
    MarkKind.CHIP: 0.13,
    MarkKind.BUBBLE: 0.25,
    MarkKind.BRUISE: 0.15,
    MarkKind.DUST: 0.25,
}
"""Relative standard uncertainty of a size from how far the network sees the mark. Source: relative errors that 68 % of
30 scratches, 46 chips, 47 bubbles and 7 bruises of rendered photos keep; that of dust is taken from bubbles."""

BUBBLE_MAGNIFICATION = 1.2
"""How much the dome enlarges a bubble. Source: paraxial refraction at a sphere, n/t - 1/t' = (n - 1)/R, m = n t'/t, for
n = 1.52 and depths t from 0.15 R to 0.85 R: m = 1.05 to 1.41."""

U_BUBBLE_MAGNIFICATION = 0.11
"""Relative standard uncertainty of that. Source: rectangular over the same range, 0.09, and rounded
up since the depths themselves are a guess."""

LEAST_CONFIDENCE = 0.05
"""Less likely marks are not reported at all. Source: convention; one in twenty is no finding."""

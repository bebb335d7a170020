"""Numbers of the comparison of two sides."""

USUAL_BLUR_PX = 0.8
"""Spread of light where the focus could not be read, px. Source: middle of the rendered photos, 0.5 to 1."""

USUAL_NOISE = 0.01
"""Noise where it could not be read, as a share of white. Source: middle of the rendered photos, 0.004 to 0.012."""

PIXEL_SPREAD_PX = 0.29
"""Spread of light by a pixel's own square, px. Source: standard deviation of a uniform distribution, 1 / sqrt(12)."""

# The look of a mark, carried over to another photo
GRID_STEP_PX = 6
"""Spacing of the pixels whose place on the glass is traced. Source: a dome of 400 px bends the mapping by less than
0.05 px between them."""

LOOK_MARGIN_PX = 26
"""Surroundings of a mark that are looked at, crop px. Source: about 4 mm, several times the width of most marks, so
that the texture round it can be told."""

LARGEST_WINDOW_PX = 320
"""Longer marks are looked at in so much of them, crop px. Source: time; a scratch of 40 mm."""

MASK_SOFT_PX = 0.7
"""Softness of a mark's edges, crop px. Source: spread of light in a photo."""

SUPPORT_GROW_PX = 4
"""What lies so close round a mark stands for the glass under it, crop px. Source: half a mm; not varied."""

LEAST_PIXELS = 30
"""Fewer pixels, or shifts, tell no spread. Source: a spread known to an eighth."""

CLIPPED_SHARE = 0.97
"""Share of the photo's white above which nothing can be added. Source: code 251 of 255."""

INNER_DEPTH_RATIOS = (0.0, 0.05, 0.1, 0.2, 0.35, 0.6, 0.9)
"""Depths behind the surface, in radii, at which a mark inside may lie. Source: from a crack just under the surface to
a bubble in the ground; parallax grows ever more slowly with depth."""

INNER_ROUNDS = 4
"""Rounds in which the pixel of a point inside is found. Source: each leaves less than half of the miss."""

INNER_LIKELY = 0.3
"""Marks at least this likely bubble or bruise are looked for inside the glass too. Source: INSIDE_ODDS of the sets."""

SEARCH_RATIO = 0.012
"""How far off its place a mark is looked for, in radii, besides the turn's doubt. Source: places of surface marks agree
within 0.1 degree where the turn is known; the rest is for outlines, 1 to 2 px."""

MOST_SEARCH_PX = 12
"""The same in crop px at most. Source: farther off, another mark begins."""

RING_STEPS = 360
"""Turns at which a place is looked for where the piece's turn is not sure. Source: a degree, less than the network's
reach on all but the widest pieces."""

# Could it have been seen?
SHOW_WEIGHTS = {
    'start': -6.12,
    'same light': 1.47,
    'from low light': 2.04,
    'confidence': 0.42,
    'stands out': 0.63,
    'facing': 4.65,
    'scale': 3.57,
    'blur': -2.46,
    'noise': -0.57,
    'hidden': -0.78,
}
"""Weights of the model of `could_show.py`. Source: logistic regression on 328 views of marks that later photos show, in
earlier photos of rendered pairs that have the mark too, half of these made coarser, blurred, noisy and compressed.
Fitted on every second piece and checked on the others, 2 of 46 statements beyond the limits below were wrong."""

MOST_STANDS_OUT = 2.8
"""Log of how far a mark stands out up to which it counts. Source: as SHOW_WEIGHTS; beyond it all are found."""

USUAL_STANDS_OUT = 1.2
"""The same where it cannot be told: in low light after light from above, and where two photos cannot be laid over each
other. Source: middle of those views."""

LEAST_BLUR_PX = 0.3
"""Sharper photos count as this sharp, crop px. Source: a pixel's own square."""

LEAST_NOISE = 0.002
"""Added to the noise, as a share of white. Source: half a step of the 8-bit code."""

MOST_FACING = 0.6
"""Glass that faces the camera more counts as this. Source: beyond it marks are found no better."""

SCALE_RANGE = (0.4, 1.5)
"""Ratio of the scales of two photos beyond which it counts no further. Source: what the model was fitted on."""

MOST_LOG_ODDS = 4.6
"""Confidences count up to these log-odds. Source: 0.99."""

OUT_OF_VIEW_FACING = 0.12
"""Steeper glass shows nothing. Source: of 8 marks there none was found; between this and 0.25 four of ten were."""

LEAST_VISIBLE = 0.5
"""Least share of a place that has to be free of glare for a photo to speak of it. Source: half."""

WOULD_SHOW, COULD_NOT_SHOW = 0.93, 0.05
"""From this probability on a mark would have been seen, and up to that it could not be. Source: the aim that at most
one such statement in twenty is wrong."""

SIZE_SLOPE = 2.0
"""How the log-odds of being found rise with the log of a mark's size. Source: of scratches drawn onto photos 35 % are
found at 0.35 of the computed size, half at half of it, nine in ten at the whole of it."""

# New or not
NEW_WEIGHTS = {
    'start': -3.4,
    'confidence': 0.447,
    'log-odds there': -0.366,
    'not dust': 1.397,
    'no bubble': 0.479,
    'would show': 0.285,
    'only low light then': -3.0,
}
"""Weights of the model of `weigh_change.py`. Source: logistic regression on the 222 marks and candidates of the later
photos of 74 rendered pairs that the earlier photos do not show, 56 of them new; 0.2 is taken off the start, since
journeys do less damage than was rendered. Fitted on every second piece and checked on the others, 15 of 18 claims are
true. The last weight, -1.3 by regression, is a convention: low light hides three in ten marks that light from above
shows, so that an earlier photo in low light alone bears no claim."""

LOG_ODDS_REACH = 9.3
"""Log-odds of the network count up to this. Source: LEAST_ODDS of the sets."""

NEW_DUST_FLOOR, NEW_BUBBLE_FLOOR = 0.02, 0.05
"""Added to what is left beside dust and bubble before the logarithm. Source: the spread of the odds of kinds; bubbles
cannot arise, but cracks are taken for them."""

SEEN_SLOPE, SEEN_START = 0.8, -1.0
"""Slope and middle of the probability that log-odds come from a mark. Source: 155 views of marks on rendered pairs,
nine in ten above 0, and 64 places without one, nine in ten below -4."""

AMOUNT_SEEN_RANGE, AMOUNT_SEEN_SPREADS = (0.6, 1.6), 6.0
"""A mark's own light, as a share of what another photo in the same light shows, counts as the mark in this range and so
many standard deviations out. Source: 45 such places on rendered pairs, none of them of a new mark."""

LEAST_MARK = 0.15
"""Tracks of which no photo is surer than this are passed over. Source: none of them can become surer than one half."""


TURN_PLACED, NOT_SURE = 0.95, 0.5
"""An earlier photo's places are known from this probability of its turn on; a less sure turn counts as this one.
Source: of the turns of 74 rendered pairs 3 of 8 between TURN_SURE and this were wrong by 4 degrees or more, and none
above."""

LEAST_PARTNER = 0.25
"""A mark of the other side that is joined with one of this side is the same mark if it is so sure at least; less sure
ones are weighed by what the place shows. Source: convention of this project.
"""

# Grown
GROWN_SPREADS = 2.0
"""A mark is surely larger beyond so many standard uncertainties of the difference. Source: coverage factor of 2, as in
all reports."""

GROWN_RATIO = 1.3
"""And by so much at least. Source: sizes of one mark in two photos of rendered pieces differ by less in nine of ten."""

GROWN_REACH_PX = 5
"""What lies so near to what was there before is no growth, crop px. Source: outlines of one mark in two photos."""

LEAST_GROWN_PX = 20
"""Fewer px are no growth. Source: half a mm of a scratch and its edges."""

MOST_OWN_PX = 14
"""Shifts of a mark's look at which it would still touch the mark tell no background, up to so many crop px.
Source: half of LOOK_MARGIN_PX and a little, so that enough shifts are left."""

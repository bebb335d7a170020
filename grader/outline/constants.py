"""Numbers of the outline and of the dome's surface, each with its source."""

# ---- ellipse ---------------------------------------------------------------
# Distance in robust standard deviations from which a point no longer counts.
# Source: Tukey's biweight at 95 % efficiency for normal errors (Huber, Robust Statistics, from memory).
TUKEY_LIMIT = 4.685
# Rounds of reweighting at most. Source: scenes settle in fewer than 15; the limit only ends the odd cycle.
ELLIPSE_ROUNDS = 30

# ---- working sizes ---------------------------------------------------------
# Longer side of the picture in which the outline is followed; larger photos are averaged down to it.
# Source: the outline's own scatter is 0.2 px at this size, 0.03 % of a piece's width: more pixels add nothing.
WORK_SIDE_PX = 2000
# Longer side of the small picture in which the piece is first looked for.
# Source: 1 px is then 0.5 mm on the frame card, well under the width of any piece.
SMALL_SIDE_PX = 450
# Radius of the piece, in px, in the picture in which the rough contour is followed.
# Source: tests/benchmark/outline_size.py; smoother than 100 px loses weak rims to noise, 250 px gains nothing.
ROUGH_RADIUS_PX = 160.0

# ---- finding the piece -----------------------------------------------------
# A pixel of the small picture belongs to the piece when its slope is this many times the ground's, and
# at least this many levels a pixel.
# Source: tests/benchmark/outline_size.py; shadows stay below 5 times, the weakest rim is at 8.
SLOPE_OVER_GROUND = 6.0
SLOPE_LEAST_LEVELS = 1.2
# Share of slopes in the ground that is taken as its level. Source: pieces fill up to half of the clear field.
GROUND_SLOPE_PERCENTILE = 30.0
# Gaps between design parts that are bridged, in px of the small picture. Source: as above.
BRIDGE_PX = 7
# Smallest piece, as a share of the small picture's shorter side. Source: 20 mm on the frame card.
PIECE_LEAST_SIDE_RATIO = 0.06
# A white area that spans this share of the picture is a lamp in the picture, not a piece.
# Source: a low ring light round the card spans 0.9 to 1.3 of the picture; the largest piece on a card spans 0.6.
LAMP_SPAN_RATIO = 0.6
LAMP_LEVEL = 245
LAMP_MARGIN_RATIO = 0.04
# Margins kept from printed edges, in mm on the card. Source: blur of 2 px at 5 px/mm, and 0.5 mm of print tolerance.
FIELD_MARGIN_MM = 1.0
CARD_MARGIN_MM = 3.0
PATCH_MARGIN_MM = 1.5

# ---- rough contour ---------------------------------------------------------
# Directions, and the range of radii looked at as a share of the first guess.
# Source: the guess is within 15 % where it is right at all.
ROUGH_DIRECTIONS = 360
ROUGH_RANGE = (0.55, 1.35)
# From this share of the first guess on, the noise of the ground is measured.
# Source: as above, and clear of the contact shadow's steepest part.
NOISE_RADIUS_RATIO = 1.12
# Least noise, in levels, that is assumed. Source: rounding to whole levels: 1/sqrt(12) = 0.29.
NOISE_LEAST_LEVELS = 0.25
# The slope of the shadow at a place is taken from places this far outside it, in px.
TREND_LAG_PX, TREND_SPAN_PX = 3, 8
# Structure (squared slope over noise, less its expected height) left outside the contour: cap a px, cap a
# direction, and its weight against the edge's own logarithmic gain, which is capped too.
# Source: tests/benchmark/outline_size.py.
LEFT_OUT_START, LEFT_OUT_CAP, LEFT_OUT_TOTAL, LEFT_OUT_WEIGHT = 4.0, 15.0, 150.0, 0.1
EDGE_GAIN_CAP = 5.0
# Cost of a px of change from one direction to the next, and the largest change.
ROUGH_STEP_COST, ROUGH_STEP_MAX = 0.3, 2
# Cost of a place where the ground cannot be seen (markers, patches). Source: as above.
UNSEEN_COST = 3.0

# ---- fine contour ----------------------------------------------------------
# Normals round the contour. Source: one each 2 to 4 px; the blur joins neighbours nearer than that.
FINE_DIRECTIONS = 720
# Samples a px along a normal. Source: twice the pixel grid; finer only interpolates.
SAMPLE_STEP_PX = 0.5
# Edge blur (standard deviation, px) for which the edge's shape is computed.
# Source: lens 0.5 to 0.9 px, pixel 0.29 px and JPEG in tests/benchmark/outline_size.py; 0.3 px off moves the edge by
# less than 0.1 px.
EDGE_BLUR_PX = 0.9
# Refractive index for the rim's mirror. Source: soda-lime glass, M. Rubin, Solar Energy Materials 12 (1985) 275;
# 1.51 to 1.57 move the edge by less than 0.02 px.
GLASS_INDEX = 1.52
# Windows of the two passes: (px inside, px outside, largest shift px, step px, smoothing of the normals in rows).
# Source: tests/benchmark/outline_size.py.
FINE_PASSES = ((6.0, 9.0, 4.0, 0.5, 2.0), (6.0, 8.0, 2.5, 0.25, 1.0))
# Weight of samples inside the glass falls by 1/e in this many px, from this depth on: the design is not modelled.
DEPTH_FULL_PX, DEPTH_FALL_PX = 3.0, 3.0
# Cost of a px of change between neighbouring normals, and of a squared px of shift from the pass before.
FINE_STEP_COST, FINE_SHIFT_COST = 3.0, 0.3

# ---- round or free -----------------------------------------------------------
# Robust scale of the ellipse, as a share of the radius, below which nothing is an outlier.
# Source: tests/benchmark/outline_size.py: round pieces scatter by 0.1 %, facets leave the ellipse by 1 to 5 %.
ELLIPSE_FLOOR_RATIO = 0.001
# A piece is round when this share of its freely followed contour lies on the ellipse to within this share of the
# radius (and never less than this many px).
# Source: tests/benchmark/outline_size.py: faceted pieces have 0.31 to 0.48 of it there, round ones 0.86 to 1.00.
ROUND_SHARE_MIN = 0.68
ROUND_NEAR_RATIO, ROUND_NEAR_PX = 0.01, 1.5
# A round piece from above, and an egg from the side, are at least this wide for their length.
ROUND_ASPECT_MIN = 0.55
# Windows of the passes along the ellipse: px inside, px outside, largest shift, step.
ELLIPSE_PASSES = ((6.0, 8.0, 3.0, 0.25), (6.0, 8.0, 2.0, 0.25))
# Cost of a squared px of shift away from the ellipse.
ELLIPSE_SHIFT_COST = 1.0
# Least standard uncertainty of the whole outline along its normal, px of the working picture.
# Source: tests/benchmark/outline_size.py, spread of the mean radius' error.
U_EDGE_FLOOR_PX = 0.15
# Share of the rim that shows no edge, from which the outline is called weak.
WEAK_RIM_RATIO = 0.25

# ---- heights -----------------------------------------------------------------
# Height of the widest ring above the foot as a share of the mean width, its standard uncertainty, and the rise
# from the ring to the top as a share of the width.
# Source: tests/benchmark/outline_size.py, rings backed out from known widths and silhouettes.
RING_OF_WIDTH_RATIO = 0.345
U_RING_OF_WIDTH_RATIO = 0.045
RISE_OF_WIDTH_RATIO = 0.48
# The same as a share of the whole height. Source: as above.
RING_OF_HEIGHT_RATIO = 0.415
U_RING_OF_HEIGHT_RATIO = 0.02
# Standard uncertainty of a height that was typed in.
# Source: a ruler held beside the piece, rectangular +-1 mm and parallax of as much.
U_TYPED_HEIGHT_MM = 0.8
# Largest slope of a viewing ray to the card's normal for which a photo counts as taken from above, degrees.
# Source: beyond, the foot comes into view on the near side (domes are undercut by about 45 degrees).
TOP_VIEW_TILT_MAX_DEG = 35.0
# Rays used to fit the surface. Source: 5 numbers are sought; more rays add nothing to a smooth ellipse.
SURFACE_RAYS = 120
SURFACE_STEPS = 12
# Directions in which a caliper is laid on. Source: 0.5 degree; the width of an ellipse errs by less than 1e-5.
CALIPER_DIRECTIONS = 360

"""Numbers of the outline and of the dome's surface, each with its source."""

# ---- ellipse ---------------------------------------------------------------
# Distance in robust standard deviations from which a point no longer counts.
# Source: Tukey's biweight at 95 % efficiency for normal errors (Huber, Robust Statistics, from memory).
TUKEY_LIMIT = 4.685
# Sectors of the outline, numbers of neighbouring ones left out in turn for a start, and the share of points that
# should be near it. Source: four of twelve are a third of the outline, more cannot be told from the piece.
START_SECTORS, START_LEFT_OUT, START_SHARE = 12, (2, 4), 0.7
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
# Share of the unrolled picture that must lie beyond it for that. Source: fewer places give no sure median.
OUTER_LEAST_RATIO = 0.02
# Neighbouring directions that are joined on both sides, with the least noise (levels) that is assumed for each;
# the strongest join counts. Rounding to whole levels alone is 0.29, and its steps run round the piece for long.
# Source: tests/benchmark/outline_size.py: a rim two levels from its ground shows over 9 degrees.
JOINED_DIRECTIONS = ((0, 0.25), (4, 0.4))


# The slope of the shadow at a place is taken from places this far outside it, in px.
# Source: set with tests/benchmark/outline_size.py in view; not derived.
TREND_LAG_PX, TREND_SPAN_PX = 3, 8
# Structure (squared slope over noise, less its expected height) left outside the contour: cap a px, cap a
# direction, and its weight against the edge's own logarithmic gain, which is capped too.
# Source: tests/benchmark/outline_size.py.
LEFT_OUT_START, LEFT_OUT_CAP, LEFT_OUT_TOTAL, LEFT_OUT_WEIGHT = 4.0, 15.0, 150.0, 0.1
EDGE_GAIN_CAP = 5.0
# Cost of a px of change from one direction to the next, and the largest change.
# Source: set with tests/benchmark/outline_size.py in view; not derived.
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
# Blurs tried on the rough contour, that from which the picture is reduced until it is as sharp as above, and the
# share by which the misfit must fall for a larger blur to be believed.
# Source: steps of 1.4. In tests/benchmark/outline_size.py a weak rim with bright things just inside lowers the misfit
# by up to 0.14 without being blurred; photos blurred on purpose lower it by 0.2 to 0.5.
BLUR_CANDIDATES_PX = (0.9, 1.3, 1.9, 2.7, 4.0, 5.6)
BLUR_TO_REDUCE_PX, BLUR_GAIN_LEAST = 1.6, 0.16
# Directions, stretch of the normals (inside, outside) and largest shift for that, in px.
# Source: the stretch holds three standard deviations of the largest blur outside.
BLUR_DIRECTIONS, BLUR_STRETCH_PX, BLUR_SHIFT_PX = 180, (8.0, 16.0), 5.0
# Refractive index for the rim's mirror. Source: soda-lime glass, M. Rubin, Solar Energy Materials 12 (1985) 275;
# 1.51 to 1.57 move the edge by less than 0.02 px.
GLASS_INDEX = 1.52
# Two passes for pieces of any shape: px inside and outside, largest shift and its step in px, neighbours joined
# before and pooled after the fit, cost of a squared px of shift; and the blur of the contour (in rows) before each.
# Source: tests/benchmark/outline_size.py.
FINE_PASSES = ((4.0, 9.0, 3.0, 0.5, 2, 4, 0.3), (5.0, 8.0, 2.0, 0.25, 1, 2, 0.5))
FINE_SMOOTHING = (2.0, 1.0)
# Points before and after between which a normal of the contour is taken. Source: as above.
FINE_NORMAL_SPAN = 4
# Weight of samples inside the glass falls by 1/e in this many px, from this depth on: the design is not modelled.
# Source: set with tests/benchmark/outline_size.py in view; not derived.
DEPTH_FULL_PX, DEPTH_FALL_PX = 3.0, 3.0
# Cost of a px of change between neighbouring normals. Source: as above.
FINE_STEP_COST = 3.0

# ---- round or free -----------------------------------------------------------
# Blur of the rough contour, in directions. Source: it moves in whole steps of 0.6 % of the radius.
ROUGH_SMOOTHING = 2.0
# Robust scale of the ellipse through the rough contour, and after each of the passes below, as a share of the
# radius, below which nothing is an outlier.
# Source: tests/benchmark/outline_size.py: round pieces scatter by 0.3 % at first and 0.1 % at last.
ROUGH_FLOOR_RATIO, ELLIPSE_FLOOR_RATIOS = 0.003, (0.004, 0.002, 0.001)
# A piece is round when this share of its rough contour lies on the ellipse to within this share of the radius (and
# never less than this many px).
# Source: tests/benchmark/outline_size.py: faceted pieces have 0.2 to 0.5 of it there, round ones 0.93 to 1.00.
ROUND_SHARE_MIN = 0.75
ROUND_NEAR_RATIO, ROUND_NEAR_PX = 0.007, 1.0
# A round piece from above, and an egg from the side, are at least this wide for their length.
# Source: eggs are up to 1.4 times as tall as wide; a margin for slanting views.
ROUND_ASPECT_MIN = 0.55
# Passes along the ellipse of a round piece, numbers as for FINE_PASSES; far pooled first, so that a rim that is
# hardly seen outweighs bright things inside that lie on no ellipse.
# Source: tests/benchmark/outline_size.py.
ELLIPSE_PASSES = (
    (4.0, 9.0, 4.0, 0.5, 4, 15, 0.3),
    (6.0, 8.0, 2.0, 0.25, 2, 10, 0.5),
    (6.0, 8.0, 1.5, 0.25, 1, 3, 1.0),
)
# No point of the contour weighs more in the ellipse than this share of them.
# Source: a few razor-sharp stretches must not outvote the rest.
WEIGHT_CAP_PERCENTILE = 60.0
# Least standard uncertainty of the whole outline along its normal, px of the working picture; that of a free
# contour; and that of an ellipse as a share of the scatter about it.
# Source: tests/benchmark/outline_size.py, spread of the mean radius' error.
U_EDGE_FLOOR_PX, U_EDGE_FREE_PX, U_EDGE_OF_SCATTER = 0.15, 0.5, 0.33
# A point shows no edge when its weight is below this share of the median; from this share of such points on the
# outline is called weak. Source: as above.
WEAK_WEIGHT_RATIO, WEAK_RIM_RATIO = 0.01, 0.25

# ---- heights -----------------------------------------------------------------
# Rise from the widest ring to the top as a share of half the mean width: for each kind of piece its share among
# pieces, the usual value and its standard deviation. First domes, then upright eggs.
# Source: tests/benchmark/outline_size.py (0.87 to 1.02 and 1.20 to 1.40 there), widened by half.
SHAPE_KINDS = ((0.85, 0.95, 0.08), (0.15, 1.28, 0.12))
# Height of the widest ring above the foot as a share of that rise: how much of the lower half the foot takes away.
# Source: as above (0.63 to 0.80 there).
RING_OF_RISE_RATIO, U_RING_OF_RISE_RATIO = 0.71, 0.06
# What the two together say of the ring's height as a share of the mean width, and the mean rise as such a share.
# Source: mean and standard deviation of the product of the two distributions above.
RING_OF_WIDTH_RATIO, U_RING_OF_WIDTH_RATIO = 0.355, 0.059
RISE_OF_WIDTH_RATIO = 0.50
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

# ---- mirror image of the card ------------------------------------------------
# Grid on which the ring near the rim is compared: directions, and radii from - to (share of the way to the rim).
# Source: at 250 to 450 px of radius a step is 0.8 to 1.5 px; the frame of the card mirrors at 0.75 to 0.97.
MIRROR_DIRECTIONS, MIRROR_RADII = 360, 96
MIRROR_FROM, MIRROR_TO = 0.68, 0.992
# Rays are mirrored at every so many directions and radii, with splines between.
# Source: splines err by less than 0.05 mm on the card then; the last radius must be a node (95 = 19 x 5).
MIRROR_EVERY = (12, 5)
# Card distances used: from this far inside the clear field's edge to this far beyond the card's edge, in mm.
# Source: the grey patches begin 12 mm inside; a low ring light stands beyond the card.
MIRROR_INSIDE_MM, MIRROR_BEYOND_MM = 14.0, 2.0
# Blurs (standard deviations over radii and directions): light smoother than the first is taken out, the second is
# where local variance is taken, the third turns near misses into hits, the last is that of the mirrored picture.
# Source: tests/benchmark/outline_size.py. The first leaves directions alone: designs run outwards in stripes there.
MIRROR_SMOOTH, MIRROR_VARIANCE, MIRROR_WIDE, MIRROR_BLUR = (3.0, 0.3), (6.0, 7.0), (2.0, 0.3), (0.8, 0.8)
# Size of the card that one px of the picture to be mirrored stands for, in mm.
# Source: near the rim 1 mm of the card shrinks to about one step of the grid.
MIRROR_TEXEL_MM = 0.5
# Waves round the rim up to which light is taken for even: 0 is a ring, 1 its shift, 2 its tilt.
# Source: the card's frame is square, so its mirror image has four waves and more.
MIRROR_EVEN_WAVES = 2
# Least variance as a share of the median. Source: JPEG flattens some blocks entirely.
MIRROR_VARIANCE_FLOOR = 0.1
# Neighbouring samples share blur and grid, so the evidence of this many counts as one; and after widening.
# Source: tests/benchmark/outline_size.py: the heights' errors over their stated uncertainty then have spread 1.
MIRROR_SAMPLES_AS_ONE, MIRROR_WIDE_AS_ONE = 14.0, 40.0
# Odds, before looking, that a mirror image of the card can be followed at all (facets, frosted glass, clutter).
# Source: set with tests/benchmark/outline_size.py in view; not derived.
MIRROR_ODDS = 0.7
# Largest strength of a mirror image against Fresnel's law for GLASS_INDEX.
# Source: lead glass of index 1.7 at 60 degrees.
MIRROR_STRENGTH_MAX = 1.3
# First search: foot (ring over rise) and rise (over half the usual width), from, to, number.
# Source: SHAPE_KINDS and RING_OF_RISE_RATIO with 2.5 standard deviations.
MIRROR_FIRST_FOOT = (0.56, 0.86, 9)
MIRROR_FIRST_RISE = (0.78, 1.50, 19)
# Domes from which the search goes on, Gauss-Newton steps, largest step and nudge for slopes (shares of the width).
# Source: the ridge of good domes has up to three tops in the first search; steps settle after four.
MIRROR_STARTS, MIRROR_STEPS, MIRROR_STEP_MAX_RATIO, MIRROR_SLOPE_STEP_RATIO = 2, 5, 0.02, 0.002
# Times that a step which does not help is halved. Source: an eighth of a step is below what matters.
MIRROR_HALVINGS = 3
# Nodes along and across the ridge of good domes in the last weighing, and how many standard deviations they reach.
# Source: the ridge's odds are no bell; 3 deviations hold them.
MIRROR_NODES, MIRROR_NODES_REACH = (9, 5), 3.0
# Evidence (log likelihood) from which one best dome is trusted; below, all domes of the first search are weighed.
# Source: chance tops on faceted pieces reach 3.
MIRROR_SURE_EVIDENCE = 8.0
# Share of the doubt beforehand that must remain at most for the mirror image to have told something.
# Source: below this the narrower figure rests on the mirror image, not on the shape of the odds.
MIRROR_TELLS_RATIO = 0.8
# Heights, as shares of the outline's width on the card, at which domes are fitted: widest ring, and rise to the top.
# Source: they span flat domes (0.25, 0.38) to tall eggs (0.58, 0.75).
DOME_NODES_RING = (0.22, 0.4, 0.58)
DOME_NODES_RISE = (0.36, 0.54, 0.72)
# Rounds of the search for the dome whose mirror image fits best: steps of the foot and the rise in each, how many
# standard deviations of the round before they span, and how many samples count as one (more, so the net is wider).
# Source: the last round's steps are below the standard deviations that remain.
MIRROR_FIRST_FOOT = (0.56, 0.86, 9)
MIRROR_FIRST_RISE = (0.78, 1.50, 17)
MIRROR_ROUNDS = ((7, 2.5, 100.0), (7, 2.5, 30.0))
# Share of the doubt beforehand that must remain at most for the mirror image to have told something.
# Source: below this the narrower figure rests on the mirror image, not on the shape of the odds.
MIRROR_TELLS_RATIO = 0.8

# ---- from the side -------------------------------------------------------------
# Usual place of the foot's middle about the card's (standard deviation), and usual radius and its deviation, mm.
# Source: a piece is set down in the middle of the clear field by eye; paperweights are 45 to 100 mm wide.
SIDE_PLACE_MM, SIDE_RADIUS_MM = 6.0, (35.0, 12.0)
# Usual rise over the ring's radius and its standard deviation, domes and eggs together. Source: SHAPE_KINDS.
SIDE_RISE_RATIO, U_SIDE_RISE_RATIO = 1.0, 0.25
# Lower half-axis over the upper one: usual value and standard deviation of domes and of upright eggs, and the rise over
# the radius from which on a piece is an egg.
# Source: a ball of glass, drawn out upwards while it is soft: eggs have 0.6 in tests/benchmark/side_profile.py.
SIDE_DROP_DOME, SIDE_DROP_EGG, SIDE_EGG_RISE_RATIO = (1.0, 0.08), (0.8, 0.2), 1.15
# Standard deviation of what a flat on top takes away, as a share of the height.
# Source: tests/benchmark/side_profile.py (0 to 0.1 there).
U_SIDE_CUT_RATIO = 0.05
# Scatter of the rough contour as a share of its radius. Source: tests/benchmark/side_profile.py.
SIDE_SCATTER_RATIO = 0.015
# Points of each curve of a silhouette. Source: its chords then lie within 0.0002 of the radius of the curve.
SILHOUETTE_POINTS = 180
# Limits of place (mm), radius (mm), foot, rise, drop and cut; nudge for slopes in usual deviations; steps at most.
# Source: what fits on the card; a nudge moves the silhouette by 0.3 px; fits settle in ten steps.
SIDE_LIMITS = ((-60, -60, 10, 0.05, 0.3, 0.45, 0.7), (60, 60, 80, 0.98, 2.5, 1.6, 1.0))
SIDE_NUDGE, SIDE_STEPS = 0.02, 15
# Nudge for the slopes of a place. Source: it moves the silhouette by 0.5 px.
PLACE_NUDGE_MM = 0.1
# Rough contours in turn: smallest and largest radius looked at, as shares of the silhouette so far, and the departure
# from it from which on a place stands on its own; what being at the silhouette is worth, in units of the edge's gain.
# Source: tests/benchmark/side_profile.py: the first holds pieces of 40 to 100 mm, the last leaves out a table's end.
SIDE_WINDOWS = ((0.6, 1.35, 0.3), (0.75, 1.22, 0.05), (0.82, 1.1, 0.02))
SIDE_NEAR_WINDOW, SIDE_LAST_WINDOW = (0.9, 1.06, 0.012), (0.82, 1.06, 0.012)
EXPECTED_GAIN = 4.0
# Width of the stripes left out along printed edges, px of a picture in which the piece's radius is ROUGH_RADIUS_PX.
# Source: lens blur and half the reach of a slope on both sides.
PRINT_EDGE_PX = 5
# Standard uncertainty of the outline from the side, px of the working picture.
# Source: tests/benchmark/side_profile.py.
U_EDGE_SIDE_PX = 0.8
# Directions whose cosine to straight down is above this are low; the strength from which structure left outside counts
# there, and the edge's largest gain.
# Source: a contact shadow and the light that the glass gathers end in edges of their own, weaker than the glass's.
SIDE_DOWN_MAX = 0.3
LEFT_OUT_START_LOW, EDGE_GAIN_CAP_LOW = 200.0, 5.0
# Depths at which a seam along the rim has faded to 1/e, px of the working picture.
# Source: tests/benchmark/side_profile.py.
SEAM_DEPTHS_PX = (1.2, 3.0)
# Factors by which a piece is drawn out from the camera to look for its foot (from, to, number), the window for that,
# and the cost of a foot whose place or size is unusual by one standard deviation.
# Source: tests/benchmark/side_profile.py: 0.3 % of the distance moves the foot by 1 px.
FOOT_FACTORS, FOOT_WINDOW, FOOT_UNUSUAL_COST = (0.92, 1.08, 65), (0.7, 1.3), 0.1
# Radius (mm), rise over it and drop over the rise of the pieces that are looked for first: domes of two sizes, eggs of
# two sizes, a disc. Source: tests/benchmark/side_profile.py.
# Each first window reaches a third further up or down from its start.
SIDE_STARTS = ((27.0, 1.0, 1.0), (39.0, 1.0, 1.0), (28.0, 1.5, 0.7), (38.0, 1.5, 0.7), (40.0, 0.55, 1.0))
# Cost of a piece that is unusual by one standard deviation, in units of the edge's gain.
# Source: tests/benchmark/side_profile.py.
START_UNUSUAL_COST = 0.1
# Structure left outside counts only above the strength that this share of the ground's own noise stays below.
# Source: as above; sensors and JPEG make noise of longer tails than a bell's. From above it is needed too: without it
# the outline of grainy photos took in the shadow, widths up to 55 % too large (tests/benchmark/sensitivity.py).
GROUND_STRENGTH_PERCENTILE = 98.0
# Window, about the usual piece's silhouette, in which the pieces found from all starts are compared.
# Source: it holds pieces of 30 to 120 mm.
COMMON_WINDOW = (0.35, 2.0)
# Straight lines beyond the card: least length as a share of the picture's width, levels of slope of their edges
# (weak, strong), and width left out along them, in widths of that along print.
# Source: a table's far edge runs through the whole picture; no straight part of a piece is half as long.
LINE_LEAST_RATIO, LINE_CANNY_LEVELS, LINE_WIDTH_FACTOR = 0.3, (15, 40), 2
# Directions whose ground is taken as equally noisy; a divisor of ROUGH_DIRECTIONS.
# Source: from the side, paper, ink, table and the wall behind it are of very different brightness.
NOISE_REACH = 20
# Standard uncertainty of the width that one photo from the side shows, for what a round piece of usual shape leaves
# out. Source: tests/benchmark/side_profile.py.
U_SIDE_MODEL_RATIO = 0.015

"""Numbers of the sizes from several photos, each with its source."""

# ---- profile from the side ---------------------------------------------------
# Least scatter of an outline about a silhouette, px. Source: U_EDGE_FLOOR_PX and what a silhouette's polygon errs by.
PROFILE_FLOOR_PX = 0.5
# Outliers: limit in standard deviations, and how much nearer it lies for outlines inside the silhouette.
# Source: Tukey's biweight at 95 % efficiency; facets cut in, nothing stands out.
PROFILE_TUKEY, PROFILE_INSIDE_SOFT = 4.685, 0.6
# Weight of the low part of the outline, before the shadow. Source: tests/benchmark/side_profile.py.
PROFILE_LOW_RATIO = 0.1
# Neighbouring directions that share their errors and count as one. Source: as above.
PROFILE_PIXELS_AS_ONE = 10.0
# Rounds of reweighting, and nudge for slopes (mm; a hundredth of it for ratios). Source: steps settle after twelve.
PROFILE_ROUNDS, PROFILE_NUDGE = 15, 0.05
# Usual departure of the widest ring from a circle, half the difference of its axes over their mean.
# Source: tests/benchmark/outline_size.py (0 to 0.007 there).
U_STRETCH_RATIO = 0.006
# Scale of the loss by which a round top and a flat one are compared, px; how much the flat must gain, and the cut at
# which it is first looked for.
# Source: tests/benchmark/side_profile.py.
PROFILE_COMMON_PX, PROFILE_FLAT_GAIN, FLAT_START = 1.5, 4.0, 0.94
# What the body's form leaves out of a real piece, as shares of a size: height and width; ring and foot; and the growth
# of that share for each px by which the outlines scatter more than the least.
# Source: tests/benchmark/side_profile.py.
U_FORM_RATIO, U_FOOT_FORM_RATIO, U_FORM_OF_SCATTER = 0.0025, 0.02, 0.01
# More of it where the photos disagree.
# Source: as above; an outline that is wrong altogether moves the height by up to 17 %.
U_FORM_DISAGREE_RATIO = 0.08
# A foot narrower than this share of the width is not given. Source: an egg without a ground foot stands on a point.
FOOT_LEAST_RATIO = 0.15
# The photos from the side disagree from this scatter on, or when the body explains less than this share of them.
# Source: tests/benchmark/side_profile.py: photos whose outlines are right stay below and above.
PROFILE_SCATTER_MAX_PX, PROFILE_NEAR_MIN = 1.5, 0.45

# ---- form --------------------------------------------------------------------
# Height over width: below it a piece is flat, above it an egg; the flat on top from which on a piece counts as cut.
# Source: domes are 0.6 to 0.95 of their width tall, upright eggs 1.05 to 1.4, plaques and discs below 0.4;
# tests/benchmark/side_profile.py: flats on top take away 4 % and more.
FLAT_RATIO_MAX, EGG_RATIO_MIN, FLAT_CUT_MAX = 0.45, 1.02, 0.975
# Corners of an outline: reach on both sides as a share of its points (1 / FACET_SPAN), least turn there, fewest
# corners, and least length of a flat over the longest.
# Source: a circle turns by 12 degrees over the reach, a corner of eight flats by 45 and by 25 when it is worn.
FACET_SPAN, FACET_CORNER_DEG, FACET_FEWEST, FACET_FLAT_RATIO = 30, 22.0, 4, 0.6

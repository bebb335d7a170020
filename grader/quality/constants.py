"""Numbers of focus, exposure, noise and scale. Those of the light lie in ``light_constants.py``."""

# Part of a printed edge, on either side of its middle, whose pixels are used; corners are round with blur.
# Source: a corner's blur reaches three spreads; at the largest spread told (8 px) an edge of 160 px keeps 24 px free.
EDGE_USED_RATIO = 0.7

# Places along an edge at which pixels across it are read.
# Source: with an edge of 100 px every second pixel row; the spread of one edge is then known to 3 %.
EDGE_PLACES = 48

# How much of the plain paper or ink beside an edge is used.
# Source: the rest is for the corners' own uncertainty and the next edge's blur.
EDGE_MARGIN_RATIO = 0.8

# Least plain width beside an edge, in mm, for it to be used.
# Source: at 8 px/mm this leaves 16 px, twice the largest spread that is told.
EDGE_MARGIN_MM = 2.0

# Furthest from an edge that is read, in px.
# Source: three times the largest spread that is told.
EDGE_REACH_PX = 24

# Width of the bins of an edge's profile, in px.
# Source: ISO 12233, slanted edge: four samples a pixel.
EDGE_BIN_PX = 0.25

# Least step of light across an edge, linear, that is measured.
# Source: five times the noise of a photo at ISO 3200 (0.012) after one bin's mean.
EDGE_STEP_LEAST = 0.05

# The same on the piece, whose edges are shorter and often dark.
# Source: three times the noise of one bin's mean in a dark part (0.005).
GLASS_STEP_LEAST = 0.015

# Linear light from which a pixel counts as clipped.
# Source: code 250 of 255, as for glare; the last levels are noise about white.
CLIPPED_LIGHT = 0.956

# Least that is plain on both sides of an edge, in px.
# Source: four times the spread of a sharp photo; with less, the levels beside the edge are not reached.
EDGE_REACH_LEAST_PX = 4.0

# Largest rms departure of the profile from a blurred step, as a share of the step.
# Source: JPEG and sharpening leave 2 to 3 %, grain 5 %, an edge with something on it 15 % and more.
EDGE_MISFIT_RATIO = 0.1

# The same on the piece, where edges are short and bins hold one or two pixels.
# Source: grain of a pixel is a tenth of a usual step there.
GLASS_MISFIT_RATIO = 0.12

# Smallest and largest spread that is told, in px.
# Source: a pixel's own square has 0.29; beyond 8 px the plain parts beside a marker's edge are used up.
SPREAD_RANGE_PX = (0.2, 8.0)

# Plain width on both sides that an edge must have, in spreads, where enough edges have so much.
# Source: a step's tail beyond four spreads is 0.003 %; with less, light of the next cell makes large spreads seem
# smaller (by 4 % at 4 px and 13 % at 6 px for markers of 140 px).
PLAIN_SPREADS = 4.0

# Fewest printed edges that tell the focus.
# Source: three numbers of the blur's ellipse and as many again to tell that one does not fit.
LEAST_EDGES = 6

# Rounds of the fit of a blurred step.
# Source: it gains a digit a round; checked on drawn steps.
STEP_FIT_ROUNDS = 9

# Side of the squares of which each gives its steepest place, in px, and the length of edge that is read there.
# Source: two neighbouring places share no pixel.
PLACE_SQUARE_PX = 24
PLACE_LENGTH_PX = 11.0
PLACE_REACH_PX = 8

# Most places read.
# Source: their spreads scatter by 15 %, so the quantile of 160 is known to 3 %.
MOST_PLACES = 160

# Share of the places that is taken for as sharp as the lens allows; others are soft by themselves.
# Source: on rendered photos with a card this quantile of the piece's own edges agrees best with the photo's true blur.
SHARP_QUANTILE = 0.3

# Ratio of the longer to the shorter axis of the blur from which the camera is said to have moved.
# Source: lens errors and sampling leave 1.15 at most in the 63 rendered photos; a shake of two spreads gives 1.5.
MOVED_RATIO = 1.5

# How much softer than the card the glass must be for the focus to be said to lie on the card.
# Source: a design's edges are as sharp as the card's or up to 1.3 times softer on the rendered photos.
GLASS_SOFTER_RATIO = 1.8

# Share of white that white paper gives back: the card's paper.
# Source: uncoated office paper, 0.8 to 0.9; rendered photos 0.8.
PAPER_REFLECTANCE = 0.8

# Linear light under which a pixel is near-black.
# Source: below the tenth code of 255 one step of the code is a fifth of the light, and cameras crush what is left.
DARK_LIGHT = 0.003

# White paper of a photo with a card should be at least so light, and at most so light, linear.
# Source: at 0.2 a mark of usual contrast (0.2 of paper) is 0.04 of white, five times the noise of a phone indoors; from
# 0.95 on, paper and all that is as light as it is clipped.
PAPER_LIGHT_LEAST = 0.2
PAPER_LIGHT_MOST = 0.95

# Without a card: the lightest hundredth of the piece and its surroundings should reach this, linear.
# Source: as PAPER_LIGHT_LEAST; a piece or ground as light as paper is nearly always in the picture.
LIGHTEST_LEAST = 0.2

# Share of the piece that may be near-black, or clipped beside mirror images of lamps.
# Source: a quarter of the piece is then not judged; the share at which a score loses a word on the benchmark's pieces.
DARK_SHARE_MOST = 0.25
CLIPPED_SHARE_MOST = 0.15

# Side of the squares from which noise is read, px.
# Source: 64 pixels tell a standard deviation to 9 %, and light is even over so little.
NOISE_SQUARE_PX = 8

# Without a card: the share of squares that is taken for smooth, and what the quantile of their standard deviations is
# of the true one.
# Source: with 61 degrees of freedom the tenth part of all squares lies below 1 - 1.28 / sqrt(122) = 0.884 of it.
SMOOTH_QUANTILE = 0.1
SMOOTH_QUANTILE_RATIO = 0.884

# Light between which squares tell the noise: clipped ones have none.
# Source: code 20 and 245 of 255.
NOISE_LIGHT_RANGE = (0.007, 0.91)

# Fewest squares that tell the noise.
# Source: their median is then known to 3 %.
NOISE_LEAST_SQUARES = 20

# Noise of a pixel, as a share of white, from which the photo is called grainy.
# Source: a pixel of a usual scratch (0.2 of paper at 0.6) then stands out by two deviations only.
NOISE_MOST = 0.06

# Least scale, px/mm, for which fine marks show at all.
# Source: a fine scratch is 0.1 mm wide; at 5 px/mm it is half a pixel and keeps a third of its contrast.
SCALE_LEAST_PX_PER_MM = 5.0

# Tilt of the camera, degrees, beyond which a view from above is called slanted.
# Source: at 15 degrees the far shoulder of a dome is seen at half the width of the near one.
TILT_MOST_DEG = 15.0

# Elevation of the camera, degrees, from which a photo is one from above.
# Source: below, the far shoulder of a dome is hidden.
ABOVE_ELEVATION_DEG = 60.0

# Share of the piece that mirror images of lamps may cover.
# Source: a ring light in a dome covers 3 to 8 %; twice that.
GLARE_SHARE_MOST = 0.15

# The same under a low ring light, whose mirror image is long.
# Source: 12 to 18 % on rendered photos; half as much again.
GLARE_SHARE_MOST_LOW = 0.27

# Share of the rim that must be in the picture for the piece to count as whole.
# Source: one rim point of a hundred may be lost to rounding at the picture's edge.
RIM_SHARE_LEAST = 0.99

# Spread, in px, from which a photo is called soft.
# Source: phones and scanners of the benchmark have 0.7 to 1.2 (edges of the card, their print included); at 2 px a thin
# scratch keeps half of what it has at 1 px.
SOFT_BLUR_PX = 2.0

# Width of a piece that is taken where there is no card, in mm, to tell how long a usual scratch is in px.
# Source: paperweights are 50 to 90 mm wide.
PIECE_WIDTH_MM = 70.0

# Sizes that not even the plain parts may fail to show, mm.
# Source: scratches of 0.08 to 0.4 mm and chips from 0.6 mm on are what a judgement needs.
SCRATCH_WORST_MM = 0.4
CHIP_WORST_MM = 1.5

# Light of paper, spread in px, scale and share of the rim, beyond which a photo is to be taken again.
# Source: a fifth, three times, half of the values at which it is called short; a tenth of the rim out of the picture.
PAPER_LIGHT_WORST = 0.05
WORST_BLUR_PX = 5.0
SCALE_WORST_PX_PER_MM = 2.5
RIM_SHARE_WORST = 0.9

# Shares of the piece that are clipped, near-black or under mirror images beyond which it is to be taken again.
# Source: more than half of the piece cannot be judged.
LOST_SHARE_WORST = 0.5

# Longer axis of the blur, in px, from which unequal blur is told at all.
# Source: below, the pixel itself and its place on the edge make axes differ.
MOVED_LEAST_PX = 1.3

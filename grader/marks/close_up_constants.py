"""Numbers of the close-up stage, for photos of up to about 2 megapixels (larger ones are reduced first).

Where a benchmark is the source, ``tests/benchmark/real_glass.py`` on photographs of scratched glass: each number was
chosen on the first half of the photos by name and checked on the other half.
"""

LARGEST_CLOSE_UP_PX = 1600
"""Photos with a longer side are reduced to this. Source: 2.6 s on one core for a square photo of this size."""

SMALLEST_CLOSE_UP_PX = 24
"""Photos with a shorter side show no ground to judge against. Source: three background windows of 8 px."""

QUANTISATION_CODE = 0.29
"""Smallest noise that an 8-bit photo can have, code steps. Source: 1 / sqrt(12), rounding to whole steps."""

GROUND_REDUCTION = 4
"""The background is found in a photo this many times smaller. Source: it holds no detail finer than 16 px."""

GROUND_SIGMAS_PX = (32.0, 16.0)
"""Windows of the background, coarse to fine. Source: benchmark real_glass; finest = a wide scratch."""

GROUND_ROUNDS = 3
"""Re-weightings at each blur. Source: the background moves by less than 0.1 code steps after three."""

GROUND_OUTLIER = 3.0
"""Residual, in robust standard deviations, that halves a pixel's weight. Source: Huber's usual 2 to 3."""

GROUND_WEIGHT_FLOOR = 0.01
"""Least weight, so that a mark wider than the blur has a background. Source: benchmark real_glass."""

NOISE_TILE_PX = 80
"""Side of the tiles in which the noise is measured. Source: 1600 samples or more, median known to 3 %."""

SMOOTH_SIGMA_PX = 1.0
"""Blur of the residual before single pixels are judged. Source: half the width of a thin scratch."""

ENERGY_SIGMA_PX = 2.0
"""Blur of the squared residual. Source: benchmark real_glass, half the width of the smallest labelled spot."""

PATCH_LEVELS = (12.0, 6.0, 3.0)
"""Strengths at which patches are cut out, strongest first. Source: octaves; benchmark real_glass (16, 8, 4 ties)."""

PATCH_ENERGY_SHARE = 0.8
"""Share of the level that the energy must reach too. Source: benchmark real_glass."""

PATCH_OPENING_PX = 3
"""Radius of the disc that must fit into a patch; thinner marks are lines. Source: benchmark real_glass."""

PATCH_AREA_PX = 40
"""Smaller patches are left to the spots. Source: the area of the disc above."""

PATCH_STRENGTH = 4.0
"""Energy that a quarter of a patch must exceed. Source: benchmark real_glass."""

PATCH_ABOVE_LEVEL = 1.5
"""... and, above the lowest level, this times the level. Source: benchmark real_glass."""

THIN_PATCH_PX = 12.0
"""A patch thinner than this that one line explains is that line. Source: widest ribbon of the fine line filter."""

LINE_ANGLES = 16
"""Directions of the line filters. Source: 11.25 degrees apart loses at most 6 % of the response (half length 16 px)."""

LINE_CLIP = 5.0
"""Residual, in noise units, at which a pixel's say in a line ends, so that no speck makes one. Source: benchmark."""

LINE_FILTERS = ((1.2, 10.0, 1), (2.5, 16.0, 1), (2.5, 24.0, 2), (2.0, 40.0, 3))
"""Width sigma px, half length px, and reduction of each line filter. Source: benchmark real_glass."""

RIDGE_LOW = 1.5
"""A path goes on while its line evidence is above this, in the unit of LineEvidence. Source: benchmark real_glass."""

RIDGE_HIGH = 2.4
"""... and must reach this once. Source: benchmark real_glass."""

RIDGE_LENGTH_PX = 14.0
"""Shorter paths are no lines. Source: shortest filter's half length, and a little more."""

LINK_GAP_PX = 60.0
"""Longest gap between pieces of one line. Source: benchmark real_glass."""

LINK_GAP_SHARE = 0.6
"""... and as a share of the shorter piece. Source: benchmark real_glass."""

LINK_ANGLE_DEG = 15.0
"""Largest turn where two pieces are joined. Source: one and a half steps of the filters' directions."""

LINK_EVIDENCE = 0.5
"""Mean line evidence that the bridge over a long gap needs. Source: half of what noise shows in its best direction."""

LINE_PROFILE_PX = 14
"""Half length of the cut across a line from which its width is read. Source: three times the widest filter."""

SPOT_SIGMA_PX = 1.5
"""Blur of the squared residual for spots. Source: benchmark real_glass, smallest labelled spot of 6 px."""

SPOT_LOW = 2.5
"""A spot ends where its energy falls below this, or below SPOT_SHARE of its peak. Source: benchmark real_glass."""

SPOT_HIGH = 4.0
"""A spot's peak must reach this. Source: benchmark real_glass."""

SPOT_SHARE = 0.4
"""Share of its peak at which a spot ends. Source: half width at half energy of a sharp spot under the blur."""

SPOT_AREA_PX = 6
"""Smaller spots are noise of the JPEG code. Source: benchmark real_glass."""

DARK_WEIGHT = 8.0
"""In a photo whose marks are bright, a pixel that is too dark counts this much more than one too bright: light lost is
damage, light gained may be dust. Where marks are dark anyway it counts once. Source: benchmark real_glass, first half
of the photos, 3 to 20 alike."""

DARK_LEVEL = 3.0
"""Darkness, in noise units, from which it counts more. Source: one pixel in 700 by noise alone."""

BRIGHT_LEVEL = 4.0
"""Strength, in noise units, of pixels by which a photo's marks are bright or dark. Source: one in 16 000 by noise."""

AREA_DISCOUNT = 0.25
"""Power of the area, px, by which the squared signal is divided. Source: benchmark real_glass, 0.1 to 0.35 alike."""

CONFIDENCE_HALF = 2.22
"""Salience (log10) of a mark that is as likely on the glass as not. Source: benchmark drawn_glass --fit, pictures 0 to
99."""

CONFIDENCE_STEEPNESS = 2.83
"""Rise of the log odds per unit of salience. Source: as above."""

CONTUSION_WIDTH_PX = 18.0
"""Elongated bright marks wider than this are contusions. Source: benchmark real_glass, first half of the photos."""

CONTUSION_DARK_WIDTH_PX = 11.0
"""... and dark ones, of which light from behind shows the core only, or that two lights show. Source: as above."""

CONTUSION_BOTH = 10.0
"""Energy that a quarter of a contusion reach in both lights, where there are two. Source: as above; scratches have
2 or less in the weaker light, contusions 17 or more."""

SPOT_ELONGATION = 3.0
"""Marks longer than this times their width, pixels weighted by signal, are no spots. Source: benchmark real_glass."""

SPOT_RIBBON = 6.0
"""... nor those that are bent ribbons longer than this times their width. Source: benchmark real_glass."""

ABSORB_REACH_PX = 5
"""Reach within which crumbs and rims belong to a larger mark. Source: benchmark real_glass."""

ABSORB_SHARE = 0.6
"""Share of a piece that must lie within that reach. Source: benchmark real_glass."""

ROW_GAP_PX = 6
"""Gap over which beads in a row are one mark. Source: benchmark real_glass."""

ROW_SPREAD = 1.5
"""How much broader than its broadest bead a row may be. Source: benchmark real_glass."""

LINE_CONTRAST = 0.4
"""Least running median of the residual along a line, in noise units and of the line's sign; below it is only the
filter's echo. Source: a line just above RIDGE_LOW has 0.5."""

LINE_CONTRAST_SHARE = 0.3
"""... and as a share of the line's upper quartile. Source: where a tapering scratch ends for the eye."""

LINE_WINDOW_PX = 21
"""Length of that running median. Source: shortest filter; longer than any spot that is no patch."""

LINE_SIGNAL_RATIO = 0.2
"""Squared signal-to-noise ratio of a line per squared line evidence of one of its pixels. Source: the evidence's unit
is the median over noise of the best direction, 2 standard deviations of one (factor 4); pixels along the shorter
filters agree over 20 px (factor 1 / 20)."""

TREND_DEGREE = 3
"""Degree of the polynomial that follows the light's fall-off. Source: cos^4 over a lens is cubic to 1 %."""

TREND_SAMPLES = 5003
"""About so many pixels are fitted. Source: prime, so that the samples do not run along columns."""

TREND_ROUNDS = 4
"""Re-weightings of the trend. Source: changes below 0.1 code steps after four."""

SPECK_STRENGTH = 6.0
"""Strength, in noise units, of pixels that make up a speck. Source: benchmark real_glass; 4 loses faint lines."""

SPECK_ELONGATION = 2.0
"""Boxes of specks are less long than this times their width. Source: benchmark real_glass."""

SPECK_FILL = 0.45
"""... and filled to this share; slanting lines fill less. Source: a disc fills 0.79, a slanting line of 1 : 4 0.4."""

SPECK_LEFT = 2.0
"""Strength, in noise units, that a speck keeps for the line filters. Source: below what makes a ridge by itself."""

REGISTER_REDUCTION = 2
"""Two photos are laid over each other in maps this many times smaller. Source: half a pixel is a quarter there."""

REGISTER_BLUR_PX = 1.0
"""Blur of these maps, px of the reduced map. Source: width of a thin scratch."""

REGISTER_CEILING = 20.0
"""Energy above which nothing stands out more. Source: benchmark real_glass, energy of a clear scratch."""

REGISTER_REACH_RATIO = 0.0625
"""Largest shift looked for, as a share of the side. Source: a tripod nudged while the lamp was changed."""

REGISTER_ROUNDS = 60
"""Steps of the affine fit. Source: converged after 20 to 40 on drawn photos."""

REGISTER_WARP_RATIO = 0.02
"""Largest turn (rad) and change of size between the two photos. Source: as for the shift."""

REGISTER_WHITENING = 0.75
"""Power of a wave's size by which it is divided. Source: benchmark real_glass; 1 drowns in noise, 0 follows edges."""

REGISTER_SIGNIFICANCE = 12.0
"""Height of a shift that is believed, standard deviations. Source: photos of different panes reach 10 at most."""

REGISTER_GAIN = 2.0
"""... and how much higher than no shift it must be. Source: benchmark real_glass; 1.3 moves one pair in 30."""

SAME_MARK_SHARE = 0.6
"""Share of the smaller of two marks, one from each light, that lies on the other if they are one. Source: as for
ABSORB_SHARE."""

SAME_MARK_AREA_RATIO = 0.2
"""Smaller than this against the other, the surer of the two is a mark of its own. Source: a pit in a scratch."""

SAME_MARK_REACH_PX = 3
"""Reach within which the two lie on each other. Source: benchmark real_glass, photos of a pair differ by 1 to 2 px."""

LEAST_SHAPE_RATIO = 0.98
"""Least ratio of the shapes (width to height) of two photos of one field. Source: rounding of small pictures."""

TRIM_STRENGTH = 6.0
"""Strength, noise units, of a mark whose pixels stand out one by one. Source: one in 10^9 by noise."""

TRIM_LEVEL = 2.0
"""Least strength, noise units, of a pixel of a strong mark. Source: one pixel in 20 by noise."""

TRIM_SHARE = 0.25
"""... and as a share of the mark's own. Source: drawn marks come out within 2 px of their width."""

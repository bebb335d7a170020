"""Numbers of the smallest marks that a photo can show."""

DETECTION_SPREADS = 5.0
"""Response of a mark that is seen, in standard deviations of the background. Source: Rose 1948 (from memory): below 5
one of the many places of a picture imitates a mark by chance."""

LEAST_CODE_STEPS = 6.0
"""Steps of the 8-bit code by which a mark must change its middle at least. Source: JPEG of quality 90 rounds the detail
of a few px to steps of 6 to 12 levels; what changes less is as good as gone, whatever the noise."""

LINE_LENGTH_MM = 3.0
"""Length of a scratch along which light is summed, mm. Source: shorter ones are specks; the shortest tenth of the
scratches of the rendered pieces."""

MOST_LINE_PX = 41
"""Longest line filter, px. Source: scratches bend; over more a curve of 5 mm radius leaves the line by a spread."""

SURROUND_RATIO = 2.0
"""Surroundings of a spot, in its own scale. Source: the usual difference of Gaussians has 1.6; a disc is
sharper."""

LINE_SCALES = (1.0, 2.5)
"""Scales of the line filter, in spreads of light. Source: scratches of 1 to 6 spreads across are in between."""

LARGEST_SCALES = 4.0
"""Largest mark tried, in the largest scale. Source: the filter sees no more of a mark then but its edge."""

CHIP_SCALES = (1.0, 2.0, 4.0)
"""Scales of the spot filter, in spreads of light. Source: chips of 2 to 12 spreads across are in between."""

BLOCK_PX = 32
"""Side of a block in which the background is told, px. Source: about 4 mm; some hundred independent responses."""

LEAST_BLOCK_SHARE = 0.75
"""Least share of a block on judged glass. Source: a median of absolute deviations bears half."""

PLAIN_QUANTILE = 0.1
"""Share of the blocks that stands for the plain parts. Source: convention."""

SMALLEST_PX = 0.02
"""Smallest size tried, px. Source: thinner than any scratch at any scale."""

SIZE_STEP_RATIO = 1.05
"""Step of the sizes tried. Source: the background is not known to better than 5 %."""

SCRATCH_CONTRAST = {'above': 0.2, 'low': 0.05}
"""Light that a usual scratch adds where it covers whole pixels, as a share of white paper's. Source: rendered pieces,
scratches at least 2 px wide: median 0.21 under a ring round the lens, 0.054 under a low ring."""

CHIP_CONTRAST = {'above': 0.3, 'low': 0.06}
"""The same for the mean change over a chip. Source: rendered pieces: median 0.32 and 0.054."""

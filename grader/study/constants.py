"""Numbers of the study of repeatability."""

COVERAGE = 0.95
"""Share of the cases that a limit or an interval is meant to hold. Source: ISO 5725-1:1994, 3.16, for the repeatability
limit, from memory; usual for intervals."""

NORMAL_95 = 1.959964
"""Standard deviations on either side that hold 95 % of a normal distribution. Source: its quantile at 0.975."""

POOL_P = 0.25
"""An interaction less sure than this is taken for chance and joined with the repeats. Source: Bancroft, "Analysis and
inference for incompletely specified models", Biometrics 20 (1964) 427-442, from memory: 0.25 where data are few."""

DISTINCT_FACTOR = 1.41
"""Number of distinct categories, over the ratio of spread between pieces to that of the gauge. Source: AIAG,
Measurement Systems Analysis, 4th edition, from memory: the square root of 2, cut."""

GAUGE_GOOD_PERCENT = 10.0
"""Share of the gauge in the study variation up to which it is called good. Source: AIAG, Measurement Systems Analysis,
4th edition, from memory."""

GAUGE_FAIR_PERCENT = 30.0
"""Share up to which it is called fair. Source: AIAG, as above, from memory."""

ENOUGH_CATEGORIES = 5
"""Distinct categories from which on a gauge tells pieces apart. Source: AIAG, as above, from memory."""

FEW_DOF = 10
"""With fewer degrees of freedom a standard deviation is told as rough. Source: at 10 the upper end of its 95 % interval
is 1.75 times the figure."""

WANTED_RATIO = 0.25
"""How near to the figure the upper end of its interval should be. Source: choice; a quarter is what an owner would call
about right."""

PHOTOS_OF_MEAN = (1, 2, 4, 9)
"""Numbers of photos whose mean is told. Source: their roots are 1, 1.4, 2 and 3."""

FEW_PIECES = 10
"""With fewer pieces, agreement between set-ups is told as rough. Source: choice; a standard deviation of 9 differences
has an interval of 0.68 to 1.9 times itself."""

MOST_PIECES_IN_PLOT = 40
"""Pieces named under a plot; of more only the places are drawn. Source: room for a name of three signs."""

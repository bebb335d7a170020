"""Numbers of the grade stage that are method, not rule; what marks cost stands in the rules."""

LOSS_STEP = 0.001
"""Step of the loss scale on which odds are kept. Source: a tenth of a point of score near 100, and less below."""

LOSS_MAX = 5.0
"""End of the loss scale. Source: score 0.7; worse pieces are all told as that."""

SIZE_NODES = 9
"""Places at which an uncertain size is tried. Source: mean and variance are exact for any number; 9 show the shape."""

MAX_UNSEEN_RATIO = 0.9
"""Largest unseen share that is reckoned with. Source: beyond it the seen part says nothing about the rest."""

MANY_REASONS = 5
"""Marks named one by one in the reasons; the rest are summed. Source: what a reader takes in at a glance."""

WORTH_NAMING_POINTS = 0.5
"""Marks that cost less are not named one by one. Source: half of the last place in which scores are told."""

REPORTED_CONFIDENCE = 0.5
"""A mark counts as found from here on; below it is called possible. Source: as likely as not."""

UNSEEN_WORTH_TELLING_RATIO = 0.01
"""Smaller unseen shares are not mentioned. Source: a hundredth of the glass is below what an eye would miss."""

LONG_SCRATCH_MM = 2.0
"""A scratch longer than this is a long scratch. Source: ISO 10110-7:2008, as quoted in secondary texts."""

PREFERRED_SIZES_MM = (
    0.004, 0.006, 0.010, 0.016, 0.025, 0.040, 0.063, 0.100, 0.160, 0.250, 0.400, 0.630, 1.0, 1.6, 2.5, 4.0, 6.3, 10.0,
)  # fmt: skip
"""Preferred grade numbers. Source: ISO 10110-7:2008 to 0.4 mm as quoted in secondary texts (some print 0.060 for
0.063); beyond 0.4 mm the same five steps a decade, from memory."""

"""Numbers of the search for parts of the piece in which damage could not be seen."""

UNSEEN_WORK_PX = 300
"""Width to which the piece is reduced for the search. Source: a ring is then 4 px wide or more."""

STEEPEST_FACING = 0.25
"""Glass that faces the camera less than this is too steep to judge. Source: below it a mark is seen at a quarter of
its width; the limit that the benchmark of invented pieces leaves out."""

RING_ANGLES = 72
"""Directions in which a ring's edges are looked for. Source: every 5 degrees, several per design repeat."""

RING_RADII = 96
"""Radii from the middle to the rim. Source: the thinnest ring seen is three of these wide."""

RING_STEP_RADII = 1.5
"""Half the distance across which an edge is taken, in radii steps. Source: the photo's blur at this reduction."""

RING_SEARCH_RATIO = 0.16
"""How far the ring's middle may lie from where the glass faces the camera, in radii of the piece. Source: examples of
the studio, 0.1 at most."""

RING_SEARCH_STEPS = (0.04, 0.01)
"""Steps of the coarse and the fine search for the middle. Source: half the thinnest ring; a third of its edge."""

RING_THINNEST_RATIO = 0.015
"""Thinnest ring, in radii of the piece. Source: half of the thinnest in the examples of the studio."""

RING_THICKEST_RATIO = 0.12
"""Thickest ring, in radii of the piece. Source: a third above the thickest in the examples of the studio."""

RING_SMALLEST_RATIO = 0.06
"""Smallest inner radius, in radii of the piece. Source: half of the smallest in the examples of the studio."""

RING_LEAST_STEP = 0.02
"""Least rise of the darkest channel at both edges, linear light. Source: a window's faint reflection, half."""

RING_SURE = 5.0
"""... and in standard errors over the directions. Source: one false ring in a million looks."""

RING_COLOUR_SHARE = 0.5
"""Largest departure from a colourless veil, as a share of the veil. Source: examples of the studio."""

CLIPPED_CODE = 250
"""A pixel whose darkest channel reaches this is clipped. Source: 255 less the photo's noise."""

SMALLEST_GLARE_RATIO = 0.0004
"""Smaller clipped specks, as a share of the piece, are not told. Source: a fiftieth of its width each way."""

MOST_RINGS = 2
"""Rings that are looked for. Source: the light itself, and once more from the flat base or a bubble."""

WINDOW_WORK_PX = 220
"""Width to which the piece is reduced for window reflections. Source: the smallest is then 6 px wide."""

WINDOW_ANGLES = 8
"""Turns within 90 degrees. Source: 11 degrees apart, half of it moves a side by less than a pixel."""

WINDOW_HALF_RATIOS = (0.05, 0.065, 0.085, 0.11)
"""Half sides that are tried, in radii of the piece. Source: examples of the studio, steps of 1.3."""

WINDOW_LEAST_STEP = 0.006
"""Least light that a window adds, linear. Source: three standard errors of a side's mean."""

WINDOW_LARGEST_STEP = 0.2
"""Most light that a window adds, linear; edges of the design are often stronger. Source: a twentieth of the light is
mirrored at a glass surface, and a window is at most four times as bright as white paper."""

WINDOW_ALIKE_RATIO = 0.5
"""Departure from the common step up to which a sample of a side agrees. Source: examples of the studio."""

WINDOW_AGREEING = 0.92
"""Share of all samples that must agree ... Source: examples of the studio; designs reach 0.91."""

WINDOW_AGREEING_SIDE = 0.8
"""... and on each side. Source: examples of the studio; most designs stay below 0.8."""

WINDOW_PEAKS = 12
"""Places tried for each size and turn. Source: twice the windows and their neighbours that a photo can show."""

MOST_WINDOWS = 2
"""More window reflections than this are a pattern of the design. Source: windows of one room seen in one dome."""

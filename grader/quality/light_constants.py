"""Numbers of the recognition of the light."""

GROUND_HALF_MM = 69.0
"""Half side of the square on the frame card whose light is read, mm. Source: the clear field (142 mm) less its edge."""

GROUND_STEP_MM = 2.0
"""Distance of the samples on the ground, mm. Source: some thousand samples; the light changes over centimetres."""

GROUND_CLEAR_RATIO = 0.25
"""Ground nearer to the piece than this, in radii of the piece, lies in its shadow. Source: shadows of the studio."""

PATCH_CLEAR_MM = 6.0
"""Half side of the square about a grey patch that is left out, mm. Source: half a patch (5 mm) and its edge."""

GROUND_LEAST_SAMPLES = 200
"""Fewest samples from which the ground's light is told. Source: a tenth of the clear field."""

GROUND_SCALE_MM = 70.0
"""Radius at which the rise of light is stated, mm. Source: about half the clear field."""

RISE_LOW = 0.3
"""Rise of log light from the card's middle to GROUND_SCALE_MM above which the light comes from low down round the card.
Source: a ring of radius 104 to 130 mm, 10 to 40 mm above the card, gives 0.35 or more by the inverse square and both
cosines; photos of the studio and of the benchmark 0.37 to 0.62."""

RISE_ABOVE = 0.2
"""Rise below which it does not. Source: a lamp above the card gives less than 0; light by the glass adds up to 0.13."""

LEAST_ELEVATION_DEG = 45.0
"""The ground is judged only where the camera stands higher than this over the card. Source: flatter views show little
of the ground behind the piece, and mirror lamps in the card."""

COAXIAL_SPANS_DEG = (33.0, 18.0)
"""Largest tilts of the glass against the view up to which a ring round the lens is looked for, one after the other.
Source: a ring is found where it takes 0.06 to 0.6 of the span; so these cover tilts of 1 to 20 degrees."""

LOW_SPAN_DEG = 66.0
"""The same for a low ring. Source: beyond it a mirror image is squeezed to a third of its width."""

RING_GRID_PX = 241
"""Side of the picture of mirror images. Source: a third of the thinnest ring a px at the widest span."""

COAXIAL_TILT_DEG = 18.0
"""Largest tilt of the glass that mirrors a ring round the lens. Source: half of what a ring of 120 mm radius spans at
200 mm; rings of the studio 7 to 13."""

LOW_TILT_DEG = (27.0, 62.0)
"""Tilt of the glass that mirrors a low ring into a camera above. Source: the light then comes from 0 to 35 degrees
above the table; bands of the design near the rim look alike beyond."""

LAMP_DIRECTIONS = 72
"""Directions in which the lamp itself is looked for. Source: every 5 degrees."""

LAMP_REDUCED_PX = 400
"""Side to which the photo is reduced for that. Source: the thinnest lamp is then 3 px wide."""

LAMP_THIN_PX = 3
"""Fewest clipped px in a row that are a lamp. Source: see LAMP_REDUCED_PX."""

LAMP_SPREAD_RATIO = 0.05
"""Largest typical departure of its distance from the median. Source: a circle seen at 10 degrees, its middle off by a
tenth."""

LAMP_SHARE = 0.5
"""Least share of the directions in which it is seen, of those in which the picture reaches so far. Source: half a
circle fixes it."""

LAMP_LEAST_DIRECTIONS = 20
"""Fewest directions in which the picture reaches so far. Source: a square picture shows the ring in its corners at
least."""

LAMP_STEP = 0.25
"""Least rise of linear light at the lamp's inner edge. Source: paper beside it is at 0.75 at most where it is not
over-exposed itself."""

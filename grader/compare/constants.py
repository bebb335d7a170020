"""Numbers of the comparison of two sides."""

USUAL_BLUR_PX = 0.8
"""Spread of light where the focus could not be read, px. Source: middle of the rendered photos, 0.5 to 1."""

PIXEL_SPREAD_PX = 0.29
"""Spread of light by a pixel's own square, px. Source: standard deviation of a uniform distribution, 1 / sqrt(12)."""

# The look of a mark, carried over to another photo
GRID_STEP_PX = 6
"""Spacing of the pixels whose place on the glass is traced. Source: a dome of 400 px bends the mapping by less than
0.05 px between them."""

LOOK_MARGIN_PX = 26
"""Surroundings of a mark that are looked at, crop px. Source: about 4 mm, several times the width of most marks, so
that the texture round it can be told."""

LARGEST_WINDOW_PX = 320
"""Longer marks are looked at in so much of them, crop px. Source: time; a scratch of 40 mm."""

MASK_SOFT_PX = 0.7
"""Softness of a mark's edges, crop px. Source: spread of light in a photo."""

SUPPORT_GROW_PX = 4
"""What lies so close round a mark stands for the glass under it, crop px. Source: half a mm; not varied."""

LEAST_PIXELS = 30
"""Fewer pixels, or shifts, tell no spread. Source: a spread known to an eighth."""

CLIPPED_SHARE = 0.97
"""Share of the photo's white above which nothing can be added. Source: code 251 of 255."""

INNER_DEPTH_RATIOS = (0.0, 0.05, 0.1, 0.2, 0.35, 0.6, 0.9)
"""Depths behind the surface, in radii, at which a mark inside may lie. Source: from a crack just under the surface to
a bubble in the ground; parallax grows ever more slowly with depth."""

INNER_ROUNDS = 4
"""Rounds in which the pixel of a point inside is found. Source: each leaves less than half of the miss."""

INNER_LIKELY = 0.3
"""Marks at least this likely bubble or bruise are looked for inside the glass too. Source: INSIDE_ODDS of the sets."""

SEARCH_RATIO = 0.012
"""How far off its place a mark is looked for, in radii, besides the turn's doubt. Source: places of surface marks agree
within 0.1 degree where the turn is known; the rest is for outlines, 1 to 2 px."""

MOST_SEARCH_PX = 12
"""The same in crop px at most. Source: farther off, another mark begins."""

SEEN_FACING = 0.5
"""A place of which less than this share is shown counts as hidden. Source: half."""

RING_STEPS = 360
"""Turns at which a place is looked for where the piece's turn is not sure. Source: a degree, less than the network's
reach on all but the widest pieces."""

# Could it have been seen?
LOG_LIGHT_CHANGE = {'low': 0.9, 'coaxial': -1.0, 'other': 0.0}
"""Median log of a mark's light over that in the photo that shows it, as shares of white paper's, where that was taken
in another light: by the light of the photo that shows it. Source: 48 views of marks on rendered sets."""

U_LOG_SAME_LIGHT, U_LOG_OTHER_LIGHT = 0.35, 1.1
"""Spread of that log in the same light and in another. Source: the same; in the same light from 0.25 to 0.37."""

FOUND_AT_SPREADS, U_LOG_FOUND = 1.5, 0.5
"""How far, in standard deviations of the background, a mark must stand out for one in two to be found, and the spread
of the log of that. Source: rendered marks."""

WOULD_SHOW, COULD_NOT_SHOW = 0.9, 0.1
"""From this probability on a mark would have been seen, and up to that it could not be. Source: the aim that at most
one such statement in twenty is wrong."""

# New or not
SEEN_CLIP = 5.0
"""Largest log of the ratio that the looks of one photo may give. Source: one place in 150 deceives."""

AMOUNT_SEEN, U_AMOUNT_SEEN = 0.85, 0.35
"""Share of a lasting mark's light that another photo in the same light shows, and its spread. Source: 79 views of old
marks on rendered photos."""

AMOUNT_CLEAN = 0.15
"""The same of clean glass: the best of several shifts is a little above none. Source: places of dust that was wiped
off, rendered."""

NEW_SHARE = 0.3
"""Share of real marks found on arrival that a journey made. Source: convention of this project, one of three."""

FALSE_AGAIN = 0.25
"""Chance that what is no mark looks the same in another photo in the same light. Source: FALSE_SAME_LIGHT of the sets,
rounded up since the piece's own glare and design repeat."""

NEW_BUBBLE = 0.1
"""Weight of a bubble among new marks. Source: none can arise; the rest is for cracks taken for one."""

LEAST_MARK = 0.15
"""Tracks of which no photo is surer than this are passed over. Source: none of them can become surer than one half."""

PRESENT = 0.5
"""A mark counts as seen on the other side from this probability on. Source: even odds."""

# Grown
GROWN_SPREADS = 2.0
"""A mark is surely larger beyond so many standard uncertainties of the difference. Source: coverage factor of 2, as in
all reports."""

GROWN_RATIO = 1.3
"""And by so much at least. Source: sizes of one mark in two photos of rendered pieces differ by less in nine of ten."""

GROWN_REACH_PX = 5
"""What lies so near to what was there before is no growth, crop px. Source: outlines of one mark in two photos."""

LEAST_GROWN_PX = 20
"""Fewer px are no growth. Source: half a mm of a scratch and its edges."""

MOST_OWN_PX = 14
"""Shifts of a mark's look at which it would still touch the mark tell no background, up to so many crop px.
Source: half of LOOK_MARGIN_PX and a little, so that enough shifts are left."""

"""Numbers of the judgement on several photos."""

GLASS_INDEX = 1.52
"""Refractive index taken for the glass. Source: soda-lime and crown glass at 589 nm, 1.51 to 1.53 (Hecht, Optics,
table of indices; from memory); lead glass reaches 1.6, which moves what lies inside by some per cent."""

# The design seen from above
DESIGN_LEVEL_RATIOS = (0.15, 0.4, 0.65)
"""Heights at which the design is unrolled, as shares of the piece's height, besides the surface itself.
Source: designs lie on a ground in the lower half or rise to a cushion; with these three, 30 of 32 pairs of rendered
photos had their highest peak, or one equal to it by symmetry, within 1.2 degrees of the true turn."""

DESIGN_GRID = 241
"""Points across an unrolled design. Source: finer than 0.3 mm on the widest pieces; not varied."""

DESIGN_REACH_RATIO = 0.85
"""How far from the middle the design is unrolled, as a share of the piece's radius. Source: beyond it the glass leans
more than 58 degrees (zones.py) and shows mirror images."""

DESIGN_LEAST_FACING = 0.2
"""Steeper glass takes no part in that. Source: as the reach; not varied."""

DESIGN_COARSE_POINTS = 60
"""Points across the outline at which rays are traced; between them places are interpolated. Source: a dome's mapping
is smooth; interpolation errs by less than a tenth of a grid step."""

DESIGN_CLIPPED_CODE = 245
"""Brighter pixels are mirrored lamps. Source: 8-bit codes end at 255; blur and JPEG take some off."""

DESIGN_DARKEST_CODE = 6.0
"""Added before the logarithm. Source: a camera's noise in the dark, in 8-bit codes."""

DESIGN_SMOOTH_RATIO = 0.7
"""Blur before unrolling, in grid steps. Source: half a step each side keeps fine pattern from folding."""

DESIGN_LOCAL_STEPS = 12.0
"""Radius, in grid steps, within which brightness is made even. Source: 0.1 of the piece's radius, a cane's size;
shading by lamps changes more slowly."""

DESIGN_LOCAL_FLOOR = 0.02
"""Least contrast, in log brightness, that counts as pattern. Source: noise of an 8-bit photo at half light."""

DESIGN_CLIP = 2.5
"""Evened values are cut there. Source: keeps one glint from ruling; standard for robust correlation."""

DESIGN_HUE_SPREAD = 0.25
"""A hue's usual spread, in log ratio of two colours. Source: makes hues weigh about as much as evened brightness on
rendered photos; not varied."""

DESIGN_RINGS = (0.15, 0.8, 22)
"""First and last ring, as shares of the radius, and how many. Source: inside lies the lamp's mirror image, outside the
steep rim; not varied."""

TURN_STEPS = 720
"""Steps of a full turn. Source: half a degree, about a mark's own doubt."""

U_AGREEMENT = 0.03
"""Standard uncertainty of the agreement of two designs, and so how much better one turn must be than another.
Source: spread of the agreement at equal turns of symmetric swirls, 20 pairs of rendered photos."""

U_TURN_DESIGN_DEG = 1.0
"""Standard uncertainty of a turn by the design alone. Source: 30 pairs of rendered photos, median error 0.2 degrees;
in swirls, where a wrong height acts like a turn, up to 1.9."""

# What a photo shows of a place
PEAK_REACH_MM = 1.0
"""How far from a place the network's odds are looked for. Source: places of surface marks agree within 0.1 degree
(0.1 mm) between rendered photos when the turn is known; the rest is for the turn's and the mark's own doubt."""

PEAK_REACH_RATIO = 0.025
"""The same without a card, as a share of the piece's width. Source: 1 mm on a piece of usual width, half of 80 mm."""

LEAST_ODDS = 1e-4
"""Odds below this, and above one less this, count as this. Source: float16 holds no more there."""

FACING_BLIND, FACING_CLEAR = 0.15, 0.4
"""Between these two a place goes from not judged to clearly seen. Source: 0.15 is where unseen_constants.py ends;
beyond 0.4 the recall of the network on rendered photos no longer rises with facing."""

# Lights
LIGHT_RINGS = ((0.25, 0.45), (0.45, 0.65), (0.65, 0.8), (0.8, 0.95))
"""Rings of the outline, as shares of its size, whose brightness tells two lights apart. Source: the lamp's mirror
image lies inside 0.25 or on one ring alone."""

LIGHT_GROUND = (1.5, 1.7)
"""Ring of ground that brightness is related to. Source: outside the piece's shadow, inside the frame card's
markers."""

SAME_LIGHT_LOG = 0.5
"""Two photos differ in light where the middle difference of their rings, in log brightness, is larger. Source: 32
rendered photos of 12 pieces: at most 0.35 in the same light, at least 0.7 in another."""

# What the network says near a place, in log-odds
SEEN_MEAN, SEEN_SD = 6.0, 3.5
"""Of a mark that is there. Source: 108 views of marks in other photos of their pieces, rendered, turns known: median
7.6, mean 6.1 in the same light; the spread is taken wide, since networks differ."""

NOTHING_MEAN, NOTHING_SD = -6.2, 1.9
"""Of plain glass and design. Source: 1866 places on the same photos, robust spread 1.7, rounded up."""

REPEAT_CLIP = 4.0
"""Largest log of the ratio that one look may give. Source: one in fifty looks deceives, exp(4) = 55; dust lands
anywhere."""

FOUND_SAME_LIGHT, FOUND_OTHER_LIGHT = 0.92, 0.7
"""Chance that a mark which one photo shows is shown by another that sees its place, in the same light and in another.
Source: the same 108 views: 64 of 67 and 29 of 41, rounded down for marks that are fainter than those."""

FALSE_SAME_LIGHT, FALSE_OTHER_LIGHT = 0.2, 0.08
"""Chance that what is no mark is seen again at the same place: a detail of the design deceives twice, the more in the
same light. Source: 52 views of false candidates: 6 of 30 and 1 of 22 above log-odds of 0."""

# Turns of the piece between photos
TURN_LEAST_CONFIDENCE = 0.2
"""Less likely marks do not tell a turn. Source: below it most are false alarms that stay with the lamp."""

TURN_MISS_LEAST = 0.7
"""A mark that the other photo does not show counts at least this much for a turn. Source: what hides one mark, such as
another light, hides most of them; convention of this project."""

UNTURNED_MASS = 0.3
"""Probability, before looking, that the piece was not turned between two photos. Source: convention of this
project."""

UNTURNED_MASS_WALKED = 0.9
"""The same where photos from the side look at the card from all round: who walks round a piece need not turn it.
Source: convention of this project."""

UNTURNED_STEPS = 3
"""A piece that was lifted and put back as it was is within so many turn steps. Source: 1.5 degrees, a careful hand."""

WALKED_DEG = 45.0
"""Side photos count as taken all round if the camera's bearings on the card differ by this. Source: half a quarter."""

U_AGREEMENT_LOW = 0.06
"""Added to U_AGREEMENT where two designs hardly agree, times one less their agreement. Source: highest agreement of
wrong turns on rendered photos in two lights, 0.05 to 0.1 above the next."""

TURN_CHOICES = 8
"""Turns kept for each pair of photos. Source: a swirl has up to twelve equal turns, but the marks rule most out."""

TURN_STATES = 60
"""Joint choices kept while photos are joined. Source: more changed nothing on rendered sets."""

TURN_SAME_STEPS = 6
"""Turns closer than so many steps are one. Source: 3 degrees, the width of the agreement's peak."""

TURN_SURE = 0.8
"""A turn less probable than this is not used; the photo stays by itself. Source: convention of this project."""

TURN_NEAR_RAD = 0.05
"""Marks this near after the turn refine it. Source: 3 degrees, as TURN_SAME_STEPS."""

U_TURN_FLOOR_DEG = 0.1
"""Least standard uncertainty of a turn. Source: places of marks agree to 0.1 degree at known turns, see
PEAK_REACH_MM."""

U_CENTRE_MM = 0.25
"""Standard uncertainty of where a spot's middle lies. Source: twice U_EDGE_PX at usual scale."""

# Joining marks
JOIN_SHARE = 0.3
"""Two marks are one if so much of either lies within reach of the other. Source: a scratch is often seen in parts;
half of it and a margin."""

JOIN_POINTS = 24
"""Points of an outline that are compared. Source: enough for a curved scratch; not varied."""

JOIN_RAY_RATIO = 0.03
"""Rays to one mark inside the glass pass each other at most this far, in radii. Source: 1 mm on a piece of 70 mm, as
PEAK_REACH_MM."""

DEEPEST_RATIO = 1.8
"""Farthest that a mark lies behind the glass it is seen through, in radii. Source: a piece is less than two radii
high."""

INSIDE_ODDS = 0.3
"""Marks at least this likely bubble or bruise may be related through the glass. Source: below it they would be
scratches and chips, which lie on the surface, three times in four."""

PARALLAX_VISIBLE = 0.3
"""How far an empty place counts, against a clear look, where a mark inside would show elsewhere in this view.
Source: convention of this project; the shift of an unknown depth between top and side is several millimetres."""

SEEN_AGAIN_ODDS = 0.3
"""Least odds near a place for a mark to count as seen there too. Source: between the 0.25 and 0.4 by which single
photos are cut into regions (marks/constants.py)."""

OTHER_MARK_LOG_ODDS = 1.0
"""Where a photo's other marks raise the log-odds near a place by more than this, the photo says nothing of the place.
Source: convention of this project."""

JOIN_FURTHER = (0.5, 0.2)
"""Least share near, and least likeness of kind, for a further mark of one photo to be a part of the same mark.
Source: as JOIN_SHARE, stricter, since a chip at the end of a scratch is a mark of its own."""

SIDE_TRUST = 0.5
"""How much marks count for a turn where a photo is from the side. Source: facets and the inner wall show marks there
that lie elsewhere; convention of this project."""

SEEN_AGAIN_EDGE_RATIO = 0.35
"""Such a region ends where odds fall below this share of its peak. Source: about half its height in log-odds."""

# Dust
DUST_STAYS = 0.5
"""Chance that dust of one photo is still there in another, where nobody says which were taken after wiping.
Source: no knowledge either way."""

DUST_AFTER_WIPING = 0.1
"""Share of dust that wiping leaves. Source: convention of this project."""

# On the glass or in it
SURFACE_BY_KIND = {'scratch': 0.98, 'chip': 0.96, 'bubble': 0.03, 'bruise': 0.05, 'dust': 0.99}
"""Chance that a mark of a kind lies on the surface. Source: what the kinds are; the rest is for open bubbles and for
cracks that reach the surface."""

LAYER_SURE = 0.8
"""The layer is named if it is at least this probable, else it is undecided. Source: convention of this project."""

LAYER_SURE_ALONE = 0.9
"""The same where nothing but the kind tells it. Source: convention of this project: a guess from the kind has to be
clearer than a finding."""

U_PLACE_RATIO = 0.006
"""Standard uncertainty of a spot's place in one view, in radii. Source: U_CENTRE_MM on a piece of usual width."""

U_PLACE_SIDE_RATIO = 0.02
"""The same between photos from above and from the side: the dome is not quite an ellipsoid.
Source: estimate of this project."""

U_LINE_RATIO = 0.25
"""Standard uncertainty of the middle of a line, as a share of its length: parts of it go unseen. Source: a quarter
missing at one end moves the middle by an eighth; twice that for both ends."""

LONG_LINE_RATIO = 0.05
"""Lines longer than this, in radii, have no middle that two views agree on. Source: 2 mm on a piece of usual width; on
rendered sets, longer scratches came out as undecided."""

PARALLAX_CLIP = 4.0
"""Largest log of the ratio that parallax may give. Source: as REPEAT_CLIP."""

# What was seen of the surface
COVERAGE_POINTS = 6000
"""Points spread evenly over the dome. Source: a share of 1 % is then known to a tenth of it."""

COVERAGE_CLEAR = 0.4
"""A point counts as seen if it is seen at least this well. Source: facing of 0.25, STEEPEST_FACING in
unseen_constants.py, on the way from FACING_BLIND to FACING_CLEAR."""

# Close-ups without a card
CLOSE_UP_MOST_PX = 1600
"""Larger pictures are reduced to this side before details are sought. Source: time; finer details are not shared."""

CLOSE_UP_RATIO = 0.75
"""A detail's best match must be nearer than this share of the distance of its next best. Source: Lowe 2004 gives 0.8;
stricter, since canes repeat."""

CLOSE_UP_REACH_PX = 4.0
"""How far matched details may lie from the map, in px of the whole. Source: a close-up is taken from nearer, so that
depth moves details by about so much."""

CLOSE_UP_LEAST_MATCHES = 15
"""Fewer agreeing details place nothing. Source: six numbers of the map and chance; convention of this project."""

CLOSE_UP_SCALES = (0.05, 0.95)
"""Px of the whole for a px of the close-up, least and most. Source: what is no finer than the whole is no close-up."""

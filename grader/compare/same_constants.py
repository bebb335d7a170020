"""Numbers of the judgement whether two sides show one piece."""

CHART_POINTS = 121
"""Points across a chart of the design. Source: 3 px apart on a listing picture of 600 px, about its resolution."""

CHART_LEVELS = (None, 0.15, 0.4, 0.65)
"""Heights at which charts are drawn. Source: DESIGN_LEVEL_RATIOS of the sets, and the surface itself."""

CHART_REACH_RATIO = 0.85
"""Charts end there at the latest, in radii. Source: DESIGN_REACH_RATIO of the sets."""

CHART_EDGE_PERCENTILE = 97.0
"""A chart ends where so much of the glass that faces the camera is drawn. Source: the last few per cent are drawn out
or pressed by refraction; not varied."""

CHART_BLUR_RATIO = 0.7
"""Blur of the photo, in steps of the chart. Source: as DESIGN_SMOOTH_RATIO of the sets."""

CLIPPED_CODE = 245
"""Where all colours are brighter, a lamp is mirrored. Source: as DESIGN_CLIPPED_CODE of the sets; one full colour alone
is a bright design."""

DARKEST_CODE = 6.0
"""Added before the logarithm. Source: as DESIGN_DARKEST_CODE of the sets."""

EVEN_STEPS = 6.0
"""Radius, in chart steps, within which the light is made even. Source: a tenth of the chart, a cane's size."""

PATTERN_CLIP = 1.0
"""Evened log light is cut there. Source: a step from dark ground to white glass is about so much."""

REACH_STEPS = 5
"""How far a detail may lie from its place, in chart steps. Source: on 28 rendered pairs details of one piece lay within
four steps at the true turn, for the level is known roughly only."""

DETAIL_STEPS = 3.0
"""Spread of the window of a detail, in chart steps. Source: a small cane; not varied."""

FIELD_STEPS = 10.0
"""Spread of the window over which shifts are alike, in chart steps. Source: refraction and tilt change slowly over a
piece; a sixth of the chart."""

PATTERN_NOISE = 0.02
"""Log light below which there is no pattern. Source: noise of an 8-bit photo after blur, and JPEG loss."""

GAIN_REACH = 2.0
"""The contrast of one photo may differ from that of the other by this factor from place to place, besides the same
factor all over. Source: a veil of mirrored light halves it; convention of this project."""

DETAIL_SPACING_STEPS = 9
"""Distance of details, in chart steps. Source: three spreads of a detail's window, so that they hardly share pixels."""

DETAIL_LEAST_RATIO = 0.35
"""A place is a detail if its pattern is at least this share of the design's strongest. Source: plain ground tells
nothing; convention of this project."""

DETAIL_AGREES = 0.6
"""From here on a detail counts as agreeing, -1 to 1. Source: rendered pairs, see DEVELOPERS.md."""

TURN_CANDIDATES = 3
"""Turns that are looked at closely. Source: the true turn, or one equal to it, was among the first three in all
rendered pairs."""

CANDIDATE_APART_STEPS = 8
"""Turns this near count as one, in turn steps. Source: 4 degrees, the width of the agreement's peak."""

LUMA_WEIGHT, CHROMA_WEIGHT = 0.7, 1.0
"""Weights of brightness and of two hues in a pattern. Source: flowers in two lights agree by 0.65 to 0.75 so,
and by 0.5 with all three colours alike; torchwork of two pieces by 0.6 instead of 0.75."""

HUE_SPACING_STEPS = 3
"""Distance of places at which hues are compared, in chart steps. Source: hues of nearer places are alike."""

HUE_LEAST_PLACES = 50
"""Fewer places than this say nothing of colours. Source: 1 % of a chart; convention of this project."""

U_HUE = 0.05
"""Standard uncertainty of a hue, log ratio of two colours. Source: noise and JPEG loss of dark glass, two codes in
forty."""

HUE_SPREAD_RATIO = 0.15
"""The same, as a share of how coloured a design is. Source: borders of details that lie half a step off."""

BALANCE_SPREAD = 0.1
"""Usual change of white balance between two photos, log ratio of two colours as coded. Source: a quarter in linear
light; cameras' automatic balance."""

BALANCE_ROUNDS = 6
"""Rounds of the robust fit. Source: more changed nothing."""

FADE_REACH = 2.5
"""A veil fades the hues of one photo at most by this factor. Source: glass under a low ring, rendered, 1.3 to 2."""

STRANGER_SPREAD_RATIO = 0.015
"""Typical difference of width between two pieces of one make. Source: hand-made pieces of one mould differ by a per
cent or two; convention of this project."""

OTHER_MAKE, OTHER_MAKE_RATIO = 0.3, 0.08
"""Chance that a stranger is of another size by design, and by how much. Source: paperweights of 50 to 95 mm;
convention of this project."""

OUTLINE_WRONG, OUTLINE_WRONG_RATIO = 0.1, 0.03
"""Chance that an outline is wrong by more than it says, and by how much. Source: 74 rendered pairs of one piece: widths
differ by more than 2 % in 8, by 4 to 7 % in 5."""

SIZE_MODEL_RATIO = 0.003
"""Standard uncertainty of a comparison of widths besides those of both, as a share. Source: form that is no ellipsoid,
seen from two places; rendered repeats scatter by 0.2 %."""

SIZE_CLIP = 4.0
"""Most that sizes may say, natural log. Source: one in fifty pairs has an outline that is quite wrong."""

SIDE_PHOTOS_MOST = 3
"""Photos of each side that take part in finding the turn. Source: time; the best come first."""

FINE_BLUR_STEPS = 1.0
"""Blur before the turn is made finer, in chart steps. Source: makes slopes hold for a step each way."""

ALL_SEEN = 0.99
"""Mean of what was seen, from where on all was. Source: 1 less rounding."""

FIELD_PRIOR_STEPS = (3.0, 4.0, 2.0, 1.5)
"""Usual size of the terms of the mapping between two charts, by degree, at the chart's edge in chart steps.
Source: fields of shifts on rendered pairs."""

FIELD_ROUNDS = 8
"""Rounds of that fit. Source: more moved the turn by less than 0.01 degrees."""

FIELD_STRIDE = 2
"""Every so many points of a chart take part in that fit. Source: time; neighbours are blurred together."""

FINE_POINTS = 241
"""Points across a fine chart. Source: 2 px apart on a listing picture of 600 px."""

FINE_DETAIL_STEPS = 3.5
"""Spread of the window of a fine detail, in steps of the fine chart. Source: a fleck or a stripe's edge."""

FINE_SPACING_STEPS = 11
"""Distance of fine details, in steps of the fine chart. Source: three spreads of their window."""

ENERGY_RANGE, ENERGY_MIDDLE = (0.02, 0.3), 0.06
"""Pattern of a detail, log light, is cut to this range, and a usual value. Source: noise, a cane on white ground, and
the median of rendered pairs."""

OFF_FLOOR, OFF_MIDDLE = 0.0007, 0.003
"""How far a detail lies off, half widths of a chart: what cannot be told from 0, and a usual value. Source: a tenth of
a step of the fine chart, and the median of rendered pairs."""

DETAIL_ODDS_CLIP = 4.0
"""Most that one detail may say, natural log. Source: one in fifty is a mirrored lamp or a mark."""

DETAILS_LEAST = 5
"""Fewer fine details than this make no design. Source: convention of this project."""

CONTRAST_NONE, CONTRAST_LITTLE = 0.02, 0.04
"""Pattern of a design, log light, below which there is none and little. Source: clear and plain rendered pieces have
0.02 at most; confetti on a pale ground 0.02 to 0.03."""

DESIGN_TRUST_LITTLE = 0.5
"""How far a little design counts for one piece or against it. Source: convention of this project."""

MARKS_CLIP = (-1.0, 2.0)
"""Least and most that marks may say, natural log. Source: marks come and go; dust and design are taken for them."""

MARKS_TRUST = 0.3
"""How far marks count for one piece or against it. Source: on rendered pairs they agree with strangers nearly as often
as with the same piece: details of a design that two pieces share are taken for marks."""

SAME_PROBABILITY, OTHER_PROBABILITY = 0.85, 0.2
"""From the first on it is called the same piece, up to the second another.

Source: of 148 rendered pairs with strangers of one make 94 % of those given 0.85 or more were one piece, but 89 % of
those given 0.8 or more; the second a convention of this project.
"""

ODDS_CLIP = 6.0
"""Most that all grounds together may say, natural log. Source: one in 400: more was never tested."""

TURN_MISFIT = 3.0
"""The doubt of a turn is so many times what the fit says. Source: refined turns against known ones,
30 rendered pairs."""

U_TURN_FLOOR_DEG = 0.07
"""Least standard uncertainty of a turn. Source: median error of refined turns there 0.04 degrees."""

SCORE_PER_LOG_ODDS = 0.03
"""So much better a turn's coarse score must be to outweigh one unit of log-odds. Source: as U_AGREEMENT of the sets."""

MATCHES_SHOWN = 12
"""Details that are shown side by side. Source: what fits on a page."""

MATCH_APART_RATIO = 0.25
"""Shown details lie at least so far apart, in half widths of the chart. Source: spreads a dozen over the design."""

COLOURS_DIFFER = 1.0
"""Colours differ visibly when half of the places are off by more than this many doubts. Source: rendered pairs of one
piece, at most 0.9 in 19 of 20."""

BALANCE_LARGE = 0.15
"""A change of white balance that is out of the usual, log ratio. Source: three halves of BALANCE_SPREAD."""

EQUAL_TURNS_MOST = 12
"""Most equal turns that are counted. Source: swirls have up to twelve stripes."""

EQUAL_TURNS_LOG_ODDS = 2.0
"""A turn whose log-odds are less by no more than this agrees about as well. Source: TURN_SURE of the sets, 0.8 to 0.2,
and a margin."""

TURN_REACH_RATIO = 0.8
"""The turn is that of the design within this share of a chart. Source: 23 rendered pairs: turns within 0.2 degrees in
96 % so, in 91 % with 0.6, in 87 % with all; by the mapping's linear terms alone in 70 %."""

TURN_POINTS = 41
"""Points across the disc over which that turn is taken. Source: the mapping is smooth."""

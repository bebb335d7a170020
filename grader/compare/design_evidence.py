"""What two photos from above say, by their designs, for one piece or two."""

from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray
from grader.compare.chart_match import ChartMatch, match_charts
from grader.compare.design_chart import ChartSource, DesignChart, draw_chart
from grader.compare.design_field import DesignField, fit_field
from grader.compare.fine_match import FineMatch, match_fine
from grader.compare.piece_colours import ColourMatch, match_colours
from grader.compare.piece_odds import design_features, design_log_odds, detail_log_odds
from grader.compare.same_constants import CHART_LEVELS, FINE_POINTS
from grader.sets.constants import TURN_STEPS
from grader.sets.design_map import DesignMap
from grader.sets.design_turn import level_agreement
from grader.sets.pair_turn import STEP_RAD


@dataclass(frozen=True, slots=True, eq=False)
class DesignEvidence:
    """Two designs laid over each other at the turn that fits best."""

    field: DesignField
    """The mapping between both charts, and the turn from the later photo to the earlier one."""
    match: ChartMatch
    """The coarse comparison."""
    fine: FineMatch
    """The fine details."""
    details: FloatArray
    """(K,) log-odds of each fine detail."""
    colours: ColourMatch
    """Their colours."""
    charts: tuple[DesignChart, DesignChart]
    """Fine charts, of the later photo and of the earlier one."""
    log_odds: float
    """Natural log of the odds of one piece by the design alone."""


def weigh_designs(
    after: ChartSource,
    before: ChartSource,
    maps: tuple[DesignMap, DesignMap],
    steps: tuple[int, ...],
    *,
    other_light: bool,
) -> DesignEvidence:
    """Lay the earlier design over the later one at the best of some turns, and judge how well it fits.

    Parameters
    ----------
    after, before : ChartSource
    maps : (DesignMap, DesignMap)
        Of the later photo and of the earlier one.
    steps : tuple of int
        Turn steps from the later to the earlier photo that may be right.
    other_light : bool
        Whether the photos differ in light.
    """
    agreement = level_agreement(*maps)
    coarse = []
    for step in steps:
        level = CHART_LEVELS[int(np.argmax(agreement[:, step % TURN_STEPS]))]
        charts = _charts(after, before, level)
        coarse.append((match_charts(*charts, step * STEP_RAD), charts, level, step))
    match, charts, level, step = max(coarse, key=lambda one: one[0].score)
    field = fit_field(*charts, step * STEP_RAD, match)
    fine_charts = _charts(after, before, level, FINE_POINTS)
    fine = match_fine(*fine_charts, field)
    details = detail_log_odds(fine, other_light=other_light)
    colours = match_colours(match.hues)
    features = design_features(details, fine.energy, match.score, colours, other_light=other_light)
    return DesignEvidence(field, match, fine, details, colours, fine_charts, design_log_odds(features))


def _charts(
    after: ChartSource, before: ChartSource, level: float | None, *n_points: int
) -> tuple[DesignChart, DesignChart]:
    reach = min(after.reach_ratio(level), before.reach_ratio(level))
    return draw_chart(after, level, reach, *n_points), draw_chart(before, level, reach, *n_points)

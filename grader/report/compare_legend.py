"""What the list below the two pictures says."""

from functools import partial

from grader.compare.change import ChangeName
from grader.comparison import ChangeFacts
from grader.comparison_build import Compared
from grader.report.canvas import Canvas, Text
from grader.report.compare_places import drawn_facts
from grader.report.compare_signs import draw_sign
from grader.report.compare_wording import (
    CHANGES_HEADING,
    CLOCK_NOTE,
    EMPTY_PLACE,
    NOT_LISTED,
    NOTHING_LISTED,
    POSSIBLE_HEADING,
    SIGNS_HEADING,
    change_details,
    change_title,
    sign_line,
)
from grader.report.legend import LegendRow


def change_rows(compared: Compared) -> tuple[LegendRow, ...]:
    """Return the rows of the list: changes, the less likely ones, the signs."""
    facts = [one for one, _ in drawn_facts(compared)]
    likely, possible = [one for one in facts if one.is_reported], [one for one in facts if not one.is_reported]
    rows = [LegendRow(CHANGES_HEADING, is_heading=True)]
    if compared.comparison.same_piece.verdict == 'another piece':
        return (*rows, LegendRow('', NOT_LISTED), LegendRow('', CLOCK_NOTE))
    rows += [_row(one) for one in likely]
    if not facts:
        rows.append(LegendRow('', NOTHING_LISTED))
    if possible:
        rows.append(LegendRow(POSSIBLE_HEADING, is_heading=True))
        rows += [_row(one) for one in possible]
    if facts:
        rows.append(LegendRow(SIGNS_HEADING, is_heading=True))
        changes = list(dict.fromkeys(one.change for one in facts))
        rows += [LegendRow('', sign_line(change), partial(_draw_plain, change)) for change in changes]
        rows.append(LegendRow('', EMPTY_PLACE))
    return (*rows, LegendRow('', CLOCK_NOTE))


def _row(one: ChangeFacts) -> LegendRow:
    return LegendRow(change_title(one), change_details(one), partial(_draw_change, one))


def _draw_change(one: ChangeFacts, canvas: Canvas, at: tuple[float, float], unit: float) -> Text:
    return draw_sign(canvas, at, one.change, str(one.number), unit, is_possible=not one.is_reported)


def _draw_plain(change: ChangeName, canvas: Canvas, at: tuple[float, float], unit: float) -> Text:
    return draw_sign(canvas, at, change, '', unit, is_possible=False)

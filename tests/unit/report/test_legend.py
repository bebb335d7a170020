"""The list beside the picture: columns, order, headings."""

import numpy as np

from grader.report.canvas import Canvas
from grader.report.legend import LegendRow, draw_legend, lay_out_legend


def rows(n):
    return [LegendRow("Marks found", is_heading=True)] + [LegendRow(f"chip {k}", "on the crown") for k in range(n)]


def titles(layout):
    return [one.row.title for column in layout.columns for one in column]


def test_few_rows_stand_in_one_column():
    layout = lay_out_legend(rows(5), 1200.0)
    assert len(layout.columns) == 1
    assert titles(layout) == [row.title for row in rows(5)]


def test_many_rows_stand_in_more_columns_and_none_is_lost():
    layout = lay_out_legend(rows(60), 1200.0)
    assert len(layout.columns) == 3
    assert titles(layout) == [row.title for row in rows(60)]
    assert layout.height_u > 1200.0


def test_a_heading_never_ends_a_column():
    for n in range(8, 40):
        listed = [*rows(n), LegendRow("Shapes", is_heading=True), *rows(3)[1:]]
        layout = lay_out_legend(listed, 700.0)
        assert not any(column[-1].row.is_heading for column in layout.columns)


def test_texts_lie_in_the_legend_and_not_over_one_another():
    layout = lay_out_legend(rows(20), 1200.0)
    size = (round(layout.height_u), round(layout.width_u))
    texts = draw_legend(Canvas(np.zeros((*size, 3), dtype=np.uint8)), layout, (0.0, 0.0), 1.0)
    assert len(texts) == 41
    columns = {}
    for text in texts:
        assert 0.0 < text.at[0] < layout.width_u
        assert 0.0 < text.at[1] < layout.height_u
        columns.setdefault(round(text.at[0]), []).append(text.at[1])
    for heights in columns.values():
        assert np.diff(heights).min() > 20.0

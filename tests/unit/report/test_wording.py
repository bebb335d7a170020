"""Words of the annotated picture."""

import pytest

from calib.measured import Measured
from grader.grade.grade import grade_piece
from grader.grade.rules import load_rules
from grader.marks.mark import MarkKind
from grader.report.wording import (
    kind_line,
    mark_details,
    mark_title,
    plus_minus,
    scale_bar_words,
    score_line,
    shortened,
    unseen_line,
    width_lines,
)
from tests.support.marks import make_mark


@pytest.mark.parametrize(
    ('value', 'u', 'text'),
    [
        (70.712, 0.175, "70.7 ± 0.3 mm"),
        (70.712, 0.045, "70.71 ± 0.09 mm"),
        (12.14, 0.08, "12.14 ± 0.16 mm"),
        (2.43, 0.5, "2.4 ± 1.0 mm"),
        (23.4, 2.0, "23 ± 4 mm"),
        (23.4, 6.0, "23 ± 12 mm"),
        (2.0, 0.0, "2 mm"),
    ],
)
def test_plus_minus(value, u, text):
    assert plus_minus(Measured(value, (('outline', u),))) == text


def test_marks():
    scratch = make_mark('scratch', 12.0, 0.2, confidence=0.88, zone='crown', clock_h=2.1)
    assert mark_title(scratch, 700.0) == "scratch, 12.0 ± 1.2 mm long, 0.20 mm wide"
    assert mark_details(scratch, 6.2) == "on the crown near 2 o'clock; very likely (88 %); costs about 6 points"
    assert mark_title(make_mark('chip', 2.0), 700.0) == "chip, 2.0 ± 0.2 mm across"
    assert mark_title(make_mark('chip', 2.1, with_card=False), 700.0) == "chip, 3.0 % of the width across"
    assert mark_title(make_mark('scratch', 7.0, 0.2, with_card=False), 700.0) == "scratch, 10.0 % of the width long"
    assert mark_details(make_mark('dust', clock_h=None), 0.0) == "almost certain (100 %); costs nothing"


def test_score():
    grade = grade_piece([make_mark('chip', 2.0)], Measured(70.0), 700.0, 0.1, load_rules())
    low, high = grade.interval
    assert score_line(grade) == f"Score 92 of 100; with 95 % confidence between {int(low)} and {int(high) + 1}"


def test_unseen_parts():
    assert unseen_line("glare", 0.034, 1) == "glare: 3 % of the glass"
    assert unseen_line("window reflection", 0.004, 3) == "window reflection: less than 1 % of the glass, in 3 places"


def test_widths_and_scale_bar():
    assert width_lines("largest width", Measured(70.712, (('outline', 0.175),)), 700.0) == (
        "largest width",
        "70.7 ± 0.3 mm",
    )
    assert width_lines("largest width", None, 712.3) == ("largest width", "712 px")
    assert scale_bar_words(10.0, 0.0) == "10 mm"
    assert scale_bar_words(None, 0.1) == "10 % of the width"


def test_every_kind_is_explained():
    assert kind_line(MarkKind.BRUISE) == "bruise: a crescent-shaped crack under the surface, from a knock"
    assert len({kind_line(kind) for kind in MarkKind}) == len(MarkKind)


def test_long_names_are_shortened():
    assert shortened("IMG_0412.JPG") == "IMG_0412.JPG"
    assert shortened("a" * 60 + ".jpg") == "a" * 22 + "..." + "a" * 18 + ".jpg"

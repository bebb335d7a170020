"""Grades of pieces made by hand: score, band, interval and sentences."""

import math

import pytest

from calib.measured import Measured
from grader.grade.grade import grade_piece
from grader.grade.rules import load_rules
from grader.marks.mark import MarkKind
from tests.support.marks import make_mark

RULES = load_rules()
WIDTH_MM = Measured(70.0, (('outline', 0.2),))


def grade(*marks, unseen_ratio=0.0, width_mm=WIDTH_MM, rules=RULES):
    return grade_piece(marks, width_mm, 700.0, unseen_ratio, rules)


def test_a_piece_without_marks_is_clean():
    result = grade()
    assert (result.score, result.band, result.borderline, result.headline) == (100.0, 'clean', False, "Clean")
    assert result.reasons == ("No damage was found on the glass that the photo shows.",)
    assert result.interval[0] > 99.0
    assert result.interval[1] == 100.0
    assert result.rules_version == 'v1'


def test_two_marks_each_take_a_share_of_what_is_left():
    chip = make_mark('chip', 2.1)
    assert grade(chip).score == pytest.approx(92.0)
    assert grade(chip, chip).score == pytest.approx(100.0 * 0.92**2)


@pytest.mark.parametrize(
    ('marks', 'band'),
    [
        ([make_mark('chip', 1.0)], 'clean'),
        ([make_mark('chip', 2.2)], 'lightly marked'),
        ([make_mark('chip', 6.0)], 'clearly marked'),
        ([make_mark('scratch', 5.0, 0.1)] * 60, 'damaged'),
        ([make_mark('chip', 9.0)] * 7, 'badly damaged'),
    ],
)
def test_worked_cases(marks, band):
    assert grade(*marks).band == band


def test_bubbles_and_dust_cost_little_or_nothing():
    result = grade(make_mark('bubble', 1.5), make_mark('bubble', 1.0), make_mark('dust', 2.0, 0.05))
    assert 99.5 < result.score < 100.0
    assert result.band == 'clean'
    assert "2 bubbles in the glass are features of its making and cost less than a point." in result.reasons
    assert any(reason.startswith("1 speck of dust costs nothing") for reason in result.reasons)


def test_a_mark_as_likely_as_not_does_not_tip_the_score():
    just_under, just_over = (grade(make_mark('chip', 4.0, confidence=c)).score for c in (0.495, 0.505))
    assert abs(just_over - just_under) < 0.2


def test_expected_score_over_confidence_and_kind():
    """Counted 0.5 of the time; then a chip (8 points) in 6 of 10 cases and a bubble (0.4 points) in 4."""
    odds = ((MarkKind.CHIP, 0.6), (MarkKind.BUBBLE, 0.4))
    result = grade(make_mark('chip', 2.1, confidence=0.55, odds=odds))
    assert result.score == pytest.approx(100.0 - 0.5 * (0.6 * 8.0 + 0.4 * 0.4))


def test_costs_sum_to_what_is_missing_and_come_in_the_order_given():
    marks = [make_mark('chip', 1.0), make_mark('chip', 3.0), make_mark('dust', 1.0), make_mark('scratch', 9.0, 0.2)]
    result = grade(*marks)
    assert math.fsum(result.mark_costs) == pytest.approx(100.0 - result.score)
    assert result.mark_costs[1] == max(result.mark_costs)
    assert result.mark_costs[2] == 0.0


def test_reasons_name_the_largest_costs_first_and_sum_the_rest():
    marks = [make_mark('chip', size, zone='shoulder', radius_ratio=0.6) for size in (1.0, 3.0, 2.0, 1.5, 0.9, 0.8, 0.7)]
    reasons = grade(*marks).reasons
    assert reasons[0] == "A chip, 3.0 mm across, on the shoulder near 3 o'clock, costs about 8 points."
    assert [reason[8:11] for reason in reasons[:5]] == ['3.0', '2.0', '1.5', '1.0', '0.9']
    assert reasons[-1].startswith("2 smaller marks together cost about ")


def test_a_doubtful_mark_is_called_possible():
    (reason, *_) = grade(make_mark('scratch', 20.0, 0.3, confidence=0.4, clock_h=11.8)).reasons
    assert reason == "A possible scratch, 20.0 mm long, 0.30 mm wide, near 12 o'clock, counts for about 4 points."


def test_only_slight_doubts():
    assert grade(make_mark('chip', 0.5, confidence=0.2)).reasons == (
        "1 slight or doubtful mark costs less than a point.",
    )


def test_unseen_glass_lowers_the_lower_end_only():
    seen, unseen = grade(make_mark('chip', 2.0)), grade(make_mark('chip', 2.0), unseen_ratio=0.2)
    assert unseen.interval[0] < seen.interval[0] - 3.0
    assert unseen.interval[1] == seen.interval[1]
    assert unseen.score == seen.score
    assert "20 % of the glass could not be seen; damage may hide there, so the score may be lower." in unseen.reasons


def test_too_little_seen_is_never_clean():
    result = grade(unseen_ratio=0.6)
    assert (result.band, result.other_band, result.borderline) == ('lightly marked', 'clean', True)
    assert result.headline == "Borderline: clean or lightly marked"
    assert (
        "60 % of the glass could not be seen; damage may hide there, too much to call the piece clean."
        in result.reasons
    )


def test_near_a_limit_the_grade_says_so():
    result = grade(make_mark('chip', 5.6))
    assert result.borderline
    assert result.reasons[-1] == "Borderline: lightly marked or clearly marked."
    assert {result.band, result.other_band} == {'lightly marked', 'clearly marked'}


def test_a_raised_flag_counts_as_unseen():
    text = RULES.model_dump()
    text['doubt']['unseen_by_flag'] = {'low-light-missing': 0.2}
    rules = type(RULES).model_validate(text)
    flagged = grade_piece([], WIDTH_MM, 700.0, 0.0, rules, ['low-light-missing', 'something-else'])
    plain = grade_piece([], WIDTH_MM, 700.0, 0.0, rules)
    assert flagged.interval[0] < plain.interval[0] - 2.0


@pytest.mark.parametrize('unseen_ratio', [-0.1, 1.1, math.nan])
def test_wrong_unseen_share_is_refused(unseen_ratio):
    with pytest.raises(ValueError, match='unseen_ratio must lie in'):
        grade(unseen_ratio=unseen_ratio)


def test_wholly_unseen_is_graded_without_error():
    result = grade(unseen_ratio=1.0)
    assert result.borderline
    assert result.interval[0] < 90.0


def test_the_note_says_why_a_grade_is_borderline():
    assert grade().note == ""
    assert grade(unseen_ratio=0.6).note == "Too little of the glass could be seen to call it clean."
    result = grade(make_mark('chip', 5.6))
    assert result.note == f"Too near a limit to be sure; the score itself says \"{result.band}\"."

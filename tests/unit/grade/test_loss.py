"""What one mark takes, from its size relative to the piece and its place."""

import math
from dataclasses import replace

import pytest

from calib.measured import Measured
from grader.grade.loss import PieceWidth, counted_confidence, mark_losses, place_weight
from grader.grade.rules import load_rules
from grader.marks.mark import MarkKind
from tests.support.marks import make_mark

RULES = load_rules()
WIDTH = PieceWidth(Measured(70.0), 700.0)


def cost_points(mark, width=WIDTH):
    """Cost of a mark that is certain, alone on the piece."""
    (only,) = mark_losses(mark, width, RULES)
    return 100.0 * (1.0 - math.exp(-only.loss))


@pytest.mark.parametrize(('kind', 'points'), [('chip', 8.0), ('bruise', 10.0), ('bubble', 0.4), ('dust', 0.0)])
def test_reference_spot_costs_what_the_rules_say(kind, points):
    assert cost_points(make_mark(kind, 0.03 * 70.0)) == pytest.approx(points)


def test_reference_scratch_costs_what_the_rules_say():
    assert cost_points(make_mark('scratch', 0.15 * 70.0, 0.003 * 70.0)) == pytest.approx(5.5)


def test_two_halves_of_a_scratch_cost_as_much_as_the_whole():
    (whole,) = mark_losses(make_mark('scratch', 12.0, 0.2), WIDTH, RULES)
    (half,) = mark_losses(make_mark('scratch', 6.0, 0.2), WIDTH, RULES)
    assert 2 * half.loss == pytest.approx(whole.loss)


def test_a_chip_matters_more_on_a_smaller_piece():
    chip = make_mark('chip', 2.0)
    costs = [cost_points(chip, PieceWidth(Measured(mm), 10.0 * mm)) for mm in (50.0, 70.0, 90.0)]
    assert costs == sorted(costs, reverse=True)
    assert costs[0] > 1.75 * costs[2]


def test_without_a_card_the_shares_of_the_width_cost_the_same():
    no_card = make_mark('chip', 2.1, with_card=False)
    assert cost_points(no_card, PieceWidth(None, 700.0)) == pytest.approx(8.0)
    (only,) = mark_losses(no_card, PieceWidth(None, 700.0), RULES)
    assert only.u_relative == pytest.approx(RULES.doubt.u_size_ratio_without_card)


@pytest.mark.parametrize(
    ('radius_ratio', 'zone', 'weight'),
    [(0.0, '', 1.0), (0.5, '', 0.9), (0.95, '', 0.5), (1.0, '', 0.5), (None, 'crown', 1.0), (None, 'rim', 0.55),
     (None, '', 0.8), (0.95, 'crown', 0.5)],
)  # fmt: skip
def test_place_weight(radius_ratio, zone, weight):
    mark = make_mark(zone=zone, radius_ratio=radius_ratio)
    assert place_weight(mark, RULES.place) == pytest.approx(weight)


@pytest.mark.parametrize(('confidence', 'counted'), [(0.0, 0.0), (0.1, 0.0), (0.55, 0.5), (1.0, 1.0)])
def test_counted_confidence(confidence, counted):
    assert counted_confidence(confidence, 0.1) == pytest.approx(counted)


def test_odds_of_kinds_share_the_confidence():
    mark = make_mark(confidence=0.55, odds=((MarkKind.BUBBLE, 0.3), (MarkKind.CHIP, 0.7)))
    chip, bubble = mark_losses(mark, WIDTH, RULES)
    assert (chip.kind, bubble.kind) == (MarkKind.CHIP, MarkKind.BUBBLE)
    assert (chip.odds, bubble.odds) == (pytest.approx(0.35), pytest.approx(0.15))


def test_doubt_shared_with_the_width_cancels():
    """A card printed 1 % too large makes mark and piece 1 % too small: their ratio is sure."""
    width = PieceWidth(Measured(70.0, (('card print', 0.7),)), 700.0)
    shared = width.relative(Measured(2.0, (('card print', 0.02),)), 20.0, 0.2)
    own = width.relative(Measured(2.0, (('mark outline', 0.02),)), 20.0, 0.2)
    assert shared.u_relative == pytest.approx(0.0, abs=1e-12)
    assert own.u_relative == pytest.approx(math.hypot(0.01, 0.01))


def test_a_size_of_nothing_costs_nothing():
    mark = replace(make_mark(), diameter_mm=Measured(0.0))
    assert cost_points(mark) == 0.0


@pytest.mark.parametrize(
    ('make', 'message'),
    [
        (lambda: PieceWidth(None, 0.0), 'width in px must be positive'),
        (lambda: PieceWidth(Measured(-1.0), 10.0), 'width in mm must be positive'),
        (lambda: WIDTH.relative(Measured(-1.0), 1.0, 0.2), 'a size must be finite and not negative'),
        (lambda: WIDTH.relative(None, math.nan, 0.2), 'a size must be finite and not negative'),
    ],
    ids=['no px', 'no mm', 'negative', 'nan'],
)
def test_wrong_sizes_are_refused(make, message):
    with pytest.raises(ValueError, match=message):
        make()

"""What holds for every study of repeatability."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from grader.study.build import build_study
from grader.study.quantity import Values, study_quantity
from grader.study.reading import gather
from tests.support.study_records import invented_study

FEW = settings(max_examples=20, deadline=None, derandomize=True)


@st.composite
def layouts(draw, min_setups=1):
    """Values of pieces by set-ups, with unequal numbers of photos."""
    n_pieces, n_setups = draw(st.integers(2, 5)), draw(st.integers(min_setups, 3))
    rng = np.random.default_rng(draw(st.integers(0, 10_000)))
    rows = []
    for piece in range(n_pieces):
        for setup in range(n_setups):
            for _ in range(draw(st.integers(2, 3))):
                rows.append((float(10 * piece + 2 * setup + rng.normal()), f'p{piece}', f's{setup}'))
    return Values(*(tuple(column) for column in zip(*rows, strict=True)))


def studied(values):
    return study_quantity('score', 'score', 'points', values)


def figures(study, *, without_bias=False):
    """All figures in the unit of the values, in one row."""
    found = [study.repeat.sd, study.repeat.limit_low, study.repeat.limit_high]
    found += [part.sd for part in study.components]
    if study.between_setups is not None and not without_bias:
        found += [study.between_setups.limit, study.between_setups.limit_low, study.between_setups.limit_high]
    for one in study.agreements:
        found.append(one.sd)
        if not without_bias:
            found += [one.bias.value, one.bias.low, one.lower_limit.value, one.upper_limit.high]
    return found


def ratios(study):
    """All figures without a unit."""
    shares = [(part.percent_study, part.percent_contribution) for part in study.components]
    return [*(x for pair in shares for x in pair), *(x for one in study.icc for x in (one.value, one.low, one.high))]


@FEW
@given(layouts(), st.randoms(use_true_random=False))
def test_the_order_of_photos_does_not_matter(values, random):
    rows = list(zip(values.values, values.pieces, values.setups, strict=True))
    random.shuffle(rows)
    other = studied(Values(*(tuple(column) for column in zip(*rows, strict=True))))
    assert figures(other) == pytest.approx(figures(studied(values)), rel=1e-4)
    assert ratios(other) == pytest.approx(ratios(studied(values)), rel=1e-4, abs=1e-4)


@FEW
@given(st.randoms(use_true_random=False))
def test_the_order_of_records_does_not_matter(random):
    records = invented_study(n_pieces=3, setups=('x', 'y'), n_photos=2)
    shuffled = list(records)
    random.shuffle(shuffled)
    assert build_study(gather(shuffled)).to_json() == build_study(gather(records)).to_json()


@FEW
@given(layouts(), st.sampled_from((0.001, 0.1, 25.4)))
def test_another_unit_scales_all_that_has_one(values, factor):
    first = studied(values)
    scaled = studied(Values(tuple(factor * value for value in values.values), values.pieces, values.setups))
    assert figures(scaled) == pytest.approx([factor * one for one in figures(first)], rel=1e-4, abs=1e-9)
    assert ratios(scaled) == pytest.approx(ratios(first), rel=1e-4, abs=1e-4)
    assert scaled.distinct_categories == first.distinct_categories


@FEW
@given(layouts(), st.floats(-50, 50))
def test_adding_to_all_values_changes_no_spread(values, added):
    first = studied(values)
    moved = studied(Values(tuple(value + added for value in values.values), values.pieces, values.setups))
    assert figures(moved) == pytest.approx(figures(first), rel=1e-4, abs=1e-6)
    assert ratios(moved) == pytest.approx(ratios(first), rel=1e-4, abs=1e-4)


@FEW
@given(layouts(min_setups=2), st.floats(-20, 20))
def test_adding_to_one_set_up_moves_only_its_bias(values, added):
    moved = Values(
        tuple(value + added * (setup == 's0') for value, setup in zip(values.values, values.setups, strict=True)),
        values.pieces,
        values.setups,
    )
    before, after = studied(values), studied(moved)
    assert after.repeat.sd == pytest.approx(before.repeat.sd, rel=1e-4)
    for first, second in zip(before.agreements, after.agreements, strict=True):
        shift = added if first.first == 's0' else 0.0
        assert second.sd == pytest.approx(first.sd, rel=1e-4)
        for name in ('bias', 'lower_limit', 'upper_limit'):
            assert getattr(second, name).value == pytest.approx(getattr(first, name).value + shift, abs=2e-3)
    for name in ('piece', 'interaction', 'repeat'):
        parts = [[part.variance for part in study.components if part.source == name] for study in (before, after)]
        assert parts[1] == pytest.approx(parts[0], rel=1e-3, abs=1e-6)


@FEW
@given(layouts())
def test_intervals_hold_their_figures(values):
    study = studied(values)
    for limit in (study.repeat, study.between_setups):
        if limit is not None:
            assert limit.limit_low <= limit.limit <= limit.limit_high
            assert 0 <= limit.n_pairs_within <= limit.n_pairs
    for one in study.agreements:
        for part in (one.bias, one.lower_limit, one.upper_limit):
            assert part.low <= part.value <= part.high


@FEW
@given(layouts())
def test_photos_by_other_set_ups_differ_no_less(values):
    study = studied(values)
    if study.between_setups is not None:
        assert study.between_setups.limit >= study.repeat.limit * (1 - 1e-5)

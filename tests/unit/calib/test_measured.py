"""Values that know how sure they are."""

import math

import pytest

from calib.measured import Measured, combine, format_measured, mean_of

DIAMETER = Measured(70.0, (('card print', 0.12), ('outline', -0.05)))


def test_u_is_the_root_sum_of_squares():
    assert DIAMETER.u == pytest.approx(0.13)
    assert DIAMETER.expanded() == pytest.approx(0.26)
    assert Measured(1.0).u == 0


def test_a_cause_is_named_once():
    with pytest.raises(ValueError, match='each cause must be named once'):
        Measured(1.0, (('outline', 0.1), ('outline', 0.2)))


@pytest.mark.parametrize(
    ('limit', 'above', 'below'),
    [(69.0, True, False), (69.75, False, False), (70.0, False, False), (70.25, False, False), (71.0, False, True)],
)
def test_sure_only_beyond_the_expanded_uncertainty(limit, above, below):
    assert DIAMETER.is_surely_above(limit) is above
    assert DIAMETER.is_surely_below(limit) is below


def test_a_wider_k_is_less_sure():
    assert DIAMETER.is_surely_above(69.7, k=2)
    assert not DIAMETER.is_surely_above(69.7, k=3)


def test_scaling_keeps_the_causes_and_their_signs():
    inches = DIAMETER.scaled(1 / 25.4, 'in')
    assert inches.value == pytest.approx(70 / 25.4)
    assert inches.component('outline') == pytest.approx(-0.05 / 25.4)
    assert inches.unit == 'in'
    assert inches.u / inches.value == pytest.approx(DIAMETER.u / DIAMETER.value)


def test_one_more_cause():
    wider = DIAMETER.with_component('height', 0.3)
    assert wider.u == pytest.approx(math.hypot(0.13, 0.3))
    assert DIAMETER.component('height') == 0
    assert wider.with_component('height', 0.4).component('height') == pytest.approx(0.5)


def test_budget_rows_are_largest_first_and_shares_add_up():
    rows = DIAMETER.budget()
    assert [name for name, _, _ in rows] == ['card print', 'outline']
    assert sum(share for _, _, share in rows) == pytest.approx(1)
    assert rows[1][1] == 0.05


def test_a_shared_cause_cancels_in_a_difference_and_others_do_not():
    after = Measured(69.9, (('card print', 0.12), ('outline of the second photo', 0.05)))
    change = combine(after.value - DIAMETER.value, ((1, after), (-1, DIAMETER)))
    assert change.component('card print') == pytest.approx(0)
    assert change.u == pytest.approx(math.hypot(0.05, 0.05))


def test_the_mean_of_two_views_keeps_what_they_share():
    first = Measured(70.0, (('card print', 0.1), ('outline 1', 0.1)))
    second = Measured(71.0, (('card print', 0.1), ('outline 2', 0.2)))
    mean = mean_of([first, second])
    assert mean.value == pytest.approx(70.2)  # weights 4 : 1
    assert mean.component('card print') == pytest.approx(0.1)
    assert mean.u < first.u


def test_the_mean_without_own_doubts_weighs_alike():
    assert mean_of([Measured(1.0, (('print', 0.1),)), Measured(3.0, (('print', 0.1),))]).value == 2
    with pytest.raises(ValueError, match='mean of no values'):
        mean_of([])


@pytest.mark.parametrize(
    ('value', 'u', 'k', 'text'),
    [
        (70.7123, 0.1731, 2, '70.71 mm ± 0.35 mm (k = 2)'),
        (70.7163, 0.1731, 2, '70.72 mm ± 0.35 mm (k = 2)'),
        (70.7, 0.0498, 2, '70.70 mm ± 0.10 mm (k = 2)'),
        (70.7, 0.04976, 2, '70.70 mm ± 0.10 mm (k = 2)'),
        (0.0, 0.005, 2, '0.000 mm ± 0.010 mm (k = 2)'),
        (-0.0004, 0.05, 2, '0.00 mm ± 0.10 mm (k = 2)'),
        (12.3456, 0.0000123, 2, '12.345600 mm ± 0.000025 mm (k = 2)'),
        (1234.5, 61.7, 2, '1230 mm ± 120 mm (k = 2)'),
        (70.7, 4.99, 2, '71 mm ± 10 mm (k = 2)'),
        (70.7, 0.5, 3, '70.7 mm ± 1.5 mm (k = 3)'),
        (70.7, 0.0, 2, '70.7 mm (exact)'),
    ],
)  # fmt: skip
def test_text_has_two_digits_of_u_and_the_value_to_the_same_place(value, u, k, text):
    assert format_measured(Measured(value, (('all', u),)), k) == text


def test_text_of_nothing_finite_is_a_bug():
    with pytest.raises(ValueError, match='only finite values'):
        format_measured(Measured(math.nan, (('all', 0.1),)))

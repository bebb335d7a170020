"""The analysis of variance: what the layout can tell apart, and what not; against closed forms and simulated truth."""

import numpy as np
import pytest

from grader.study.intervals import Interval, sd_interval
from grader.study.variance import analyse_variance


def drawn(n_pieces, n_setups, counts, sds, seed=3):
    """Values with known standard deviations of pieces, set-ups, their interaction and repeats."""
    rng = np.random.default_rng(seed)
    piece, setup = rng.normal(0, sds[0], n_pieces), rng.normal(0, sds[1], n_setups)
    both = rng.normal(0, sds[2], (n_pieces, n_setups))
    rows = [
        (piece[p] + setup[s] + both[p, s] + rng.normal(0, sds[3]), f'p{p}', f's{s}')
        for p in range(n_pieces)
        for s in range(n_setups)
        for _ in range(counts(p, s))
    ]
    values, pieces, setups = zip(*rows, strict=True)
    return values, pieces, setups


def test_crossed_and_balanced_is_the_textbook():
    values, pieces, setups = drawn(5, 3, lambda p, s: 4, (3.0, 1.0, 2.0, 1.0))
    analysis = analyse_variance(values, pieces, setups)
    table = np.array(values).reshape(5, 3, 4)
    cells, rows, columns = table.mean(axis=2), table.mean(axis=(1, 2)), table.mean(axis=(0, 2))
    ms_piece = 12 * ((rows - table.mean()) ** 2).sum() / 4
    ms_setup = 20 * ((columns - table.mean()) ** 2).sum() / 2
    ms_both = 4 * ((cells - rows[:, None] - columns[None] + table.mean()) ** 2).sum() / 8
    ms_repeat = ((table - cells[..., None]) ** 2).sum() / 45
    assert [row.mean_square for row in analysis.rows] == pytest.approx([ms_piece, ms_setup, ms_both, ms_repeat])
    assert [row.dof for row in analysis.rows] == [4, 2, 8, 45]
    assert analysis.raw == pytest.approx({
        'piece': (ms_piece - ms_both) / 12, 'setup': (ms_setup - ms_both) / 20,
        'interaction': (ms_both - ms_repeat) / 4, 'repeat': ms_repeat,
    })  # fmt: skip
    assert analysis.is_balanced
    assert not analysis.is_pooled
    assert analysis.f_test('piece')[0] == pytest.approx(ms_piece / ms_both)
    assert analysis.f_test('repeat') is None


def test_one_way_unbalanced_is_the_textbook():
    groups = {'a': (1.0, 2.0), 'b': (4.0, 5.0, 6.5), 'c': (2.0, 2.5, 3.0, 3.5), 'd': (9.0,)}
    rows = [(value, piece) for piece, values in groups.items() for value in values]
    analysis = analyse_variance([v for v, _ in rows], [p for _, p in rows], [''] * 10)
    sizes = np.array([2, 3, 4, 1])
    n0 = (10 - (sizes**2).sum() / 10) / 3
    between, within = analysis.rows
    assert (between.dof, within.dof) == (3, 6)
    assert analysis.raw['piece'] == pytest.approx((between.mean_square - within.mean_square) / n0)
    assert not analysis.is_balanced


def test_unequal_numbers_find_the_true_spread():
    # Mean over many studies: the estimates are unbiased whatever the layout.
    sds = (3.0, 1.5, 1.0, 2.0)
    found = []
    for seed in range(300):
        values, pieces, setups = drawn(5, 4, lambda p, s: 1 + (p + 2 * s) % 3, sds, seed)
        found.append(list(analyse_variance(values, pieces, setups, pool_p=1.0).raw.values()))
    for estimates, sd in zip(np.array(found).T, sds, strict=True):
        # Three standard errors of the mean.
        assert estimates.mean() == pytest.approx(sd**2, abs=3 * estimates.std() / np.sqrt(len(found)))


def test_missing_cells_are_reckoned_with():
    values, pieces, setups = drawn(5, 3, lambda p, s: 0 if (p, s) == (0, 2) else 2, (3.0, 1.0, 1.0, 1.0))
    analysis = analyse_variance(values, pieces, setups, pool_p=1.0)
    assert [(row.source, row.dof) for row in analysis.rows] == [
        ('piece', 4), ('setup', 2), ('interaction', 7), ('repeat', 14),
    ]  # fmt: skip
    assert not analysis.is_balanced


def test_one_photo_in_a_cell_leaves_no_interaction():
    values, pieces, setups = drawn(4, 3, lambda p, s: 1, (3.0, 1.0, 1.0, 1.0))
    analysis = analyse_variance(values, pieces, setups)
    assert [(row.source, row.dof) for row in analysis.rows] == [('piece', 3), ('setup', 2), ('repeat', 6)]
    assert not analysis.has_repeats
    assert analysis.p_interaction is None


def test_set_ups_with_pieces_of_their_own_cannot_be_told_apart():
    analysis = analyse_variance([1.0, 2.0, 5.0, 5.5], ['a', 'a', 'b', 'b'], ['x', 'x', 'y', 'y'])
    assert [row.source for row in analysis.rows] == ['piece', 'repeat']
    other = analyse_variance([1.0, 2.0, 5.0, 5.5], ['a', 'a', 'b', 'b'], ['w', 'x', 'y', 'z'])
    assert [row.source for row in other.rows] == ['piece', 'repeat']


def test_one_piece_by_two_set_ups():
    analysis = analyse_variance([1.0, 1.2, 3.0, 3.4], ['a'] * 4, ['x', 'x', 'y', 'y'])
    assert [(row.source, row.dof) for row in analysis.rows] == [('setup', 1), ('repeat', 2)]


def test_one_piece_alone():
    analysis = analyse_variance([1.0, 2.0, 4.0], ['a'] * 3, [''] * 3)
    assert [(row.source, row.dof) for row in analysis.rows] == [('repeat', 2)]
    assert analysis.variance('repeat') == pytest.approx(np.var([1.0, 2.0, 4.0], ddof=1))
    assert analysis.variance('piece') == 0.0


@pytest.mark.parametrize(
    ('pieces', 'setups'),
    [(['a', 'b', 'c'], ['', '', '']), (['a', 'a'], ['x', 'y']), (['a'], [''])],
    ids=['one photo a piece', 'one photo a set-up', 'one photo'],
)
def test_nothing_repeated_tells_nothing(pieces, setups):
    assert analyse_variance([float(k) for k in range(len(pieces))], pieces, setups) is None


def test_negative_variance_is_kept_raw_and_counts_as_nothing():
    analysis = analyse_variance([1.0, 3.0, 3.0, 1.0], ['a', 'a', 'b', 'b'], [''] * 4)
    assert analysis.raw['piece'] == pytest.approx(-1.0)
    assert analysis.variance('piece') == 0.0


def test_equal_values_have_no_spread():
    analysis = analyse_variance([1 / 3] * 6, ['a', 'a', 'b', 'b', 'c', 'c'], [''] * 6)
    assert analysis.raw == {'piece': 0.0, 'repeat': 0.0}
    assert analysis.sum_of(('repeat',)) == (Interval(0.0, 0.0, 0.0), 3.0)
    assert analysis.f_test('piece') is None


def test_sum_of_sources_in_a_balanced_study():
    # Source: for set-ups at random, the variance between them is a sum of mean squares with positive weights.
    values, pieces, setups = drawn(6, 3, lambda p, s: 2, (3.0, 2.0, 2.0, 1.0))
    analysis = analyse_variance(values, pieces, setups, pool_p=1.0)
    squares = {row.source: row.mean_square for row in analysis.rows}
    parts = {
        'setup': squares['setup'] / 12,
        'interaction': squares['interaction'] * 5 / 12,
        'repeat': squares['repeat'] / 2,
    }
    total, dof = analysis.sum_of(('setup', 'interaction', 'repeat'))
    assert total.value == pytest.approx(sum(parts.values()))
    dofs = {row.source: row.dof for row in analysis.rows}
    assert dof == pytest.approx(total.value**2 / sum(part**2 / dofs[name] for name, part in parts.items()))


def test_interval_of_the_repeats_is_exact():
    values, pieces, setups = drawn(4, 2, lambda p, s: 3, (3.0, 2.0, 2.0, 1.0))
    variance, dof = analyse_variance(values, pieces, setups, pool_p=1.0).sum_of(('repeat',))
    exact = sd_interval(variance.value**0.5, dof)
    assert (variance.low, variance.high) == (pytest.approx(exact.low**2), pytest.approx(exact.high**2))


@pytest.mark.parametrize(
    ('sds', 'counts'),
    [
        ((5.0, 2.0, 1.0, 1.0), lambda p, s: 2),
        ((5.0, 0.0, 0.0, 1.0), lambda p, s: 2),
        ((5.0, 0.5, 0.5, 1.0), lambda p, s: 1 + (p + s) % 3),
    ],
    ids=['set-ups differ', 'they do not', 'unequal numbers'],
)
def test_intervals_hold_the_truth_as_often_as_they_say(sds, counts):
    n, held, held_between = 300, 0, 0
    for seed in range(n):
        analysis = analyse_variance(*drawn(8, 3, counts, sds, seed))
        repeat, _ = analysis.sum_of(('repeat',))
        between, _ = analysis.sum_of(('setup', 'interaction', 'repeat'))
        held += repeat.low <= sds[3] ** 2 <= repeat.high
        held_between += between.low <= sds[1] ** 2 + sds[2] ** 2 + sds[3] ** 2 <= between.high
    # Three standard errors of a share of 300; an interaction that is joined with the repeats costs a little.
    assert held / n > 0.95 - 0.038
    assert held_between / n > 0.95 - 0.038

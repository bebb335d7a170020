import itertools

import numpy as np
import pytest

from grader.outline.closed_path import closed_path


def cheapest(cost, max_step, step_cost):
    """Every closed path there is, tried one by one."""
    n_rows, n_columns = cost.shape
    best, best_path = np.inf, None
    for path in itertools.product(range(n_columns), repeat=n_rows):
        steps = np.abs(np.diff([*path, path[0]]))
        if steps.max() <= max_step:
            total = cost[np.arange(n_rows), path].sum() + step_cost * steps.sum()
            if total < best:
                best, best_path = total, path
    return best_path


@pytest.mark.parametrize('seed', range(8))
def test_it_finds_the_cheapest_closed_path(seed):
    # A clear valley, so that the turn that is read does not depend on where it starts.
    cost = np.random.default_rng(seed).random((6, 5)) + np.abs(np.arange(5) - 2)
    assert tuple(closed_path(cost, 1, 0.2)) == cheapest(cost, 1, 0.2)


def test_it_keeps_to_the_largest_step():
    cost = np.random.default_rng(3).random((40, 30))
    path = closed_path(cost, 2, 0.0)
    assert np.abs(np.diff(path)).max() <= 2


def test_steps_that_cost_much_give_a_level_path():
    cost = np.random.default_rng(4).random((40, 30))
    path = closed_path(cost, 2, 100.0)
    assert set(path) == {int(cost.sum(axis=0).argmin())}

"""The turn between two unrolled designs."""

import numpy as np
import pytest

from grader.sets.constants import DESIGN_RINGS, TURN_STEPS
from grader.sets.design_map import DesignMap
from grader.sets.design_turn import design_agreement

N_RINGS = DESIGN_RINGS[2]


def design(seed=3, folds=1):
    """A random pattern, alike `folds` times round."""
    rng = np.random.default_rng(seed)
    part = rng.normal(size=(4, N_RINGS, TURN_STEPS // folds, 5)).astype(np.float32)
    return np.tile(part, (1, 1, folds, 1))


def as_map(pattern, hidden=slice(0, 0)):
    seen = np.ones(pattern.shape[:3], bool)
    seen[:, :, hidden] = False
    return DesignMap(pattern * seen[..., None], seen)


@pytest.mark.parametrize('steps', [0, 1, 250, 719])
def test_a_turned_design_agrees_at_its_turn_alone(steps):
    pattern = design()
    agreement = design_agreement(as_map(pattern), as_map(np.roll(pattern, steps, axis=2)))
    assert int(agreement.argmax()) == steps
    assert agreement[steps] == pytest.approx(1.0, abs=1e-5)  # float32 patterns
    assert np.delete(agreement, steps).max() < 0.2


def test_hidden_parts_do_not_count():
    pattern = design()
    other = as_map(np.roll(pattern, 100, axis=2), hidden=slice(300, 500))
    agreement = design_agreement(as_map(pattern), other)
    assert int(agreement.argmax()) == 100
    assert agreement[100] == pytest.approx(1.0, abs=1e-5)


def test_a_symmetric_design_leaves_its_turn_open():
    pattern = design(folds=6)
    agreement = design_agreement(as_map(pattern), as_map(np.roll(pattern, 50, axis=2)))
    np.testing.assert_allclose(agreement[50 :: TURN_STEPS // 6], 1.0, atol=1e-5)


def test_one_level_that_agrees_is_enough():
    pattern, noise = design(), design(seed=8)
    mixed = np.roll(pattern, 40, axis=2)
    mixed[:3] = noise[:3]
    assert int(design_agreement(as_map(pattern), as_map(mixed)).argmax()) == 40

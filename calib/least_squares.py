"""Damped least squares over any kind of state.

Levenberg's and Marquardt's method (D. Marquardt, 1963, from memory): Gauss-Newton steps,
damped in proportion to each parameter's own curvature until they go downhill.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeVar

import numpy as np

from calib.arrays import FloatArray
from calib.constants import FIT_STEPS_MAX

State = TypeVar('State')


@dataclass(frozen=True, slots=True, eq=False)
class NormalEquations:
    """A sum of squares near one state.

    Attributes
    ----------
    cost : float
        Half the sum.
    matrix : ndarray of shape (P, P)
        Its curvature, J^T W J.
    downhill : ndarray of shape (P,)
        Its negative slope, J^T W r.
    """

    cost: float
    matrix: FloatArray
    downhill: FloatArray


def descend(
    start: State,
    equations: Callable[[State], NormalEquations],
    moved: Callable[[State, FloatArray], State],
) -> State:
    """The state at the bottom of the valley that `start` lies in.

    Parameters
    ----------
    start : State
    equations : callable
        State -> its NormalEquations.
    moved : callable
        State and a step of shape (P,) -> the state one step on.

    Returns
    -------
    State
        After a step changes the cost by less than one part in 1e9, or FIT_STEPS_MAX steps.
    """
    state, here, damping = start, equations(start), 1e-3
    for _ in range(FIT_STEPS_MAX):
        damped = here.matrix + damping * np.diag(np.diag(here.matrix))
        trial = moved(state, np.asarray(np.linalg.solve(damped, here.downhill), dtype=np.float64))
        there = equations(trial)
        if there.cost <= here.cost:
            gain = here.cost - there.cost
            state, here, damping = trial, there, max(damping / 10, 1e-12)
            if gain < 1e-9 * (1 + here.cost):
                break
        else:
            damping *= 10
            if damping > 1e12:
                break
    return state

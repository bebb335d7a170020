"""Turns at which evidence peaks."""

import numpy as np

from calib.arrays import FloatArray
from grader.sets.constants import TURN_STEPS


def highest_peaks(evidence: FloatArray, n_peaks: int, apart_steps: int) -> tuple[int, ...]:
    """Steps of the highest peaks on the circle, the highest first, no two nearer than `apart_steps`.

    Parameters
    ----------
    evidence : ndarray of shape (TURN_STEPS,)
    """
    around = np.maximum(np.roll(evidence, 1), np.roll(evidence, -1))
    chosen: list[int] = []
    for step in sorted(np.flatnonzero(evidence >= around).tolist(), key=lambda k: (-evidence[k], k)):
        if all(steps_apart(step, other) > apart_steps for other in chosen):
            chosen.append(step)
        if len(chosen) == n_peaks:
            break
    return tuple(chosen)


def steps_apart(first: int, second: int) -> int:
    """Steps between two turns on the circle."""
    return abs((first - second + TURN_STEPS // 2) % TURN_STEPS - TURN_STEPS // 2)

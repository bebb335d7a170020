"""The cheapest closed path through a table: one column chosen in each row, neighbours close together."""

import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray


def closed_path(cost: FloatArray, max_step: int, step_cost: float) -> npt.NDArray[np.int64]:
    """Columns of the cheapest path that goes once round all rows and ends near where it began.

    The table is walked twice by dynamic programming and the middle turn is read, so that the seam has a past on
    both sides; the ends of that turn then agree to within `max_step` in all but contrived tables.

    Parameters
    ----------
    cost : ndarray of shape (n_angles, n_places)
        Cost of each place in each row.
    max_step : int
        Largest change of column from row to row.
    step_cost : float
        Cost of each column of change.

    Returns
    -------
    ndarray of shape (n_angles,)
        int64 column of each row.
    """
    n_angles, n_places = cost.shape
    steps = np.arange(-max_step, max_step + 1)
    fence = np.full(max_step, np.inf)
    columns = np.arange(n_places)
    best = cost[0].astype(np.float64)
    came_by = np.zeros((2 * n_angles, n_places), dtype=np.int64)
    for row in range(1, 2 * n_angles):
        padded = np.concatenate([fence, best, fence])
        reach = np.lib.stride_tricks.sliding_window_view(padded, len(steps)) + step_cost * np.abs(steps)
        choice = reach.argmin(axis=1)
        came_by[row] = steps[choice]
        best = reach[columns, choice] + cost[row % n_angles]
    path = np.empty(2 * n_angles, dtype=np.int64)
    path[-1] = int(best.argmin())
    for row in range(2 * n_angles - 1, 0, -1):
        path[row - 1] = path[row] + came_by[row, path[row]]
    half = n_angles // 2
    return np.concatenate([path[n_angles : n_angles + half], path[half:n_angles]])

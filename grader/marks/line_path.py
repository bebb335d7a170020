"""The middle line of a thin region."""

import numpy as np
from scipy.sparse import coo_array, csr_array
from scipy.sparse.csgraph import dijkstra
from skimage.morphology import skeletonize

from grader.marks.close_up_lines import main_axis
from grader.marks.constants import PATH_STEP_PX
from grader.marks.regions import Region

_NEIGHBOURS = ((0, 1), (1, 0), (1, 1), (1, -1))


def line_path(region: Region) -> np.ndarray:
    """Longest path along the region's skeleton, smoothed, in crop px.

    Found by two sweeps of shortest paths over the skeleton's pixels (exact on a tree).

    Returns
    -------
    ndarray of shape (N, 2), float64
        Points (x, y) from end to end, N >= 2.
    """
    mask, (x0, y0) = region.mask()
    rows, columns = np.nonzero(skeletonize(mask > 0))
    points = np.stack([columns + x0, rows + y0], axis=1).astype(np.float64)
    if len(points) < 2:
        return _long_axis(region)
    graph = _skeleton_graph(rows, columns, mask.shape)
    first = int(np.argmax(_reach(dijkstra(graph, indices=0))))
    away, before = dijkstra(graph, indices=first, return_predecessors=True)
    node, path = int(np.argmax(_reach(away))), []
    while node >= 0:
        path.append(node)
        node = int(before[node])
    return _smooth(points[path]) if len(path) > 2 else _long_axis(region)


def _reach(distance: np.ndarray) -> np.ndarray:
    return np.asarray(np.where(np.isfinite(distance), distance, -1.0))


def _skeleton_graph(rows: np.ndarray, columns: np.ndarray, shape: tuple[int, ...]) -> csr_array:
    """Weighted neighbours of the skeleton's pixels, (N, N)."""
    number = np.full((shape[0] + 2, shape[1] + 2), -1)
    number[rows + 1, columns + 1] = np.arange(len(rows))
    starts, ends, weights = [], [], []
    for down, right in _NEIGHBOURS:
        other = number[rows + 1 + down, columns + 1 + right]
        met = np.flatnonzero(other >= 0)
        starts += [met, other[met]]
        ends += [other[met], met]
        weights += [np.full(2 * len(met), np.hypot(down, right))]
    ways = (np.concatenate(starts), np.concatenate(ends))
    return coo_array((np.concatenate(weights), ways), shape=(len(rows),) * 2).tocsr()


def _smooth(path: np.ndarray) -> np.ndarray:
    """Keep every few points, so that pixel steps do not lengthen the path."""
    keep = np.unique(np.linspace(0, len(path) - 1, max(2, round(len(path) / PATH_STEP_PX) + 1)).round().astype(int))
    return np.asarray(path[keep])


def _long_axis(region: Region) -> np.ndarray:
    """Ends of the region along its principal axis, (2, 2)."""
    points = np.stack([region.columns, region.rows], axis=1).astype(np.float64)
    middle = points.mean(axis=0)
    axis = main_axis(points)
    along = (points - middle) @ axis
    return np.stack([middle + along.min() * axis, middle + along.max() * axis])

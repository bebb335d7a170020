"""Which markers lie in their printed places, and which are seen in the glass.

Markers mirrored in or seen through a piece are read with a right id at a wrong
place. The card is one plane, so the true ones share one plane-to-photo mapping.
"""

from dataclasses import dataclass
from itertools import combinations

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray
from calib.card import CardSpec
from calib.constants import CONSENSUS_PAIRS_MAX, CONSENSUS_TOLERANCE_RATIO
from calib.markers import MarkerCorners


@dataclass(frozen=True, slots=True, eq=False)
class CardMarkers:
    """Markers that agree with one card's print.

    Attributes
    ----------
    spec : CardSpec
    markers : MarkerCorners
        Those in their places, each id once.
    homography : ndarray of shape (3, 3)
        Card plane (mm, x right, y up) to px, lens distortion ignored.
    n_elsewhere : int
        Markers of this card read at other places (in the glass).
    """

    spec: CardSpec
    markers: MarkerCorners
    homography: FloatArray
    n_elsewhere: int


def agreeing_markers(found: MarkerCorners, spec: CardSpec) -> CardMarkers:
    """The largest set of markers that one plane mapping puts in their places.

    1. Each pair of markers with different ids gives a mapping from its eight corners.
    2. Every marker whose corners it predicts within a share of the marker's side agrees.
    3. The mapping with most agreeing markers (then least misfit) is fitted again to them all.

    All pairs are tried, so nothing is random; with many markers, every k-th pair.
    """
    rows = np.flatnonzero(np.isin(found.ids, spec.marker_ids))
    found = found.taken(rows)
    corners_mm = _corners_mm(found, spec)
    pairs = [pair for pair in combinations(range(len(found)), 2) if found.ids[pair[0]] != found.ids[pair[1]]]
    step = 1 + len(pairs) // CONSENSUS_PAIRS_MAX
    best: tuple[int, float] = (0, 0.0)
    best_rows = np.zeros(0, dtype=np.int64)
    for pair in pairs[::step]:
        mapping = _mapping(corners_mm[list(pair)], found.corners_px[list(pair)])
        agreeing, misfit = _agreeing(mapping, corners_mm, found)
        if (len(agreeing), -misfit) > best:
            best, best_rows = (len(agreeing), -misfit), agreeing
    if len(best_rows) < 2:
        return CardMarkers(spec, found.taken(best_rows), np.eye(3), len(found))
    for _ in range(2):
        mapping = _mapping(corners_mm[best_rows], found.corners_px[best_rows])
        refit, _ = _agreeing(mapping, corners_mm, found)
        best_rows = refit if len(refit) >= len(best_rows) else best_rows
    return CardMarkers(spec, found.taken(best_rows), mapping, len(found) - len(best_rows))


def _corners_mm(found: MarkerCorners, spec: CardSpec) -> FloatArray:
    """Printed corners of each marker, (N, 4, 2)."""
    if len(found) == 0:
        return np.zeros((0, 4, 2))
    return np.stack([spec.marker_corners_mm(int(one))[:, :2] for one in found.ids])


def _mapping(corners_mm: FloatArray, corners_px: FloatArray) -> FloatArray:
    """Least-squares homography of all corners given."""
    mapping, _ = cv2.findHomography(corners_mm.reshape(-1, 2), corners_px.reshape(-1, 2), 0)
    return np.eye(3) if mapping is None else np.asarray(mapping, dtype=np.float64)


def _agreeing(mapping: FloatArray, corners_mm: FloatArray, found: MarkerCorners) -> tuple[npt.NDArray[np.int64], float]:
    """Rows of agreeing markers, one for each id (the nearest), and their total misfit."""
    homogeneous = np.concatenate([corners_mm, np.ones((*corners_mm.shape[:2], 1))], axis=2)
    mapped = homogeneous @ mapping.T
    depth = mapped[..., 2:]
    ahead = np.all(depth * np.sign(np.median(depth)) > 0, axis=(1, 2))
    predicted = mapped[..., :2] / np.where(np.abs(depth) < 1e-12, 1e-12, depth)
    off = np.linalg.norm(predicted - found.corners_px, axis=2).max(axis=1) / found.sides_px
    off = np.where(ahead, off, np.inf)
    order = np.argsort(off, kind='stable')
    order = order[off[order] < CONSENSUS_TOLERANCE_RATIO]
    _, first = np.unique(found.ids[order], return_index=True)
    rows = np.sort(order[first])
    return rows, float(off[rows].sum())

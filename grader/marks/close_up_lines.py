"""Thin lines in a close-up: oriented filters, the ridges of their answer, and the paths along these ridges."""

import math
from dataclasses import dataclass
from itertools import pairwise

import cv2
import numpy as np
from scipy.ndimage import median_filter
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from calib.arrays import PointsPx
from grader.marks.close_up_constants import (
    LINE_ANGLES,
    LINE_CLIP,
    LINE_CONTRAST,
    LINE_CONTRAST_SHARE,
    LINE_FILTERS,
    LINE_WINDOW_PX,
    NOISE_TILE_PX,
    RIDGE_HIGH,
    RIDGE_LENGTH_PX,
    RIDGE_LOW,
    SPECK_ELONGATION,
    SPECK_FILL,
    SPECK_LEFT,
    SPECK_STRENGTH,
    THIN_PATCH_PX,
)
from grader.marks.close_up_ground import Ground, Map, local_noise
from grader.marks.close_up_piece import Piece, grown

_SPECK_RIM_PX = 2  # Source: reach of the smoothing about a speck
_TURN_STEPS = 2  # Source: neighbours on one ridge may differ by two of the filters' directions
_AHEAD_STEPS = 5  # Source: the step to a neighbour lies within 56 degrees of the ridge


@dataclass(frozen=True, slots=True, eq=False)
class LineEvidence:
    """How line-like each pixel is."""

    z: Map
    """(H, W) answer of the best line filter, signed; 0.67 is the median of its size over the photo's texture."""
    angle: np.ndarray
    """(H, W) its direction, in steps of 180 degrees / LINE_ANGLES from +x to +y."""


@dataclass(frozen=True, slots=True, eq=False)
class Segment:
    """An unbroken ridge of line evidence."""

    points_px: PointsPx
    """(N, 2) ridge pixels, ordered along the main axis."""
    z: np.ndarray
    """(N,) line evidence, as magnitudes."""
    sign: int
    """+1 brighter than the ground, -1 darker."""
    length_px: float
    """Extent along the main axis."""


def line_evidence(ground: Ground, patches: list[Piece]) -> LineEvidence:
    """Best answer over widths, lengths and directions, each in units of its own local spread.

    The spread is that of the filter's answer to this photo's own texture, so a value of 6 means the same on calm
    and on scuffed glass (an empirical null; Efron 2004, doi 10.1198/016214504000000089, from memory). Pixels are
    compressed first, so that one bright speck does not look like a line.
    """
    clipped = compressed(without_specks(ground, patches), LINE_CLIP * ground.noise_code)
    height, width = clipped.shape
    best, best_angle = np.zeros((height, width), np.float32), np.zeros((height, width), np.uint8)
    for sigma_px, half_px, reduction in LINE_FILTERS:
        size = (max(1, width // reduction), max(1, height // reduction))
        image = clipped if reduction == 1 else cv2.resize(clipped, size, interpolation=cv2.INTER_AREA)
        clean = cv2.resize(ground.clean, size, interpolation=cv2.INTER_NEAREST)
        answer, angle = _strongest(image, sigma_px, half_px)
        z = answer / local_noise(answer, clean, NOISE_TILE_PX // reduction)
        if reduction != 1:
            z = cv2.resize(z, (width, height), interpolation=cv2.INTER_LINEAR)
            angle = cv2.resize(angle, (width, height), interpolation=cv2.INTER_NEAREST)
        better = np.abs(z) > np.abs(best)
        best[better], best_angle[better] = z[better], angle[better]
    return LineEvidence(best, best_angle)


def without_specks(ground: Ground, patches: list[Piece]) -> Map:
    """Residual in which specks and broad patches are as faint as SPECK_LEFT noise units; lines are left as they are."""
    strong = (np.abs(ground.signed) > SPECK_STRENGTH).astype(np.uint8)
    _, labels, stats, _ = cv2.connectedComponentsWithStats(strong, connectivity=8)
    width, height = stats[:, cv2.CC_STAT_WIDTH], stats[:, cv2.CC_STAT_HEIGHT]
    compact = np.maximum(width, height) < SPECK_ELONGATION * np.minimum(width, height)
    compact &= stats[:, cv2.CC_STAT_AREA] > SPECK_FILL * width * height
    compact[0] = False
    faded = grown(compact[labels].astype(np.uint8), _SPECK_RIM_PX)
    for patch in patches:
        if patch.thickness_px() > THIN_PATCH_PX:
            patch.paint(faded)
    limit = np.float32(SPECK_LEFT) * ground.noise_code
    return np.where(faded > 0, np.clip(ground.residual_code, -limit, limit), ground.residual_code)


def compressed(residual: Map, knee: Map) -> Map:
    """Residual with magnitudes beyond the knee growing as the logarithm only."""
    beyond = np.maximum(np.abs(residual) / knee, 1)
    return np.asarray(np.clip(residual, -knee, knee) * (1 + np.log(beyond)), dtype=np.float32)


def _strongest(image: Map, sigma_px: float, half_px: float) -> tuple[Map, np.ndarray]:
    """Answer of largest magnitude over the directions, and the direction's number."""
    best = np.zeros(image.shape, np.float32)
    best_angle = np.zeros(image.shape, np.uint8)
    for number in range(LINE_ANGLES):
        kernel = line_kernel(math.pi * number / LINE_ANGLES, sigma_px, half_px)
        answer = cv2.filter2D(image, cv2.CV_32F, kernel, borderType=cv2.BORDER_REFLECT)
        better = np.abs(answer) > np.abs(best)
        best[better], best_angle[better] = answer[better], number
    return best, best_angle


def line_kernel(angle_rad: float, sigma_px: float, half_px: float) -> Map:
    """Ridge profile (second derivative of a Gaussian) across, Gaussian along; sum 0, root of squares 1.

    Unit norm makes the answer to white noise of spread s have the spread s.
    """
    reach = math.ceil(half_px + 3 * sigma_px)
    y, x = np.mgrid[-reach : reach + 1, -reach : reach + 1].astype(np.float64)
    along = x * math.cos(angle_rad) + y * math.sin(angle_rad)
    across = (y * math.cos(angle_rad) - x * math.sin(angle_rad)) / sigma_px
    kernel = (1 - across**2) * np.exp(-(across**2) / 2) * np.exp(-((2 * along / half_px) ** 2) / 2)
    kernel -= kernel.mean()
    return np.asarray(kernel / np.sqrt((kernel**2).sum()), dtype=np.float32)


def find_segments(evidence: LineEvidence, ground: Ground) -> list[Segment]:
    """Ridges of the evidence that hold together in place, direction and sign (hysteresis on the evidence).

    A filter as long as a line answers beyond the line's end, too, and round spots; so only the stretches are kept
    along which the residual itself stands up.
    """
    x, y = _ridge_pixels(evidence)
    if not len(x):
        return []
    label = _joined(x, y, evidence)
    order = np.argsort(label, kind='stable')
    found = []
    for first, last in pairwise(np.searchsorted(label[order], np.arange(label.max() + 2))):
        chosen = order[first:last]
        values = evidence.z[y[chosen], x[chosen]]
        if np.abs(values).max() < RIDGE_HIGH or len(chosen) < RIDGE_LENGTH_PX / 2:
            continue
        points = np.stack([x[chosen], y[chosen]], axis=1).astype(np.float64)
        turn = np.argsort(points @ main_axis(points), kind='stable')
        found += _standing(points[turn], np.abs(values[turn]), 1 if values[0] > 0 else -1, ground.signed)
    return found


def _standing(points: PointsPx, z: np.ndarray, sign: int, signed: Map) -> list[Segment]:
    """Stretches of a ridge, ordered along it, where the residual stands up and that are long enough."""
    along = points @ main_axis(points)
    residual = sign * signed[points[:, 1].astype(int), points[:, 0].astype(int)]
    # the ridge may have two pixels a step, so the window is counted in points
    window = max(3, round(LINE_WINDOW_PX * len(points) / (float(np.ptp(along)) + 1)))
    support = median_filter(residual, size=min(window, len(points)), mode='nearest')
    stands = support > max(LINE_CONTRAST, LINE_CONTRAST_SHARE * float(np.percentile(support, 75)))
    borders = np.flatnonzero(np.diff(np.concatenate([[False], stands, [False]]).astype(np.int8)))
    found = []
    for first, last in borders.reshape(-1, 2):
        length = float(abs(along[last - 1] - along[first])) + 1
        if length >= RIDGE_LENGTH_PX:
            found.append(Segment(points[first:last], z[first:last], sign, length))
    return found


def main_axis(points: PointsPx) -> np.ndarray:
    """Unit vector (2,) along which the points (N, 2) are spread most."""
    return np.asarray(np.linalg.svd(points - points.mean(axis=0), full_matrices=False)[2][0])


def _ridge_pixels(evidence: LineEvidence) -> tuple[np.ndarray, np.ndarray]:
    """Columns and rows of pixels whose evidence no like-signed pixel within 2 px across the line exceeds."""
    strength = np.abs(evidence.z)
    height, width = strength.shape
    y, x = np.nonzero(strength > RIDGE_LOW)
    angle = evidence.angle[y, x] * (math.pi / LINE_ANGLES)
    own, sign = strength[y, x], np.sign(evidence.z[y, x])
    keep = np.ones(len(x), dtype=bool)
    for step in (-2, -1, 1, 2):
        beside_x = np.clip(np.rint(x - step * np.sin(angle)).astype(int), 0, width - 1)
        beside_y = np.clip(np.rint(y + step * np.cos(angle)).astype(int), 0, height - 1)
        alike = np.sign(evidence.z[beside_y, beside_x]) == sign
        keep &= own >= strength[beside_y, beside_x] * alike
    return x[keep], y[keep]


def _joined(x: np.ndarray, y: np.ndarray, evidence: LineEvidence) -> np.ndarray:
    """Label of each ridge pixel; neighbours up to 2 px away along the line share one."""
    height, width = evidence.z.shape
    number = np.full((height + 4, width + 4), -1)
    number[y + 2, x + 2] = np.arange(len(x))
    angle, sign = evidence.angle[y, x].astype(int), np.sign(evidence.z[y, x])
    ends: list[tuple[np.ndarray, np.ndarray]] = []
    for down, right in ((0, 1), (0, 2), *((d, r) for d in (1, 2) for r in range(-2, 3))):
        other = number[y + 2 + down, x + 2 + right]
        one = np.flatnonzero(other >= 0)
        two = other[one]
        step = math.atan2(down, right) * LINE_ANGLES / math.pi
        ahead = _turn(angle[one] - step) <= _AHEAD_STEPS
        ok = (_turn(angle[one] - angle[two]) <= _TURN_STEPS) & (sign[one] == sign[two])
        ok &= ahead | (down + abs(right) == 1)
        ends.append((one[ok], two[ok]))
    a, b = (np.concatenate(e) for e in zip(*ends, strict=True))
    graph = coo_array((np.ones(len(a)), (a, b)), shape=(len(x), len(x)))
    return np.asarray(connected_components(graph, directed=False)[1])


def _turn(steps: np.ndarray) -> np.ndarray:
    """Size of a turn between two undirected lines, in steps of the filters' directions."""
    turn = np.abs(steps) % LINE_ANGLES
    return np.asarray(np.minimum(turn, LINE_ANGLES - turn))

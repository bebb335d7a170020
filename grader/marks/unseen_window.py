"""Mirror images of windows in the dome: small, evenly lit, four-sided veils."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.linear_light import linear_rgb
from grader.marks.unseen_constants import (
    MOST_WINDOWS,
    WINDOW_AGREEING,
    WINDOW_AGREEING_SIDE,
    WINDOW_ALIKE_RATIO,
    WINDOW_ANGLES,
    WINDOW_HALF_RATIOS,
    WINDOW_LARGEST_STEP,
    WINDOW_LEAST_STEP,
    WINDOW_PEAKS,
    WINDOW_WORK_PX,
)
from grader.marks.unseen_shapes import PiecePicture

_SLOPE = np.array([[-1, -1, 0, 1, 1]], dtype=np.float32) / 2  # step over 3 px, each side the mean of two
_BESIDE_PX = (2.0, 3.5)  # Source: blur of an edge at this reduction; farther, to tell an edge from a slope
_SIDE_SAMPLES = 14  # Source: one a pixel of the mean side
_CORNER_RATIO = 0.06  # Source: corners are round by the blur, so much of each end of a side is left out
_PEAK_WINDOW_PX = 9  # Source: the smallest window's side


@dataclass(frozen=True, slots=True)
class _Turned:
    """The darkest channel turned, with its slopes along x and y, and the way back."""

    across: np.ndarray
    down: np.ndarray
    back: FloatArray


def find_windows(picture: PiecePicture, free: np.ndarray) -> list[PointsPx]:
    """Four corners (4, 2) in the picture of each window reflection, the most even one first.

    A reflection adds the same colourless light to whatever lies under it. So the step from outside to inside is
    the same in all channels and all along all four sides, whatever the design does there; edges of the design
    are not. Rectangles of several sizes and turns are tried where all four sides rise.
    Where more than a few fit, they are a pattern of the design, and none is told.

    Parameters
    ----------
    picture : PiecePicture
    free : ndarray of shape (h, w), uint8
        1 where a window may lie.
    """
    height, width = picture.inside.shape
    scale = min(1.0, WINDOW_WORK_PX / max(height, width))
    size = (max(1, int(width * scale)), max(1, int(height * scale)))
    linear = linear_rgb(np.asarray(cv2.resize(picture.rgb, size, interpolation=cv2.INTER_AREA), dtype=np.uint8))
    linear = np.asarray(cv2.GaussianBlur(linear, (0, 0), 0.7))
    darkest = np.asarray(cv2.min(cv2.min(linear[..., 0], linear[..., 1]), linear[..., 2]))
    room = cv2.erode(cv2.resize(free, size, interpolation=cv2.INTER_NEAREST), np.ones((5, 5), np.uint8))
    quads = _rising(darkest, room, max(size) / 2)
    if not len(quads):
        return []
    agreeing, least_agreeing = _evenness(linear, quads)
    even = (agreeing >= WINDOW_AGREEING) & (least_agreeing >= WINDOW_AGREEING_SIDE)
    order = np.argsort(-(agreeing + least_agreeing), kind='stable')
    windows = _apart([quads[k] / scale for k in order if even[k]])
    return windows if len(windows) <= MOST_WINDOWS else []


def _rising(darkest: np.ndarray, room: np.ndarray, radius: float) -> FloatArray:
    """Rectangles (N, 4, 2) all of whose sides are on the whole brighter inside."""
    halves = sorted({max(3, round(ratio * radius)) for ratio in WINDOW_HALF_RATIOS})
    found: list[FloatArray] = []
    for number in range(WINDOW_ANGLES):
        turned = _turned(darkest, room, 90.0 * number / WINDOW_ANGLES)
        columns = {half: cv2.blur(turned.across, (1, 2 * half - 3)) for half in halves}
        rows = {half: cv2.blur(turned.down, (2 * half - 3, 1)) for half in halves}
        for half_x in halves:
            for half_y in halves:
                centres = _peaks(columns[half_y], rows[half_x], half_x, half_y, halves[-1] + 1)
                corners = np.array([[-half_x, -half_y], [half_x, -half_y], [half_x, half_y], [-half_x, half_y]])
                quads = centres[:, None] + corners[None]
                found.append(quads @ turned.back[:, :2].T + turned.back[:, 2])
    return np.concatenate(found) if found else np.zeros((0, 4, 2))


def _turned(darkest: np.ndarray, room: np.ndarray, angle_deg: float) -> _Turned:
    height, width = darkest.shape
    side = math.ceil(math.hypot(height, width)) | 1
    way = cv2.getRotationMatrix2D(((width - 1) / 2, (height - 1) / 2), angle_deg, 1.0)
    way[:, 2] += ((side - width) / 2, (side - height) / 2)
    image = cv2.warpAffine(darkest, way, (side, side), flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    usable = cv2.warpAffine(room, way, (side, side), flags=cv2.INTER_NEAREST) > 0
    slopes = []
    for kernel in (_SLOPE, _SLOPE.T):
        slope = cv2.filter2D(image, cv2.CV_32F, kernel)
        slopes.append(np.where(usable & (np.abs(slope) < WINDOW_LARGEST_STEP), slope, np.float32(0)))
    return _Turned(slopes[0], slopes[1], np.asarray(cv2.invertAffineTransform(way)))


def _peaks(across: np.ndarray, down: np.ndarray, half_x: int, half_y: int, rim: int) -> FloatArray:
    """Centres (N, 2) where the least of the four sides' mean steps is largest about."""
    height, width = across.shape
    rows, columns = slice(rim, height - rim), slice(rim, width - rim)
    left = across[rows, rim - half_x : width - rim - half_x]
    right = -across[rows, rim + half_x : width - rim + half_x]
    top = down[rim - half_y : height - rim - half_y, columns]
    bottom = -down[rim + half_y : height - rim + half_y, columns]
    least = np.asarray(cv2.min(cv2.min(left, right), cv2.min(top, bottom)))
    y, x = np.nonzero((least >= cv2.dilate(least, np.ones((_PEAK_WINDOW_PX,) * 2))) & (least > WINDOW_LEAST_STEP))
    best = np.argsort(-least[y, x], kind='stable')[:WINDOW_PEAKS]
    return np.stack([x[best], y[best]], axis=1).astype(np.float64) + rim


def _evenness(linear: np.ndarray, quads: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Share of samples, all and on the worst side, whose step agrees with the common step, (N,) each."""
    share = np.linspace(_CORNER_RATIO, 1 - _CORNER_RATIO, _SIDE_SAMPLES)[None, None, :, None]
    start, end = quads, np.roll(quads, -1, axis=1)
    points = start[:, :, None] * (1 - share) + end[:, :, None] * share
    inward = quads.mean(axis=1)[:, None] - (start + end) / 2
    inward = (inward / np.linalg.norm(inward, axis=2, keepdims=True))[:, :, None]
    steps = [_at(linear, points + away * inward) - _at(linear, points - away * inward) for away in _BESIDE_PX]
    step = np.concatenate(steps, axis=2)
    common = np.median(step.reshape(len(quads), -1), axis=1)
    agree = np.abs(step - common[:, None, None, None]) < WINDOW_ALIKE_RATIO * common[:, None, None, None]
    by_side = agree.mean(axis=(2, 3))
    return by_side.mean(axis=1), by_side.min(axis=1)


def _at(linear: np.ndarray, points: FloatArray) -> np.ndarray:
    """Colours (N, 4, S, 3) at points (N, 4, S, 2)."""
    flat = points.reshape(len(points), -1, 2).astype(np.float32)
    values = cv2.remap(linear, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(values.reshape(*points.shape[:3], 3))


def _apart(quads: list[PointsPx]) -> list[PointsPx]:
    """Quadrilaterals of which none has its middle within an earlier one's reach."""
    kept: list[PointsPx] = []
    for quad in quads:
        middle = quad.mean(axis=0)
        reach = [float(np.linalg.norm(k[0] - k.mean(axis=0))) for k in kept]
        if all(np.linalg.norm(middle - k.mean(axis=0)) > r for k, r in zip(kept, reach, strict=True)):
            kept.append(quad)
    return kept

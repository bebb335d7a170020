"""Scores marks found on close-ups against hand-drawn boxes.

A label is hit when 30 % of its box's long axis is covered by found marks, widened by 5 px. A found mark is good when
5 % of its area lies within 8 px of a label, else it is a false alarm. Labels of scuffed glass are seldom complete, so
precision and average precision are lower bounds.
"""

from collections import defaultdict
from dataclasses import dataclass

import cv2
import numpy as np

HIT_RATIO = 0.30
COVER_PX = 5
NEAR_PX = 8
LEAST_INSIDE_RATIO = 0.05
SMALL_PX = 20.0


@dataclass(frozen=True)
class LabelResult:
    """What became of a label."""

    photo: str
    kind: str
    length_px: float
    hit_at: float
    """Confidence at which it is hit, or -1."""
    hit_kind: str


@dataclass(frozen=True)
class Scores:
    """All labels and all found marks."""

    labels: tuple[LabelResult, ...]
    found: np.ndarray
    """(N, 2): confidence, and 1 where good."""

    def average_precision(self) -> float:
        """Area under precision over recall, precision made non-increasing."""
        order = np.argsort(-self.found[:, 0], kind='stable')
        confidence, good = self.found[order, 0], np.cumsum(self.found[order, 1])
        last = np.flatnonzero(np.append(np.diff(confidence) != 0, True))
        hits = np.array([label.hit_at for label in self.labels])
        recall = np.array([(hits >= c).sum() for c in confidence[last]]) / len(self.labels)
        precision = np.maximum.accumulate((good[last] / (last + 1))[::-1])[::-1]
        return float((np.diff(np.append(0.0, recall)) * precision).sum())

    def recall(self, confidence: float = 0.0, longest_px: float = np.inf) -> float:
        """Share of the labels up to a length that are hit at a confidence."""
        asked = [label for label in self.labels if label.length_px < longest_px]
        return sum(label.hit_at >= confidence for label in asked) / max(len(asked), 1)

    def kinds(self) -> dict[str, dict[str, int]]:
        """Kinds named at the first hit, by kind of label."""
        table: dict[str, dict[str, int]] = defaultdict(lambda: defaultdict(int))
        for label in self.labels:
            if label.hit_at >= 0:
                table[label.kind][label.hit_kind] += 1
        return {kind: dict(row) for kind, row in sorted(table.items())}

    def reliability(self) -> list[tuple[float, float, int]]:
        """Mean confidence, share labelled, and number, in tenths of confidence."""
        rows = []
        for low in np.arange(0, 1, 0.1):
            chosen = self.found[(self.found[:, 0] >= low) & (self.found[:, 0] < low + 0.1 + (low > 0.85))]
            if len(chosen):
                rows.append((float(chosen[:, 0].mean()), float(chosen[:, 1].mean()), len(chosen)))
        return rows


class _Label:
    """An oriented box, its long axis cut into steps of 1 px."""

    def __init__(self, row: dict, shape: tuple[int, int]):
        corners = np.asarray(row['polygon_px'], np.float32)
        (x, y), (a, b), angle = cv2.minAreaRect(corners)
        turn = np.deg2rad(angle if a >= b else angle + 90)
        self.row, self.length_px = row, float(max(a, b))
        mask = raster(corners, shape)
        self.near = cv2.dilate(mask, _disc(NEAR_PX))
        self.y, self.x = np.nonzero(mask)
        along = (self.x - x) * np.cos(turn) + (self.y - y) * np.sin(turn)
        self.step = np.unique(np.floor(along - along.min()).astype(int), return_inverse=True)[1]
        self.covered = np.zeros(self.step.max() + 1, bool)
        self.hit_at, self.hit_kind = -1.0, ''


def score(labels: list[dict], found: list[dict], shape: tuple[int, int]) -> Scores:
    """Compare found marks with labels; both are rows of photo, kind, polygon_px (and confidence)."""
    results: list[LabelResult] = []
    rows: list[tuple[float, float]] = []
    for photo in sorted({stem(row) for row in labels + found}):
        own = [_Label(row, shape) for row in labels if stem(row) == photo]
        near = np.zeros(shape, np.uint8)
        for label in own:
            near |= label.near
        marks = sorted((row for row in found if stem(row) == photo), key=lambda row: -row['confidence'])
        rows += [(row['confidence'], float(_take(row, own, near, shape))) for row in marks]
        results += [LabelResult(photo, o.row['kind'], o.length_px, o.hit_at, o.hit_kind) for o in own]
    return Scores(tuple(results), np.array(rows).reshape(-1, 2))


def stem(row: dict) -> str:
    """Photo of a row, without folder and ending."""
    return row['photo'].replace('\\', '/').rsplit('/', 1)[-1].rsplit('.', 1)[0]


def _take(row: dict, labels: list[_Label], near: np.ndarray, shape: tuple[int, int]) -> bool:
    """Count one found mark for the labels it covers, and tell whether it is good."""
    mask = raster(np.asarray(row['polygon_px']), shape)
    if np.count_nonzero(mask & near) < max(LEAST_INSIDE_RATIO * np.count_nonzero(mask), 1):
        return False
    wide = cv2.dilate(mask, _disc(COVER_PX))
    for label in labels:
        label.covered[label.step[wide[label.y, label.x] > 0]] = True
        if label.hit_at < 0 and label.covered.mean() >= HIT_RATIO:
            label.hit_at, label.hit_kind = row['confidence'], row['kind']
    return True


def raster(polygon: np.ndarray, shape: tuple[int, int]) -> np.ndarray:
    """Filled polygon and its border, uint8."""
    mask = np.zeros(shape, np.uint8)
    points = [np.rint(polygon).astype(np.int32)]
    cv2.fillPoly(mask, points, 1)
    cv2.polylines(mask, points, True, 1)
    return mask


def _disc(radius_px: int) -> np.ndarray:
    return cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (2 * radius_px + 1,) * 2)

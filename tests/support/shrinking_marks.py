"""Marks of shrinking size drawn onto a photo, and which of them are found."""

from dataclasses import replace

import cv2
import numpy as np

from grader.marks.find_marks import find_marks, piece_odds
from grader.outline.dome_view import DomeView
from grader.outline.surface import DomeSurface
from grader.quality.exposure import paper_or_lightest
from grader.quality.limit_constants import CHIP_CONTRAST, SCRATCH_CONTRAST
from grader.quality.photo_quality import PhotoQuality
from tests.support.drawn_marks import add_light, disc_light, line_light

SCRATCH_MM = 7.0
NEAR_PX = 2.5  # a found region may lie so far beside a drawn mark


def places(view: DomeView, n: int, rng: np.random.Generator) -> np.ndarray:
    """`n` places (n, 2) spread round the middle of the piece, between a quarter and seven tenths of its radius."""
    contour = view.outline.contour_px
    turn = 2 * np.pi * (np.arange(n) + 0.4 * rng.random(n)) / n
    radius = np.ptp(contour[:, 0]) / 2 * (0.25 + 0.45 * rng.random(n))
    return contour.mean(axis=0) + radius[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])


def drawn_marks(
    view: DomeView, quality: PhotoQuality, kind: str, size_mm: float, n: int, rng: np.random.Generator
) -> tuple[DomeView, list[np.ndarray]]:
    """The photo with `n` scratches or chips of a size at usual contrast, and the points at which each must be found."""
    shape, px_per_mm = view.photo.rgb.shape[:2], quality.placing.px_per_mm
    blur_px, size_px = quality.focus.blur_px, size_mm * px_per_mm
    contrast = SCRATCH_CONTRAST if kind == 'scratch' else CHIP_CONTRAST
    light_of_mark = contrast['low' if quality.light.kind == 'low' else 'above'] * paper_or_lightest(quality.exposure)
    light, points = np.zeros(shape), []
    for place in places(view, n, rng):
        if kind == 'scratch':
            turn = np.pi * rng.random()
            half = SCRATCH_MM / 2 * px_per_mm * np.array([np.cos(turn), np.sin(turn)])
            light += line_light(shape, place - half, place + half, size_px, blur_px)
            points.append(place + np.linspace(-0.8, 0.8, 5)[:, None] * half)
        else:
            light += disc_light(shape, place, size_px, blur_px)
            points.append(place[None])
    rgb = add_light(view.photo.rgb, light_of_mark * light)
    rgb.flags.writeable = False
    return replace(view, photo=replace(view.photo, rgb=rgb)), points


def confidences(view: DomeView, surface: DomeSurface, points: list[np.ndarray]) -> np.ndarray:
    """Highest confidence of a found mark at the points of each drawn one, 0 where there is none."""
    found = [
        (mark.confidence, mark.outline_px.astype(np.float32)[:, None])
        for mark in find_marks(piece_odds(view, surface), surface)
    ]
    return np.array([
        max((sure for sure, outline in found if _is_near(outline, some)), default=0.0) for some in points
    ])  # fmt: skip


def _is_near(outline: np.ndarray, points: np.ndarray) -> bool:
    return any(cv2.pointPolygonTest(outline, (float(x), float(y)), True) > -NEAR_PX for x, y in points)

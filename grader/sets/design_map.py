"""The design of a piece as seen from above, unrolled: brightness about its axis, as if there were no dome over it."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from scipy.interpolate import LinearNDInterpolator

from calib.arrays import FloatArray, PointsPx
from grader.findings import PhotoFindings
from grader.outline.surface import DomeSurface
from grader.sets.constants import (
    DESIGN_CLIP,
    DESIGN_CLIPPED_CODE,
    DESIGN_COARSE_POINTS,
    DESIGN_DARKEST_CODE,
    DESIGN_GRID,
    DESIGN_HUE_SPREAD,
    DESIGN_LEAST_FACING,
    DESIGN_LEVEL_RATIOS,
    DESIGN_LOCAL_FLOOR,
    DESIGN_LOCAL_STEPS,
    DESIGN_REACH_RATIO,
    DESIGN_RINGS,
    DESIGN_SMOOTH_RATIO,
    TURN_STEPS,
)
from grader.sets.places import places_of
from grader.sets.refraction import rays_in_glass

LEAST_POINTS = 10  # Source: a triangulation needs three; fewer than ten say nothing of a design


@dataclass(frozen=True, slots=True, eq=False)
class DesignMap:
    """Pattern on rings about the axis, once for each height at which the design may lie."""

    pattern: npt.NDArray[np.float32]
    """(levels, rings, steps, 5) evened log brightness of red, green and blue, and two hues; 0 where not seen."""
    seen: npt.NDArray[np.bool_]
    """(levels, rings, steps) whether it could be seen."""


def unroll_design(findings: PhotoFindings) -> DesignMap:
    """The design of the piece in a photo from above.

    1. Viewing rays are traced through the dome to a level, so that the lens that the dome is drops out.
    2. Brightness there is drawn on a grid about the piece's axis, without mirrored lamps.
    3. Its logarithm is made even over some millimetres, so that shading by the lamps, which do not turn with the
       piece, drops out too. Hues, which lamps leave as they are, are kept besides: large parts differ in them.
    4. Rings about the axis are read off, each less its mean, which is the same for all turns.
    """
    surface, rgb = findings.surface, findings.view.photo.rgb
    coarse = coarse_pixels(surface)
    light, free = _prepared(rgb, surface), free_pixels(findings)
    rings = [
        _rings(*_on_grid(light, free, coarse, flat))
        for flat in (flat_places(surface, coarse, level) for level in (None, *DESIGN_LEVEL_RATIOS))
    ]
    return DesignMap(np.stack([pattern for pattern, _ in rings]), np.stack([seen for _, seen in rings]))


def coarse_pixels(surface: DomeSurface) -> PointsPx:
    """Pixels all over the piece that face the camera, (N, 2)."""
    low, high = surface.contour_px.min(axis=0), surface.contour_px.max(axis=0)
    axes = [np.linspace(low[k], high[k], DESIGN_COARSE_POINTS) for k in (0, 1)]
    pixels = np.stack(np.meshgrid(*axes), axis=-1).reshape(-1, 2)
    points = surface.locate(pixels)
    return np.asarray(pixels[points.inside & (points.facing > DESIGN_LEAST_FACING)])


def flat_places(surface: DomeSurface, pixels: PointsPx, level_ratio: float | None) -> FloatArray:
    """Where the rays of pixels (N, 2) reach a level, seen from above in radii about the axis, (N, 2)."""
    if level_ratio is None:
        return places_of(surface, pixels)[:, :2]
    points, directions = rays_in_glass(surface, pixels)
    level = level_ratio * (surface.centre_mm[2] + 1 / surface.shape[2, 2])
    along = np.maximum((level - points[:, 2]) / directions[:, 2], 0.0)
    reached = points + along[:, None] * directions
    return np.asarray((reached - surface.centre_mm)[:, :2] / surface.mean_radius_mm)


def _prepared(rgb: np.ndarray, surface: DomeSurface) -> npt.NDArray[np.float32]:
    """The photo, blurred to the grid's step, float32 (H, W, 3)."""
    width_px = float(np.ptp(surface.contour_px[:, 0]))
    step_px = width_px * DESIGN_REACH_RATIO / DESIGN_GRID
    return cv2.GaussianBlur(rgb, (0, 0), max(DESIGN_SMOOTH_RATIO * step_px, DESIGN_SMOOTH_RATIO)).astype(np.float32)


def free_pixels(findings: PhotoFindings) -> np.ndarray:
    """(H, W) uint8, 0 where a reflection hides the glass."""
    free = np.ones(findings.view.photo.rgb.shape[:2], np.uint8)
    for area in findings.unseen:
        cv2.fillPoly(free, [np.round(area.polygon_px).astype(np.int32).reshape(-1, 1, 2)], 0)
    return np.asarray(cv2.erode(free, np.ones((5, 5), np.uint8)))


def _on_grid(
    light: npt.NDArray[np.float32], free: np.ndarray, pixels: PointsPx, flat: FloatArray
) -> tuple[npt.NDArray[np.float32], np.ndarray]:
    """Pattern (G, G, 5) on a grid about the axis, and where it was seen (G, G) uint8."""
    if len(pixels) < LEAST_POINTS:
        return np.zeros((DESIGN_GRID, DESIGN_GRID, 5), np.float32), np.zeros((DESIGN_GRID, DESIGN_GRID), np.uint8)
    axis = np.linspace(-DESIGN_REACH_RATIO, DESIGN_REACH_RATIO, DESIGN_GRID)
    grid = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    at = LinearNDInterpolator(flat, pixels)(grid).reshape(DESIGN_GRID, DESIGN_GRID, 2)
    known = np.isfinite(at[..., 0])
    x, y = np.moveaxis(np.nan_to_num(at).astype(np.float32), -1, 0)
    code = cv2.remap(light, x, y, cv2.INTER_LINEAR)
    seen = known & (code.max(axis=-1) < DESIGN_CLIPPED_CODE) & (cv2.remap(free, x, y, cv2.INTER_NEAREST) > 0)
    log_light = np.log(code + DESIGN_DARKEST_CODE)
    return np.concatenate([_evened(log_light, seen), _hues(log_light, seen)], axis=-1), seen.astype(np.uint8)


def _evened(values: np.ndarray, seen: np.ndarray) -> npt.NDArray[np.float32]:
    """Values less their local mean, over their local spread, 0 where not seen; (G, G, 3)."""
    weight = seen.astype(np.float32)[..., None]
    total = np.maximum(_blurred(seen.astype(np.float32)), 1e-3)[..., None]
    apart = (values - _blurred(values * weight) / total) * weight
    spread = np.sqrt((_blurred(apart**2) / total).mean(axis=-1, keepdims=True) + DESIGN_LOCAL_FLOOR**2)
    return np.asarray(np.clip(apart / spread, -DESIGN_CLIP, DESIGN_CLIP) * weight, dtype=np.float32)


def _hues(log_light: np.ndarray, seen: np.ndarray) -> npt.NDArray[np.float32]:
    """Red and blue against green, in usual spreads, 0 where not seen; (G, G, 2)."""
    hues = (log_light[..., [0, 2]] - log_light[..., [1]]) * seen[..., None]
    return np.asarray(np.clip(hues / DESIGN_HUE_SPREAD, -DESIGN_CLIP, DESIGN_CLIP), dtype=np.float32)


def _blurred(values: np.ndarray) -> np.ndarray:
    return np.asarray(cv2.GaussianBlur(values, (0, 0), DESIGN_LOCAL_STEPS))


def _rings(pattern: npt.NDArray[np.float32], seen: np.ndarray) -> tuple[npt.NDArray[np.float32], npt.NDArray[np.bool_]]:
    """A grid (G, G, C) read along rings about its middle, (rings, steps, C), and where it was seen."""
    radii, angles = np.linspace(*DESIGN_RINGS)[:, None], np.arange(TURN_STEPS) * 2 * np.pi / TURN_STEPS
    per_unit = (DESIGN_GRID - 1) / 2 / DESIGN_REACH_RATIO
    x, y = (
        (part * per_unit + (DESIGN_GRID - 1) / 2).astype(np.float32)
        for part in (radii * np.cos(angles), radii * np.sin(angles))
    )
    parts = [cv2.remap(np.ascontiguousarray(pattern[..., k : k + 3]), x, y, cv2.INTER_LINEAR) for k in (0, 3)]
    on_rings = np.concatenate(parts, axis=-1)
    free = cv2.remap(seen, x, y, cv2.INTER_NEAREST) > 0
    means = (on_rings * free[..., None]).sum(axis=1, keepdims=True) / np.maximum(free.sum(axis=1), 1)[:, None, None]
    return np.asarray((on_rings - means) * free[..., None], dtype=np.float32), free

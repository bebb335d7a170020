"""Corners of dark squares from their four edges, in linear light.

A camera blurs light, and only then codes it. The half-way level of a blurred
straight edge lies on the edge in linear light; in coded values it moves to the
dark side, and a corner (rounded by the blur) moves even in linear light. So each
edge is sampled across, away from the corners, its half-level crossings are fitted
with a straight line, and neighbouring lines are crossed.
"""

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, Mask
from calib.constants import (
    EDGE_BEYOND_MODULES,
    EDGE_CONTRAST_MIN,
    EDGE_CROSSINGS_MIN_RATIO,
    EDGE_ENDS_RATIO,
    EDGE_MARGIN_MIN_PX,
    EDGE_MARGIN_MODULES,
    EDGE_NO_WHITE_RATIO,
    EDGE_PASSES,
    EDGE_POSITIONS,
    EDGE_REACH_MAX_PX,
    EDGE_REACH_MIN_PX,
    EDGE_REACH_MODULES,
    EDGE_SAMPLE_STEP_PX,
    MAD_TO_SD,
    U_CORNER_FLOOR_PX,
)


def refine_corners(grey: GreyImage, coarse_px: FloatArray, modules: int) -> tuple[FloatArray, FloatArray]:
    """Set the corners of dark squares on light ground to sub-pixel places.

    1. Sample grey values across each edge at places between its corners.
    2. Take the half-level crossing nearest to the edge, by linear interpolation.
    3. Fit a straight line to the crossings, twice, dropping those far off.
    4. Cross neighbouring lines; repeat from there.

    Parameters
    ----------
    grey : ndarray of shape (H, W)
        float32, linear light.
    coarse_px : ndarray of shape (N, 4, 2)
        Corners within about 2 px, clockwise.
    modules : int
        Modules along a marker's side, its dark border included: sets how far across an
        edge the picture is known to be plain.

    Returns
    -------
    corners_px : ndarray of shape (N, 4, 2)
        The coarse corner where a line is missing.
    u_px : ndarray of shape (N, 4)
        Standard uncertainty from the scatter of the crossings; infinite where coarse.
    """
    corners = np.array(coarse_px, dtype=np.float64)
    u_px = np.full(corners.shape[:2], np.inf)
    if len(corners) == 0:
        return corners, u_px
    for number in range(EDGE_PASSES):
        points, directions, u_lines = _edge_lines(grey, corners, modules, rough=number == 0)
        crossed = _cross(np.roll(points, 1, 1), np.roll(directions, 1, 1), points, directions)
        u_px = np.hypot(u_lines, np.roll(u_lines, 1, axis=1))
        near = np.linalg.norm(crossed - coarse_px, axis=2) < (np.sqrt(_areas(coarse_px)) / modules)[:, None]
        good = np.isfinite(u_px) & near
        corners = np.where(good[:, :, None], crossed, corners)
        u_px = np.where(good, np.hypot(u_px, U_CORNER_FLOOR_PX), np.inf)
    return corners, u_px


def _edge_lines(
    grey: GreyImage, corners: FloatArray, modules: int, *, rough: bool
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Line of each edge k from corner k to corner k + 1.

    Returns
    -------
    points, directions : ndarray of shape (N, 4, 2)
        A point on each line and its unit direction.
    u_px : ndarray of shape (N, 4)
        Standard uncertainty of the line at its ends, across it; infinite if not found.
    """
    start, end = corners, np.roll(corners, -1, axis=1)
    length = np.maximum(np.linalg.norm(end - start, axis=2), 1e-9)
    along = (end - start) / length[..., None]
    outward = np.stack([along[..., 1], -along[..., 0]], axis=-1)
    shares = np.linspace(EDGE_ENDS_RATIO, 1 - EDGE_ENDS_RATIO, EDGE_POSITIONS) - 0.5
    middle = (start + end) / 2
    feet = middle[:, :, None] + shares[None, None, :, None] * (end - start)[:, :, None]
    module_px = _areas(corners)[:, None] / length / modules
    across_px = _across_px(module_px, rough=rough)
    places = feet[..., None, :] + across_px[:, :, None, :, None] * outward[:, :, None, None, :]
    inside = np.all((places >= 0) & (places <= np.array(grey.shape[::-1]) - 1), axis=(-1, -2))
    level, contrast = _levels(_sample(grey, places), _is_narrow(module_px), rough=rough)
    crossing, crosses = _crossings(level, across_px)
    found = inside & crosses & (contrast > EDGE_CONTRAST_MIN)
    offset, slope, u_px = _fit_lines(shares, crossing, found)
    directions = along + (slope / length)[..., None] * outward
    directions /= np.linalg.norm(directions, axis=2, keepdims=True)
    return middle + offset[..., None] * outward, directions, u_px


def _is_narrow(module_px: FloatArray) -> Mask:
    """Which edges have too narrow a white margin to read its light from, (N, 4)."""
    return np.asarray(EDGE_MARGIN_MODULES * module_px < EDGE_MARGIN_MIN_PX)


def _across_px(module_px: FloatArray, *, rough: bool) -> FloatArray:
    """Where each edge is sampled across it, px, negative inside: (N, 4) to (N, 4, T).

    At first alike on both sides. Then no further out than the white margin is sure to reach,
    unless that is too narrow: then far out, where some edges of a marker still see white.
    """
    inward = np.clip(EDGE_REACH_MODULES * module_px, EDGE_REACH_MIN_PX, EDGE_REACH_MAX_PX)
    margin = np.minimum(EDGE_MARGIN_MODULES * module_px, EDGE_REACH_MAX_PX)
    beyond = np.minimum(EDGE_BEYOND_MODULES * module_px, EDGE_REACH_MAX_PX)
    out = inward if rough else np.where(_is_narrow(module_px), np.maximum(beyond, EDGE_REACH_MIN_PX), margin)
    steps = np.linspace(0, 1, round(EDGE_REACH_MAX_PX / EDGE_SAMPLE_STEP_PX) + 1)
    return np.concatenate([-inward[..., None] * steps[:0:-1], out[..., None] * steps], axis=-1)


def _levels(profile: FloatArray, narrow: Mask, *, rough: bool) -> tuple[FloatArray, FloatArray]:
    """Profiles (N, 4, S, T) with dark at -0.5 and light at 0.5, and their contrast (N, 4, S).

    At first the window may reach past the white margin, so shares of all samples are taken;
    then the medians of the samples furthest in and furthest out, unless the margin is `narrow`,
    (N, 4).
    """
    if rough:
        light = np.quantile(profile, 0.85, axis=-1, keepdims=True)
        dark = np.quantile(profile, 0.15, axis=-1, keepdims=True)
    else:
        n_far = profile.shape[-1] // 5
        light = np.median(profile[..., -n_far:], axis=-1, keepdims=True)
        dark = np.median(profile[..., :n_far], axis=-1, keepdims=True)
        light = np.where(narrow[..., None, None], _light_of_narrow(profile, light[..., 0])[..., None], light)
    contrast = light - dark
    level = (profile - dark) / np.where(contrast > 0, contrast, 1) - 0.5
    return level, contrast[..., 0]


def _light_of_narrow(profile: FloatArray, light: FloatArray) -> FloatArray:
    """White along edges whose margin may be lost in the blur, (N, 4, S).

    It runs straight from what the edge before shows beside its end to what the edge after shows
    beside its start; where one of them sees no white either, the other counts. It is never
    below the lightest of the edge's own samples. `light`, (N, 4, S), is each edge's own reading.
    """
    n_near = light.shape[-1] // 4
    before = np.roll(np.median(light[..., -n_near:], axis=-1), 1, axis=1)
    after = np.roll(np.median(light[..., :n_near], axis=-1), -1, axis=1)
    lighter = np.maximum(before, after)
    before, after = (np.where(end < EDGE_NO_WHITE_RATIO * lighter, lighter, end) for end in (before, after))
    along = np.linspace(0, 1, light.shape[-1])
    straight = before[..., None] + along * (after - before)[..., None]
    own = np.median(profile[..., profile.shape[-1] // 2 :], axis=2).max(axis=-1)
    return np.asarray(np.maximum(straight, own[..., None]))


def _crossings(level: FloatArray, across_px: FloatArray) -> tuple[FloatArray, Mask]:
    """Place across the edge where the level rises through 0, nearest to the foot, and if it does.

    `level` is (N, 4, S, T), `across_px` (N, 4, T); the results are (N, 4, S).
    """
    before, after = level[..., :-1], level[..., 1:]
    rises = (before < 0) & (after >= 0)
    share = np.where(rises, -before / np.where(rises, after - before, 1), 0)
    t_px = across_px[:, :, None, :]
    places = t_px[..., :-1] + share * np.diff(t_px, axis=-1)
    nearest = np.argmin(np.where(rises, np.abs(places), np.inf), axis=-1)[..., None]
    crossing = np.take_along_axis(places, nearest, axis=-1)[..., 0]
    return np.asarray(crossing), np.asarray(rises.any(axis=-1))


def _sample(grey: GreyImage, places: FloatArray) -> FloatArray:
    """Bilinear grey values at (..., 2) places in px."""
    flat = places.reshape(-1, places.shape[-2], 2).astype(np.float32)
    values = cv2.remap(grey, flat[..., 0], flat[..., 1], cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE)
    return np.asarray(values, dtype=np.float64).reshape(places.shape[:-1])


def _fit_lines(shares: FloatArray, crossing: FloatArray, found: Mask) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Least-squares lines crossing = offset + slope * share, far points dropped.

    `shares` is (S,), the others (N, 4, S); the three results are (N, 4).
    """
    keep = found
    offset, slope = _weighted_line(shares, crossing, keep)
    for _ in range(2):
        off = np.abs(crossing - offset[..., None] - slope[..., None] * shares)
        ranked = np.sort(np.where(keep, off, np.inf), axis=-1)
        middle = np.maximum(keep.sum(axis=-1, keepdims=True) - 1, 0) // 2
        typical = np.take_along_axis(ranked, middle, axis=-1)
        limit = np.maximum(4 * MAD_TO_SD * np.where(np.isfinite(typical), typical, 0), 0.1)
        keep = found & (off <= limit)
        offset, slope = _weighted_line(shares, crossing, keep)
    n = keep.sum(axis=-1)
    off = np.where(keep, crossing - offset[..., None] - slope[..., None] * shares, 0)
    scatter = np.sqrt(np.sum(off**2, axis=-1) / np.maximum(n - 2, 1))
    spread = np.sqrt(np.mean(shares**2))
    u_end = scatter / np.sqrt(np.maximum(n, 1)) * np.hypot(1, 0.5 / spread)
    enough = n >= EDGE_CROSSINGS_MIN_RATIO * len(shares)
    return offset, slope, np.where(enough, u_end, np.inf)


def _weighted_line(shares: FloatArray, crossing: FloatArray, keep: Mask) -> tuple[FloatArray, FloatArray]:
    """Closed-form line fit along the last axis with 0/1 weights."""
    w = keep.astype(np.float64)
    n = np.maximum(w.sum(axis=-1), 1)
    s_mean = (w * shares).sum(axis=-1) / n
    t_mean = (w * crossing).sum(axis=-1) / n
    ds = shares - s_mean[..., None]
    denominator = (w * ds**2).sum(axis=-1)
    slope = (w * ds * (crossing - t_mean[..., None])).sum(axis=-1) / np.where(denominator > 0, denominator, 1)
    return t_mean - slope * s_mean, slope


def _cross(point_a: FloatArray, along_a: FloatArray, point_b: FloatArray, along_b: FloatArray) -> FloatArray:
    """Crossing of lines a and b, (..., 2); far away where they are parallel."""
    gap = point_b - point_a
    det = along_a[..., 0] * along_b[..., 1] - along_a[..., 1] * along_b[..., 0]
    det = np.where(np.abs(det) < 1e-6, 1e-6, det)
    t = (gap[..., 0] * along_b[..., 1] - gap[..., 1] * along_b[..., 0]) / det
    return np.asarray(point_a + t[..., None] * along_a)


def _areas(corners: FloatArray) -> FloatArray:
    """Area of each quadrilateral, (N,), px squared."""
    ac, bd = corners[:, 2] - corners[:, 0], corners[:, 3] - corners[:, 1]
    return np.asarray(np.abs(ac[:, 0] * bd[:, 1] - ac[:, 1] * bd[:, 0]) / 2)

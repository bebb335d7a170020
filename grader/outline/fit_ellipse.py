"""Ellipse through points, with weights, against outliers, and with its covariance."""

import math
from dataclasses import dataclass

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.constants import MAD_TO_SD
from grader.outline.constants import ELLIPSE_ROUNDS, START_LEFT_OUT, START_SECTORS, START_SHARE, TUKEY_LIMIT
from grader.outline.dome_view import EllipseFit, NoEllipse


@dataclass(frozen=True, slots=True, eq=False)
class _Conic:
    """|L (p - c)| = 1 with L'L = A: centre (2,) and the three entries of A."""

    centre: FloatArray
    a11: float
    a12: float
    a22: float

    def moved(self, step: FloatArray) -> '_Conic':
        return _Conic(self.centre + step[:2], self.a11 + step[2], self.a12 + step[3], self.a22 + step[4])

    def is_ellipse(self) -> bool:
        return self.a11 > 0 and self.a11 * self.a22 > self.a12**2


def fit_ellipse(points_px: PointsPx, weights: FloatArray, *, floor_px: float = 0.0) -> EllipseFit | NoEllipse:
    """Ellipse that most points agree on.

    Gauss-Newton steps on the first-order distance to the curve |L(p - c)| = 1 (Sampson 1982, from memory, for
    the root form, which is exact for circles), with Tukey's biweight on distances over their median.

    Parameters
    ----------
    points_px : ndarray of shape (N, 2)
    weights : ndarray of shape (N,)
        Relative inverse variance of each point along the normal, at least 0.
    floor_px : float
        Smallest robust scale: points closer than about this are never taken for outliers.

    Returns
    -------
    EllipseFit or NoEllipse
        NoEllipse when fewer than five points carry weight or they lie on no ellipse (a line, a hyperbola).
    """
    points = np.asarray(points_px, dtype=np.float64)
    weights = np.asarray(weights, dtype=np.float64)
    if points.ndim != 2 or points.shape[1] != 2 or weights.shape != points.shape[:1]:
        raise ValueError(f'points must be (N, 2) with N weights, got {points.shape} and {weights.shape}')
    if (weights > 0).sum() < 5 or not (np.isfinite(points).all() and np.isfinite(weights).all()):
        return NoEllipse("fewer than five usable points")
    origin = points[weights > 0].mean(axis=0)
    scale = float(np.sqrt(((points - origin)[weights > 0] ** 2).sum(axis=1).mean()))
    if scale == 0:
        return NoEllipse("all points are one point")
    unit = (points - origin) / scale
    conic = _best_start(unit, weights)
    if conic is None:
        return NoEllipse("the points lie on no ellipse")
    for _ in range(ELLIPSE_ROUNDS):
        distance, jacobian = _distances(conic, unit)
        robust = weights * _biweight(distance, weights, floor_px / scale)
        step = _solve(jacobian, distance, robust)
        if step is None:
            return NoEllipse("too few points agree on one ellipse")
        moved = conic.moved(step)
        if not moved.is_ellipse():
            return NoEllipse("the points lie on no ellipse")
        conic = moved
        if np.abs(step).max() < 1e-10:
            break
    return _describe(conic, unit, weights, origin, scale, floor_px)


def ellipse_points(ellipse: EllipseFit, n_points: int) -> PointsPx:
    """Points of an ellipse at equal steps of its eccentric angle, (n_points, 2), beginning next to +x."""
    angle = math.radians(ellipse.angle_deg)
    turn = np.arange(n_points) * 2 * np.pi / n_points - angle
    along, across = ellipse.semi_major_px * np.cos(turn), ellipse.semi_minor_px * np.sin(turn)
    cos, sin = math.cos(angle), math.sin(angle)
    return np.column_stack([along * cos - across * sin, along * sin + across * cos]) + ellipse.centre_px


def _best_start(unit: PointsPx, weights: FloatArray) -> _Conic | None:
    """Of the fits to all points, and to all but some neighbouring sectors, the one that most points are near to."""
    sector = np.floor((np.arctan2(unit[:, 1], unit[:, 0]) / (2 * np.pi) % 1) * START_SECTORS).astype(int)
    best, least = None, np.inf
    for first, n_left_out in [(0, 0)] + [(k, n) for n in START_LEFT_OUT for k in range(START_SECTORS)]:
        kept = weights * ((sector - first) % START_SECTORS >= n_left_out)
        conic = _start(unit, kept) if (kept > 0).sum() >= 5 else None
        if conic is not None:
            apart = _weighted_quantile(np.abs(_distances(conic, unit)[0]), weights, START_SHARE)
            if apart < least:
                best, least = conic, apart
    return best


def _start(unit: PointsPx, weights: FloatArray) -> _Conic | None:
    """Algebraic fit that can only give an ellipse (Halir and Flusser 1998, from memory)."""
    x, y = unit[:, 0], unit[:, 1]
    root = np.sqrt(weights)[:, None]
    quadratic = np.column_stack([x * x, x * y, y * y]) * root
    linear = np.column_stack([x, y, np.ones_like(x)]) * root
    s1, s2, s3 = quadratic.T @ quadratic, quadratic.T @ linear, linear.T @ linear
    if np.linalg.cond(s3) > 1e12:
        return None
    t = -np.linalg.solve(s3, s2.T)
    m = s1 + s2 @ t
    m = np.array([m[2] / 2, -m[1], m[0] / 2])
    vectors = np.real(np.linalg.eig(m)[1])
    is_ellipse = 4 * vectors[0] * vectors[2] - vectors[1] ** 2 > 0
    if not is_ellipse.any():
        return None
    a = vectors[:, is_ellipse][:, 0]
    d = t @ a
    shape = np.array([[a[0], a[1] / 2], [a[1] / 2, a[2]]])
    if np.linalg.cond(shape) > 1e8:
        return None
    centre = np.linalg.solve(2 * shape, -d[:2])
    level = centre @ shape @ centre - d[2]
    if level == 0:
        return None
    shape = shape / level
    conic = _Conic(centre, shape[0, 0], shape[0, 1], shape[1, 1])
    return conic if conic.is_ellipse() else None


def _distances(conic: _Conic, unit: PointsPx) -> tuple[FloatArray, FloatArray]:
    """Signed distance of each point from the curve, positive outside (N,), and its Jacobian (N, 5)."""
    dx, dy = (unit - conic.centre).T
    gx, gy = conic.a11 * dx + conic.a12 * dy, conic.a12 * dx + conic.a22 * dy
    rho = np.sqrt(np.maximum(dx * gx + dy * gy, 1e-12))
    slope = np.maximum(np.hypot(gx, gy) / rho, 1e-9)
    distance = (rho - 1) / slope
    by_shape = np.column_stack([dx * dx, 2 * dx * dy, dy * dy]) / (2 * rho)[:, None]
    by_centre = -np.column_stack([gx, gy]) / rho[:, None]
    return distance, np.column_stack([by_centre, by_shape]) / slope[:, None]


def _biweight(distance: FloatArray, weights: FloatArray, floor: float) -> FloatArray:
    """Tukey's weight, (N,): 1 at the curve, 0 from TUKEY_LIMIT robust standard deviations on."""
    spread = MAD_TO_SD * _weighted_quantile(np.abs(distance), weights, 0.5)
    limit = TUKEY_LIMIT * max(spread, floor, 1e-12)
    return np.asarray(np.clip(1 - (distance / limit) ** 2, 0, None) ** 2)


def _weighted_quantile(values: FloatArray, weights: FloatArray, share: float) -> float:
    order = np.argsort(values, kind='stable')
    total = np.cumsum(weights[order])
    return float(values[order][np.searchsorted(total, total[-1] * share)])


def _solve(jacobian: FloatArray, distance: FloatArray, weights: FloatArray) -> FloatArray | None:
    normal = jacobian.T @ (weights[:, None] * jacobian)
    if not np.isfinite(normal).all() or np.linalg.cond(normal) > 1e14:
        return None
    return np.asarray(-np.linalg.solve(normal, jacobian.T @ (weights * distance)))


def _describe(
    conic: _Conic, unit: PointsPx, weights: FloatArray, origin: FloatArray, scale: float, floor_px: float
) -> EllipseFit | NoEllipse:
    distance, jacobian = _distances(conic, unit)
    kept = _biweight(distance, weights, floor_px / scale)
    robust = weights * kept
    variance = float((robust * distance**2).sum() / robust.sum())
    scatter = _scatter(distance, jacobian, weights, kept)
    if scatter is None:
        return NoEllipse("too few points agree on one ellipse")
    axes, to_axes = _axes(conic), np.empty((5, 5))
    for k in range(5):
        nudge = np.zeros(5)
        nudge[k] = 1e-6
        up, down = _axes(conic.moved(nudge)), _axes(conic.moved(-nudge))
        change = up - down
        change[4] = (change[4] + np.pi / 2) % np.pi - np.pi / 2
        to_axes[:, k] = change / 2e-6
    units = np.array([scale, scale, scale, scale, 1.0])
    covariance = (to_axes @ scatter @ to_axes.T) * np.outer(units, units)
    covariance.flags.writeable = False
    return EllipseFit(
        centre_px=(float(axes[0] * scale + origin[0]), float(axes[1] * scale + origin[1])),
        semi_major_px=float(axes[2] * scale),
        semi_minor_px=float(axes[3] * scale),
        angle_deg=float(np.degrees(axes[4]) % 180),
        covariance=covariance,
        rms_px=math.sqrt(variance) * scale,
        inlier_ratio=float((weights * (kept > 0)).sum() / weights.sum()),
    )


def _scatter(distance: FloatArray, jacobian: FloatArray, weights: FloatArray, kept: FloatArray) -> FloatArray | None:
    """Covariance (5, 5) of the conic's numbers, from the points' own scatter (Huber's sandwich, from memory)."""
    n_kept = int((kept > 0).sum())
    normal = jacobian.T @ ((weights * kept)[:, None] * jacobian)
    if n_kept <= 5 or np.linalg.cond(normal) > 1e14:
        return None
    middle = jacobian.T @ (((weights * kept * distance) ** 2)[:, None] * jacobian)
    # The biweight's pull, x (1 - u^2)^2, grows by (1 - u^2)(1 - 5 u^2); with kept = (1 - u^2)^2, u^2 = 1 - sqrt(kept).
    root = np.sqrt(kept)
    give = float((weights * root * (5 * root - 4)).sum() / (weights * kept).sum())
    inverse = np.linalg.inv(normal)
    return np.asarray(inverse @ middle @ inverse / max(give, 0.2) ** 2 * n_kept / (n_kept - 5))


def _axes(conic: _Conic) -> FloatArray:
    """Centre x, centre y, half-axes (larger first) and the angle of the larger, rad."""
    mean = (conic.a11 + conic.a22) / 2
    apart = math.hypot((conic.a11 - conic.a22) / 2, conic.a12)
    angle = 0.5 * math.atan2(-conic.a12, (conic.a22 - conic.a11) / 2)
    major, minor = 1 / math.sqrt(max(mean - apart, 1e-12)), 1 / math.sqrt(mean + apart)
    return np.array([conic.centre[0], conic.centre[1], major, minor, angle])

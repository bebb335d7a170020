"""One photo's parameters, and where they put printed points in the picture."""

from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, PointsMm, PointsPx
from calib.constants import BARREL_AT_PX

PARAMETER_NAMES: tuple[str, ...] = (
    'log_focal',
    'centre_x_px',
    'centre_y_px',
    'barrel_ratio',
    'rotation_x_rad',
    'rotation_y_rad',
    'rotation_z_rad',
    'card_x_px',
    'card_y_px',
    'log_distance',
    'aspect_ratio',
    'bend_xx_mm',
    'bend_xy_mm',
    'bend_yy_mm',
)
"""Chosen so that what a photo leaves open (focal length and distance grow together) is a
straight line among them: logarithms of both; the card's centre by the pixel that shows it
(lens distortion apart) and by its depth, exp(log_distance) mm. Rotations are small turns
about the camera's axes from the fitted pose, 0 there. `barrel_ratio` is
the share by which lens distortion lengthens 1000 px from the principal point: unlike k1
it stays when the focal length moves."""

LOG_FOCAL, CENTRE, BARREL = 0, slice(1, 3), 3
ROTATION, CARD_AT, LOG_DISTANCE = slice(4, 7), slice(7, 9), 9
ASPECT, BEND = 10, slice(11, 14)


@dataclass(frozen=True, slots=True, eq=False)
class Pose:
    """All parameters of one photo.

    Attributes
    ----------
    rotation : ndarray of shape (3, 3)
        Card to camera axes.
    values : ndarray of shape (14,)
        In the order of PARAMETER_NAMES, rotations 0.
    """

    rotation: FloatArray
    values: FloatArray

    def moved(self, step: FloatArray) -> 'Pose':
        """The pose with `step`, (14,), added; its turn goes into `rotation`."""
        turn, _ = cv2.Rodrigues(np.ascontiguousarray(step[ROTATION]))
        values = self.values + step
        values[ROTATION] = 0
        return Pose(np.asarray(turn) @ self.rotation, values)

    @property
    def focal_px(self) -> float:
        """Focal length in px."""
        return float(np.exp(self.values[LOG_FOCAL]))

    @property
    def k1(self) -> float:
        """Radial term."""
        return float(self.values[BARREL]) * (self.focal_px / BARREL_AT_PX) ** 2

    @property
    def translation_mm(self) -> FloatArray:
        """The card's centre in camera axes, (3,)."""
        xy = (self.values[CARD_AT] - self.values[CENTRE]) / self.focal_px
        return np.asarray(np.exp(self.values[LOG_DISTANCE]) * np.array([*xy, 1.0]))


def barrel_of(k1: float, focal_px: float) -> float:
    """`barrel_ratio` of a radial term at a focal length."""
    return k1 * (BARREL_AT_PX / focal_px) ** 2


def predict(pose: Pose, printed_mm: PointsMm, half_width_mm: float) -> PointsPx:
    """Pixels of printed points, (..., 3) to (..., 2)."""
    return predict_slopes(pose, printed_mm, half_width_mm)[0]


def predict_slopes(pose: Pose, printed_mm: PointsMm, half_width_mm: float) -> tuple[PointsPx, FloatArray]:
    """Pixels of printed points and their derivatives.

    Parameters
    ----------
    pose : Pose
    printed_mm : ndarray of shape (..., 3)
        On the card, flat.
    half_width_mm : float
        The bend parameters are the height there: z = xx (x / h)^2 + xy x y / h^2 + yy (y / h)^2.

    Returns
    -------
    ndarray of shape (..., 2)
        px.
    ndarray of shape (..., 2, 14)
        By the parameters of PARAMETER_NAMES.
    """
    v = pose.values
    focal_px, k1 = pose.focal_px, pose.k1
    card, card_slopes = _bent(v, printed_mm, half_width_mm)
    turned = card @ pose.rotation.T
    cam = turned + pose.translation_mm
    depth = np.maximum(cam[..., 2:3], 1e-3)
    xy = cam[..., :2] / depth
    r2 = np.sum(xy**2, axis=-1, keepdims=True)
    bent = xy * (1 + k1 * r2)

    by_cam = np.zeros((*xy.shape, 3))
    by_cam[..., :, :2] = np.eye(2) / depth[..., None]
    by_cam[..., :, 2] = -xy / depth
    by_xy = focal_px * ((1 + k1 * r2)[..., None] * np.eye(2) + 2 * k1 * xy[..., :, None] * xy[..., None, :])
    by_cam = by_xy @ by_cam

    slopes = np.zeros((*xy.shape, len(PARAMETER_NAMES)))
    by_k1 = focal_px * xy * r2
    shift = by_cam[..., :2] * np.exp(v[LOG_DISTANCE]) / focal_px
    slopes[..., LOG_FOCAL] = focal_px * bent + 2 * k1 * by_k1 - shift @ (v[CARD_AT] - v[CENTRE])
    slopes[..., CENTRE] = np.eye(2) - shift
    slopes[..., BARREL] = (focal_px / BARREL_AT_PX) ** 2 * by_k1
    slopes[..., ROTATION] = by_cam @ _cross_matrix(turned)
    slopes[..., CARD_AT] = shift
    slopes[..., LOG_DISTANCE] = by_cam @ pose.translation_mm
    slopes[..., ASPECT:] = by_cam @ (pose.rotation @ card_slopes)
    return v[CENTRE] + focal_px * bent, slopes


def _bent(values: FloatArray, printed_mm: PointsMm, half_width_mm: float) -> tuple[PointsMm, FloatArray]:
    """Printed points on the stretched and bent card, and slopes by its 4 parameters."""
    x, y = printed_mm[..., 0], printed_mm[..., 1]
    shapes = np.stack([x * x, x * y, y * y], axis=-1) / half_width_mm**2
    card = printed_mm.copy()
    card[..., 0] = x * (1 - values[ASPECT] / 2)
    card[..., 1] = y * (1 + values[ASPECT] / 2)
    card[..., 2] = printed_mm[..., 2] + shapes @ values[BEND]
    slopes = np.zeros((*printed_mm.shape, 4))
    slopes[..., 0, 0] = -x / 2
    slopes[..., 1, 0] = y / 2
    slopes[..., 2, 1:] = shapes
    return card, slopes


def _cross_matrix(points: FloatArray) -> FloatArray:
    """(..., 3, 3): the derivative of a turned point by small turns, -[p]x."""
    matrix = np.zeros((*points.shape, 3))
    x, y, z = np.moveaxis(points, -1, 0)
    matrix[..., 0, 1], matrix[..., 0, 2] = z, -y
    matrix[..., 1, 0], matrix[..., 1, 2] = -z, x
    matrix[..., 2, 0], matrix[..., 2, 1] = y, -x
    return matrix


def values_of(focal_px: float, centre_px: tuple[float, float], k1: float, translation_mm: FloatArray) -> FloatArray:
    """Parameters of a camera and a card's place, (14,), with a flat and true card."""
    values = np.zeros(len(PARAMETER_NAMES))
    depth_mm = max(float(translation_mm[2]), 1.0)
    values[LOG_FOCAL], values[LOG_DISTANCE] = np.log(focal_px), np.log(depth_mm)
    values[CENTRE], values[BARREL] = centre_px, barrel_of(k1, focal_px)
    values[CARD_AT] = values[CENTRE] + focal_px * np.asarray(translation_mm)[:2] / depth_mm
    return values

"""From a photo to the card's mapping: pixels to card millimetres and back."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsMm, PointsPx, RgbImage
from calib.bundle import PARAMETER_NAMES, Corners, Pose, Solution, solve
from calib.camera import Camera, FocalPrior, focal_from_f35, focal_unknown
from calib.card import CARD_NAMES, CardSpec, load_card
from calib.consensus import CardMarkers, agreeing_markers
from calib.constants import FOCAL_PULL_MAX, U_CENTRE_RATIO, U_K1, U_OUTSET_RATIO
from calib.errors import CardNotFound
from calib.linear_light import linear_grey
from calib.markers import MarkerCorners, find_markers
from calib.print_scale import PrintScale
from calib.profile import CameraProfile

_ALL_CARDS = tuple(load_card(name) for name in CARD_NAMES)


@dataclass(frozen=True, slots=True, eq=False)
class CardFit:
    """How one photo sees one card. X_cam = rotation @ X_card + translation_mm.

    Attributes
    ----------
    spec : CardSpec
    camera : Camera
    rotation : ndarray of shape (3, 3)
        Card axes to camera axes.
    translation_mm : ndarray of shape (3,)
    covariance : ndarray of shape (12, 12)
        Of `parameter_names`, corner scatter and priors together, print scale apart.
    parameter_names : tuple of str
    corners : MarkerCorners
        The card's markers that the fit rests on.
    rms_px : float
        Root mean square distance of the corners from their predicted places.
    print_scale_ratio, u_print_ratio : float
        True length over nominal length of the print, and its relative standard uncertainty.
    flags : tuple of str
    """

    spec: CardSpec
    camera: Camera
    rotation: FloatArray
    translation_mm: FloatArray
    covariance: FloatArray
    parameter_names: tuple[str, ...]
    corners: MarkerCorners
    rms_px: float
    print_scale_ratio: float
    u_print_ratio: float
    flags: tuple[str, ...]

    @property
    def camera_position_mm(self) -> FloatArray:
        """The camera's place in the card frame, (3,)."""
        return np.asarray(-self.rotation.T @ self.translation_mm)

    def project_mm(self, points_mm: PointsMm) -> PointsPx:
        """Pixels of points in the card frame, (N, 3) to (N, 2)."""
        return self.camera.project(points_mm @ self.rotation.T + self.translation_mm)

    def rays_mm(self, points_px: PointsPx) -> tuple[FloatArray, FloatArray]:
        """Viewing rays in the card frame: origin (3,), unit directions (N, 3)."""
        return self.camera_position_mm, self.camera.rays(points_px) @ self.rotation

    def to_plane_mm(self, points_px: PointsPx, height_mm: float = 0.0) -> PointsMm:
        """Where pixels meet the plane `height_mm` above the card, (N, 2) to (N, 2).

        Pixels that look away from the plane give infinities.
        """
        origin, directions = self.rays_mm(points_px)
        down = np.where(directions[:, 2] < 0, directions[:, 2], -0.0)
        with np.errstate(divide='ignore', invalid='ignore'):
            along = (height_mm - origin[2]) / down
            return np.asarray(origin[:2] + along[:, None] * directions[:, :2])

    def sample(self, rng: np.random.Generator, n: int) -> list['CardFit']:
        """`n` fits drawn from the covariance (the print's scale is not drawn)."""
        spread = np.linalg.svd(self.covariance)
        root = spread[0] * np.sqrt(spread[1])
        draws = rng.standard_normal((n, len(self.parameter_names))) @ root.T
        return [self._moved(draw) for draw in draws]

    def _moved(self, step: FloatArray) -> 'CardFit':
        """The fit with its parameters moved by `step`, (12,)."""
        turn, _ = cv2.Rodrigues(step[4:7])
        cx, cy = self.camera.centre_px
        camera = self.camera.moved(
            self.camera.focal_px + float(step[0]),
            (cx + float(step[1]), cy + float(step[2])),
            self.camera.k1 + float(step[3]),
        )
        return replace(
            self,
            camera=camera,
            rotation=np.asarray(turn) @ self.rotation,
            translation_mm=self.translation_mm + step[7:10],
        )


def fit_card(
    rgb: RgbImage,
    *,
    name: str = "photo",
    f35_mm: float | None = None,
    profile: CameraProfile | None = None,
    print_scale: PrintScale = PrintScale(),
    specs: Sequence[CardSpec] = _ALL_CARDS,
    linear: GreyImage | None = None,
) -> CardFit:
    """Find a calibration card in a photo and fit camera and pose to it.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
        uint8 sRGB.
    name : str
        The photo's name, for messages.
    f35_mm : float or None
        35 mm equivalent focal length of the uncropped photo.
    profile : CameraProfile or None
        Outranks `f35_mm`.
    print_scale : PrintScale
    specs : sequence of CardSpec
        Cards to look for.
    linear : ndarray of shape (H, W), optional
        `linear_grey(rgb)` if it is at hand.

    Returns
    -------
    CardFit

    Raises
    ------
    CardNotFound, CardUnfit
    """
    grey = linear_grey(rgb) if linear is None else linear
    size_px = (grey.shape[1], grey.shape[0])
    card = _best_card(find_markers(grey), specs, name)
    knowledge = _knowledge(size_px, f35_mm, profile)
    solution, focal_source = _fit(card, knowledge, print_scale, size_px)
    return _as_fit(card, solution, focal_source, size_px, print_scale)


@dataclass(frozen=True, slots=True)
class _Knowledge:
    """What is known of the camera beforehand."""

    focal: FocalPrior
    centre_px: tuple[float, float]
    u_centre_px: float
    k1: float
    u_k1: float


def _knowledge(
    size_px: tuple[int, int], f35_mm: float | None, profile: CameraProfile | None
) -> _Knowledge:
    if profile is not None:
        own = profile.scaled_to(size_px)
        return _Knowledge(own.focal_prior(), own.centre_px, own.u_centre_px, own.k1, own.u_k1)
    focal = focal_unknown(size_px) if f35_mm is None else focal_from_f35(f35_mm, size_px)
    middle = ((size_px[0] - 1) / 2, (size_px[1] - 1) / 2)
    return _Knowledge(focal, middle, U_CENTRE_RATIO * math.hypot(*size_px), 0.0, U_K1)


def _best_card(found: MarkerCorners, specs: Sequence[CardSpec], name: str) -> CardMarkers:
    """The card with most markers in their places (the first on a tie)."""
    cards = [agreeing_markers(found, spec) for spec in specs]
    best = max(cards, key=lambda card: len(card.markers) / card.spec.markers_needed)
    if len(best.markers) < best.spec.markers_needed:
        seen = len(best.markers)
        raise CardNotFound(name, seen, len(best.spec.markers), best.spec.markers_needed)
    return best


def _fit(
    card: CardMarkers, known: _Knowledge, print_scale: PrintScale, size_px: tuple[int, int]
) -> tuple[Solution, str]:
    """Fit under the priors; a focal length that the markers contradict is let go."""
    corners = _flat(card, print_scale.ratio)
    solution = _solve_from_starts(corners, known, print_scale)
    if abs(solution.pulls[0]) > FOCAL_PULL_MAX:
        free = replace(known, focal=focal_unknown(size_px))
        return _solve_from_starts(corners, free, print_scale), free.focal.source
    return solution, known.focal.source


def _flat(card: CardMarkers, ratio: float) -> Corners:
    """The card's corners that have an uncertainty, as flat arrays."""
    ids = card.markers.ids
    printed = np.concatenate([card.spec.marker_corners_mm(int(i)) for i in ids]) * ratio
    outward = np.tile(np.array([[-1.0, 1], [1, 1], [1, -1], [-1, -1]]), (len(ids), 1))
    u_px = card.markers.u_px.ravel()
    good = np.isfinite(u_px)
    seen = card.markers.corners_px.reshape(-1, 2)
    return Corners(printed[good], outward[good], seen[good], u_px[good])


def _solve_from_starts(
    corners: Corners, known: _Knowledge, print_scale: PrintScale
) -> Solution:
    """Fit from both poses that a plane allows; the better one."""
    side_mm = float(np.ptp(corners.printed_mm[:4, 0]))
    prior = np.zeros(len(PARAMETER_NAMES))
    prior[:4] = known.focal.focal_px, *known.centre_px, known.k1
    u_prior = np.full(len(PARAMETER_NAMES), np.inf)
    u_prior[:4] = known.focal.u_focal_px, known.u_centre_px, known.u_centre_px, known.u_k1
    u_prior[10:] = U_OUTSET_RATIO * max(side_mm, 1.0), print_scale.u_aspect_ratio
    matrix = np.array(
        [
            [known.focal.focal_px, 0, known.centre_px[0]],
            [0, known.focal.focal_px, known.centre_px[1]],
            [0, 0, 1],
        ]
    )
    _, rvecs, tvecs, _ = cv2.solvePnPGeneric(
        corners.printed_mm, corners.seen_px, matrix, np.array([known.k1, 0, 0, 0]),
        flags=cv2.SOLVEPNP_IPPE,
    )
    solutions = []
    for rvec, tvec in zip(rvecs, tvecs, strict=True):
        values = prior.copy()
        values[7:10] = np.ravel(tvec)
        start = Pose(np.asarray(cv2.Rodrigues(rvec)[0]), values)
        solutions.append(solve(start, corners, prior, u_prior))
    return min(solutions, key=lambda one: one.cost)


def _as_fit(
    card: CardMarkers,
    solution: Solution,
    focal_source: str,
    size_px: tuple[int, int],
    print_scale: PrintScale,
) -> CardFit:
    values = solution.pose.values
    camera = Camera(
        focal_px=float(values[0]),
        centre_px=(float(values[1]), float(values[2])),
        k1=float(values[3]),
        size_px=size_px,
        u_focal_px=float(np.sqrt(solution.covariance[0, 0])),
        focal_source=focal_source,
    )
    rms_px = float(np.sqrt(np.mean(np.sum(solution.residuals_px**2, axis=1))))
    return CardFit(
        spec=card.spec,
        camera=camera,
        rotation=solution.pose.rotation,
        translation_mm=solution.pose.translation_mm.copy(),
        covariance=solution.covariance,
        parameter_names=PARAMETER_NAMES,
        corners=card.markers,
        rms_px=rms_px,
        print_scale_ratio=print_scale.ratio,
        u_print_ratio=print_scale.u_ratio,
        flags=(),
    )

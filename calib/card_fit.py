"""From a photo to the card's mapping: pixels to card millimetres and back."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsMm, PointsPx, RgbImage
from calib.camera import Camera
from calib.card import CARD_NAMES, CardSpec, load_card
from calib.card_faults import doubts_of, refuse_unfit
from calib.card_pose import fit_pose
from calib.card_search import search_card
from calib.constants import U_K1_MODEL
from calib.linear_light import linear_grey
from calib.markers import MarkerCorners
from calib.pose import BARREL, CENTRE, LOG_FOCAL, PARAMETER_NAMES, Pose, barrel_of, values_of
from calib.print_scale import PrintScale
from calib.profile import CameraProfile

ALL_CARDS: tuple[CardSpec, ...] = tuple(load_card(name) for name in CARD_NAMES)
UNMEASURED_PRINT = PrintScale()


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
    covariance : ndarray of shape (14, 14)
        Of `parameter_names`: corner scatter and priors together, the print's scale apart.
    parameter_names : tuple of str
        See `pose.PARAMETER_NAMES`.
    corners : MarkerCorners
        The card's markers that the fit rests on.
    rms_px : float
        Root mean square distance of the corners from their predicted places, the outset that
        a marker's corners share left out.
    print_scale_ratio, u_print_ratio : float
        True length over nominal length of the print, and its relative standard uncertainty.
    flags : tuple of str
        Names in `card_flags.CARD_FLAGS`.
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

    def __post_init__(self) -> None:
        for array in (self.rotation, self.translation_mm, self.covariance):
            array.setflags(write=False)

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

        Pixels that look away from the plane give NaN.
        """
        origin, directions = self.rays_mm(points_px)
        down = directions[:, 2:] * np.sign(height_mm - origin[2])
        along = np.where(down > 0, abs(height_mm - origin[2]) / np.where(down > 0, down, 1), np.nan)
        return np.asarray(origin[:2] + along * directions[:, :2])

    def sample(self, rng: np.random.Generator, n: int) -> list['CardFit']:
        """`n` fits drawn from the covariance (the print's scale is not drawn)."""
        directions, spread, _ = np.linalg.svd(self.covariance)
        draws = rng.standard_normal((n, len(spread))) @ (directions * np.sqrt(spread)).T
        return [self.moved(draw) for draw in draws]

    def moved(self, step: FloatArray) -> 'CardFit':
        """The fit with `step`, (14,) in the order of `parameter_names`, added to its parameters."""
        camera = self.camera
        values = values_of(camera.focal_px, camera.centre_px, camera.k1, self.translation_mm)
        pose = Pose(self.rotation, values).moved(step)
        return replace(
            self,
            camera=_camera(pose, self.camera),
            rotation=pose.rotation,
            translation_mm=pose.translation_mm,
        )


def fit_card(
    rgb: RgbImage,
    *,
    name: str = "photo",
    f35_mm: float | None = None,
    profile: CameraProfile | None = None,
    print_scale: PrintScale = UNMEASURED_PRINT,
    specs: Sequence[CardSpec] = ALL_CARDS,
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
        `linear_grey(rgb)`, if it is at hand.

    Returns
    -------
    CardFit

    Raises
    ------
    CardNotFound
        If too few markers are in their places.
    CardUnfit
        If the card is of another kind, mirrored, or too bent to measure with.
    ProfileUnfit
        If the profile is of photos of another shape.
    """
    grey = linear_grey(rgb) if linear is None else linear
    size_px = (grey.shape[1], grey.shape[0])
    card = search_card(grey, specs, name)
    fitted = fit_pose(card, size_px, f35_mm, profile, print_scale)
    refuse_unfit(card, fitted, name)
    blank = Camera(1.0, (0.0, 0.0), 0.0, size_px, 0.0, fitted.prior.source)
    solution = fitted.solution
    camera = _camera(solution.pose, blank)
    u_focal_px = camera.focal_px * float(np.sqrt(solution.covariance[LOG_FOCAL, LOG_FOCAL]))
    fit = CardFit(
        spec=card.spec,
        camera=replace(camera, u_focal_px=u_focal_px),
        rotation=solution.pose.rotation,
        translation_mm=solution.pose.translation_mm,
        covariance=_with_model_doubt(solution.covariance, camera.focal_px),
        parameter_names=PARAMETER_NAMES,
        corners=card.markers,
        rms_px=solution.rms_px,
        print_scale_ratio=print_scale.ratio,
        u_print_ratio=print_scale.u_ratio,
        flags=(),
    )
    return replace(fit, flags=doubts_of(card, fitted, fit.project_mm(card.spec.outline_mm())))


def _camera(pose: Pose, like: Camera) -> Camera:
    """The camera of a pose; size, source and focal doubt of another."""
    cx, cy = pose.values[CENTRE]
    return like.moved(pose.focal_px, (float(cx), float(cy)), pose.k1)


def _with_model_doubt(covariance: FloatArray, focal_px: float) -> FloatArray:
    """The covariance with what one radial term leaves out of a lens added to that term."""
    wider = covariance.copy()
    wider[BARREL, BARREL] += barrel_of(U_K1_MODEL, focal_px) ** 2
    return wider

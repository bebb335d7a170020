"""A camera's profile from several photos of a card, all at one zoom setting."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from calib.arrays import FloatArray, RgbImage
from calib.bundle import Prior, SeenMarkers, Solution, equations_of, solution_at
from calib.camera_prior import camera_prior
from calib.card import CardSpec
from calib.card_fit import ALL_CARDS, UNMEASURED_PRINT
from calib.card_pose import card_prior, seen_markers, solve_card
from calib.card_search import search_card
from calib.constants import BARREL_AT_PX, CALIBRATION_VIEWS_MIN, U_FOCAL_CALIBRATED_RATIO, U_K1_MODEL
from calib.errors import ViewsUnfit
from calib.least_squares import NormalEquations, descend
from calib.linear_light import linear_grey
from calib.pose import BARREL, CARD_AT, CENTRE, LOG_DISTANCE, LOG_FOCAL, PARAMETER_NAMES, ROTATION, Pose
from calib.print_scale import PrintScale
from calib.profile import CameraProfile

_ALL = np.arange(len(PARAMETER_NAMES))
_OWN = np.concatenate([_ALL[ROTATION], _ALL[CARD_AT], [LOG_DISTANCE]])
_SHARED = np.setdiff1d(_ALL, _OWN)


class CalibrationPhoto(Protocol):
    """What calibration needs of a photo."""

    @property
    def rgb(self) -> RgbImage:
        """(H, W, 3) uint8."""
        ...

    @property
    def name(self) -> str:
        """For messages."""
        ...

    @property
    def f35_mm(self) -> float | None:
        """35 mm equivalent focal length from Exif."""
        ...


@dataclass(frozen=True, slots=True, eq=False)
class SharedCamera:
    """One camera and card fitted to several views.

    Attributes
    ----------
    solutions : tuple of Solution
        One a view; camera, aspect and bend are the same in all.
    covariance : ndarray of shape (14, 14)
        Of the shared parameters, in rows and columns of PARAMETER_NAMES; the others are 0.
    """

    solutions: tuple[Solution, ...]
    covariance: FloatArray


def calibrate(
    photos: Sequence[CalibrationPhoto],
    *,
    print_scale: PrintScale = UNMEASURED_PRINT,
    specs: Sequence[CardSpec] = ALL_CARDS,
) -> CameraProfile:
    """Learn focal length, principal point and distortion of a camera.

    Parameters
    ----------
    photos : sequence of CalibrationPhoto
        Of one card from different directions, at one zoom setting, held the same way up.
    print_scale : PrintScale
    specs : sequence of CardSpec
        Cards to look for.

    Returns
    -------
    CameraProfile

    Raises
    ------
    CardNotFound, CardUnfit
        If a photo shows no card to measure with.
    ViewsUnfit
        If there are too few photos, of different sizes or cards, or too much alike.
    """
    if len(photos) < CALIBRATION_VIEWS_MIN:
        raise ViewsUnfit(
            f"{len(photos)} photos were given, at least {CALIBRATION_VIEWS_MIN} are needed.",
            "Take more photos of the card, each from another direction, at the same zoom.",
        )
    size_px = _common_size(photos)
    cards = [search_card(linear_grey(photo.rgb), specs, photo.name) for photo in photos]
    if len({card.spec.name for card in cards}) > 1:
        raise ViewsUnfit(
            "The photos show different cards, and one card in all of them is needed.",
            "Take all photos with the same printed card.",
        )
    f35_mm = photos[0].f35_mm if len({photo.f35_mm for photo in photos}) == 1 else None
    camera = camera_prior(size_px, f35_mm)
    views = [seen_markers(card, print_scale) for card in cards]
    prior = card_prior(camera, print_scale, views[0].half_width_mm)
    starts = [solve_card(view, camera, prior).pose for view in views]
    shared = solve_views(starts, views, prior)
    return _profile(shared, size_px)


def solve_views(starts: Sequence[Pose], views: Sequence[SeenMarkers], prior: Prior) -> SharedCamera:
    """Fit one camera and one card to several views.

    Parameters
    ----------
    starts : sequence of Pose
        Each view's own fit.
    views : sequence of SeenMarkers
    prior : Prior
        Counted once for what the views share, and for each view otherwise.
    """
    own_prior = Prior(prior.values, np.where(np.isin(_ALL, _OWN), prior.u, np.inf))
    parts = [equations_of(view, own_prior) for view in views]
    median = np.median([pose.values for pose in starts], axis=0)
    first = [Pose(pose.rotation, np.where(np.isin(_ALL, _SHARED), median, pose.values)) for pose in starts]
    poses = descend(first, lambda poses: _joined(poses, parts, prior), _moved)
    solutions = tuple(solution_at(pose, view, prior) for pose, view in zip(poses, views, strict=True))
    spread = max(1.0, float(np.median(np.concatenate([one.misfit for one in solutions]))))
    joined = _joined(poses, parts, prior)
    inverse = np.linalg.inv(joined.matrix)[: len(_SHARED), : len(_SHARED)]
    covariance = np.zeros((len(_ALL), len(_ALL)))
    covariance[np.ix_(_SHARED, _SHARED)] = inverse * spread**2
    return SharedCamera(solutions, covariance)


def _joined(poses: Sequence[Pose], parts: Sequence[object], prior: Prior) -> NormalEquations:
    """Normal equations of all views: shared parameters first, then six a view."""
    n_shared, n_own = len(_SHARED), len(_OWN)
    size = n_shared + n_own * len(poses)
    matrix, downhill = np.zeros((size, size)), np.zeros(size)
    off = (prior.values - poses[0].values)[_SHARED]
    information = prior.information[_SHARED]
    matrix[range(n_shared), range(n_shared)] = information
    downhill[:n_shared] = information * off
    cost = 0.5 * float(np.sum(information * off**2))
    for k, (pose, part) in enumerate(zip(poses, parts, strict=True)):
        one = part(pose)  # type: ignore[operator]
        rows = np.concatenate([np.arange(n_shared), n_shared + n_own * k + np.arange(n_own)])
        order = np.concatenate([_SHARED, _OWN])
        matrix[np.ix_(rows, rows)] += one.matrix[np.ix_(order, order)]
        downhill[rows] += one.downhill[order]
        cost += one.cost
    return NormalEquations(cost, matrix, downhill)


def _moved(poses: Sequence[Pose], step: FloatArray) -> list[Pose]:
    """All views one step on."""
    moved = []
    for k, pose in enumerate(poses):
        own = np.zeros(len(_ALL))
        own[_SHARED] = step[: len(_SHARED)]
        first = len(_SHARED) + len(_OWN) * k
        own[_OWN] = step[first : first + len(_OWN)]
        moved.append(pose.moved(own))
    return moved


def _common_size(photos: Sequence[CalibrationPhoto]) -> tuple[int, int]:
    """Width and height that all photos share."""
    sizes = {photo.name: (photo.rgb.shape[1], photo.rgb.shape[0]) for photo in photos}
    first = next(iter(sizes.values()))
    for name, size in sizes.items():
        if size != first:
            raise ViewsUnfit(
                f"{name}: the photo has {size[0]} x {size[1]} px, and the first one {first[0]} x {first[1]} px.",
                "Take all photos with the same camera at the same zoom, held the same way up, and do not crop them.",
            )
    return first


def _profile(shared: SharedCamera, size_px: tuple[int, int]) -> CameraProfile:
    pose = shared.solutions[0].pose
    u = np.sqrt(np.diag(shared.covariance))
    if u[LOG_FOCAL] > U_FOCAL_CALIBRATED_RATIO:
        raise ViewsUnfit(
            f"The {len(shared.solutions)} photos are too much alike: they give the focal length to"
            f" {100 * u[LOG_FOCAL]:.1f} %, and {100 * U_FOCAL_CALIBRATED_RATIO:.1f} % is needed.",
            "Take some of the photos slantwise, from the left, the right, above and below, about 30 degrees off"
            " the upright, with the card filling the picture.",
        )
    residuals = np.concatenate([one.residuals_px.reshape(-1, 2) for one in shared.solutions])
    cx, cy = pose.values[CENTRE]
    return CameraProfile(
        width_px=size_px[0],
        height_px=size_px[1],
        focal_px=pose.focal_px,
        u_focal_px=pose.focal_px * float(u[LOG_FOCAL]),
        centre_px=(float(cx), float(cy)),
        u_centre_px=float(math.hypot(*u[CENTRE]) / math.sqrt(2)),
        k1=pose.k1,
        u_k1=math.hypot(u[BARREL] * (pose.focal_px / BARREL_AT_PX) ** 2, U_K1_MODEL),
        rms_px=float(np.sqrt(np.nanmean(np.sum(residuals**2, axis=1)))),
        n_views=len(shared.solutions),
    )

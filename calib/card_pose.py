"""The pose of a card from its markers and what is known of camera and print."""

import math
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.bundle import Prior, SeenMarkers, Solution, solve
from calib.camera_prior import CameraPrior, camera_prior, unknown_camera
from calib.consensus import CardMarkers
from calib.constants import (
    MISFIT_DROPPED_SIGMAS,
    MISFIT_ROUNDS_MAX,
    PULL_MAX,
    U_BEND_LOOSE_RATIO,
    U_BEND_RATIO,
    U_CENTRE_CROPPED_RATIO,
    U_COARSE_PX,
    U_FOCAL_CROPPED_RATIO,
)
from calib.pose import (
    ASPECT,
    BARREL,
    BEND,
    CENTRE,
    LOG_DISTANCE,
    LOG_FOCAL,
    PARAMETER_NAMES,
    Pose,
    barrel_of,
    values_of,
)
from calib.print_scale import PrintScale
from calib.profile import CameraProfile


@dataclass(frozen=True, slots=True, eq=False)
class FittedPose:
    """A card's pose and what it rests on.

    Attributes
    ----------
    solution : Solution
    prior : CameraPrior
        The one that the solution was fitted under.
    half_width_mm : float
        Half the card's width, which its bend is stated over.
    focal_disagreed : bool
        Whether a focal length was given that the markers contradict.
    off_centre : bool
        Whether the markers put the principal point far off the picture's middle.
    """

    solution: Solution
    prior: CameraPrior
    half_width_mm: float
    focal_disagreed: bool
    off_centre: bool


def fit_pose(
    card: CardMarkers,
    size_px: tuple[int, int],
    f35_mm: float | None,
    profile: CameraProfile | None,
    print_scale: PrintScale,
) -> FittedPose:
    """Fit camera and pose to a card's markers.

    1. Fit under what is known of camera and card.
    2. If the markers strain it, also try a bent card, and a photo that was cropped or zoomed
       (focal length or middle are not what they seem); keep what is least surprising.
    3. Fit once more without markers that stand out.

    Parameters
    ----------
    card : CardMarkers
    size_px : (int, int)
        Width and height of the photo.
    f35_mm, profile
        See `camera_prior`.
    print_scale : PrintScale

    Returns
    -------
    FittedPose
    """
    given = camera_prior(size_px, f35_mm, profile)
    seen = seen_markers(card, print_scale)
    best = _attempt(seen, given, print_scale, U_BEND_RATIO)
    if _is_strained(best.solution):
        others = [_attempt(seen, given, print_scale, U_BEND_LOOSE_RATIO)]
        others += [_attempt(seen, camera, print_scale, U_BEND_RATIO) for camera in _other_cameras(given, size_px)]
        best = min((best, *others), key=lambda one: one.surprise)
    solution = _without_misfits(best.solution, seen, best.prior)
    return FittedPose(
        solution,
        best.camera,
        seen.half_width_mm,
        focal_disagreed=best.camera.source != given.source,
        off_centre=best.camera.u_centre_px > given.u_centre_px,
    )


def seen_markers(card: CardMarkers, print_scale: PrintScale) -> SeenMarkers:
    """Printed and seen corners of a card's markers."""
    markers = card.markers
    printed = np.stack([card.spec.marker_corners_mm(int(one)) for one in markers.ids])
    half_width_mm = max(card.spec.outer_size_mm) / 2 * print_scale.ratio
    u_px = np.minimum(markers.u_px, U_COARSE_PX)
    return SeenMarkers(printed * print_scale.ratio, markers.corners_px, u_px, half_width_mm)


@dataclass(frozen=True, slots=True, eq=False)
class _Attempt:
    """A fit under one set of priors; `surprise` compares fits under different ones.

    It is the negative logarithm of how likely markers and priors are together: the cost,
    and what each wider prior spreads out.
    """

    solution: Solution
    camera: CameraPrior
    prior: Prior
    surprise: float


def _attempt(seen: SeenMarkers, camera: CameraPrior, print_scale: PrintScale, u_bend_ratio: float) -> _Attempt:
    prior = card_prior(camera, print_scale, seen.half_width_mm, u_bend_ratio)
    solution = solve_card(seen, camera, prior)
    spread = np.log([prior.u[LOG_FOCAL], *prior.u[CENTRE], *prior.u[BEND]])
    return _Attempt(solution, camera, prior, solution.cost + float(np.sum(spread)))


def _is_strained(solution: Solution) -> bool:
    """Whether the markers pull camera or card far off what was expected."""
    return bool(np.max(np.abs(solution.pulls)) > PULL_MAX)


def _other_cameras(given: CameraPrior, size_px: tuple[int, int]) -> list[CameraPrior]:
    """Cameras of a photo that was zoomed or cropped after all: the focal length, the middle, or both are off."""
    u_centre_px = U_CENTRE_CROPPED_RATIO * math.hypot(*size_px)
    unknown = unknown_camera(size_px)
    focal_off = [] if given.source == unknown.source else [unknown, replace(unknown, u_centre_px=u_centre_px)]
    u_log_focal = max(given.u_log_focal, U_FOCAL_CROPPED_RATIO)
    return [replace(given, u_centre_px=u_centre_px, u_log_focal=u_log_focal), *focal_off]


def solve_card(seen: SeenMarkers, camera: CameraPrior, prior: Prior) -> Solution:
    """The best fit from every start: both poses that a plane allows, at each focal length."""
    solutions = [
        solve(start, seen, prior)
        for ratio in camera.starts_ratio
        for start in _starts(seen, camera, ratio * camera.focal_px)
    ]
    return min(solutions, key=lambda one: one.cost)


def _without_misfits(solution: Solution, seen: SeenMarkers, prior: Prior) -> Solution:
    """The fit again without markers that stand out: partly hidden, or not what they seem."""
    keep = np.ones(len(seen.u_px), dtype=np.bool_)
    for _ in range(MISFIT_ROUNDS_MAX):
        limit = MISFIT_DROPPED_SIGMAS * max(1.0, float(np.median(solution.misfit[keep])))
        fewer = keep & (solution.misfit <= limit)
        if np.array_equal(fewer, keep):
            break
        keep = fewer
        solution = solve(solution.pose, replace(seen, u_px=np.where(keep[:, None], seen.u_px, np.inf)), prior)
    return solution


def card_prior(
    camera: CameraPrior, print_scale: PrintScale, half_width_mm: float, u_bend_ratio: float = U_BEND_RATIO
) -> Prior:
    """What is known of camera, print and flatness, by the parameters of a pose."""
    n = len(PARAMETER_NAMES)
    values, u = np.zeros(n), np.full(n, np.inf)
    values[LOG_FOCAL], u[LOG_FOCAL] = np.log(camera.focal_px), camera.u_log_focal
    values[CENTRE], u[CENTRE] = camera.centre_px, camera.u_centre_px
    values[BARREL], u[BARREL] = (barrel_of(k1, camera.focal_px) for k1 in (camera.k1, camera.u_k1))
    values[LOG_DISTANCE], u[LOG_DISTANCE] = np.log(camera.distance_mm), camera.u_log_distance
    u[ASPECT], u[BEND] = print_scale.u_aspect_ratio, u_bend_ratio * half_width_mm
    return Prior(values, u)


def _starts(seen: SeenMarkers, camera: CameraPrior, focal_px: float) -> list[Pose]:
    """The one or two poses of a plane seen with a given focal length."""
    cx, cy = camera.centre_px
    matrix = np.array([[focal_px, 0, cx], [0, focal_px, cy], [0, 0, 1]])
    _, rvecs, tvecs, _ = cv2.solvePnPGeneric(
        seen.printed_mm.reshape(-1, 3),
        seen.seen_px.reshape(-1, 2),
        matrix,
        np.array([camera.k1, 0, 0, 0]),
        flags=cv2.SOLVEPNP_IPPE,
    )
    return [
        Pose(np.asarray(cv2.Rodrigues(turn)[0]), values_of(focal_px, camera.centre_px, camera.k1, np.ravel(shift)))
        for turn, shift in zip(rvecs, tvecs, strict=True)
    ]

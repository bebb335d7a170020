"""The pose of a card from its markers and what is known of camera and print."""

from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.bundle import Prior, SeenMarkers, Solution, solve
from calib.camera_prior import CameraPrior, camera_prior, unknown_camera
from calib.consensus import CardMarkers
from calib.constants import FOCAL_PULL_MAX, MISFIT_DROPPED_SIGMAS, U_BEND_RATIO
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
    """

    solution: Solution
    prior: CameraPrior
    half_width_mm: float
    focal_disagreed: bool


def fit_pose(
    card: CardMarkers,
    size_px: tuple[int, int],
    f35_mm: float | None,
    profile: CameraProfile | None,
    print_scale: PrintScale,
) -> FittedPose:
    """Fit camera and pose to a card's markers; a focal length that they contradict is let go.

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
    prior = camera_prior(size_px, f35_mm, profile)
    seen = seen_markers(card, print_scale)
    solution = solve_card(seen, prior, print_scale)
    disagreed = abs(solution.pulls[LOG_FOCAL]) > FOCAL_PULL_MAX and (f35_mm, profile) != (None, None)
    if disagreed:
        prior = unknown_camera(size_px)
        solution = solve_card(seen, prior, print_scale)
    return FittedPose(solution, prior, seen.half_width_mm, disagreed)


def seen_markers(card: CardMarkers, print_scale: PrintScale) -> SeenMarkers:
    """Printed and seen corners of a card's markers."""
    markers = card.markers
    printed = np.stack([card.spec.marker_corners_mm(int(one)) for one in markers.ids])
    half_width_mm = max(card.spec.outer_size_mm) / 2 * print_scale.ratio
    return SeenMarkers(printed * print_scale.ratio, markers.corners_px, markers.u_px, half_width_mm)


def solve_card(seen: SeenMarkers, camera: CameraPrior, print_scale: PrintScale) -> Solution:
    """The best fit from every start: both poses that a plane allows, at each focal length."""
    prior = card_prior(camera, print_scale, seen.half_width_mm)
    solutions = [
        solve(start, seen, prior)
        for ratio in camera.starts_ratio
        for start in _starts(seen, camera, ratio * camera.focal_px)
    ]
    best = min(solutions, key=lambda one: one.cost)
    keep = best.misfit <= MISFIT_DROPPED_SIGMAS * max(1.0, float(np.median(best.misfit)))
    if keep.all():
        return best
    u_px = np.where(keep[:, None], seen.u_px, np.inf)
    return solve(best.pose, replace(seen, u_px=u_px), prior)


def card_prior(camera: CameraPrior, print_scale: PrintScale, half_width_mm: float) -> Prior:
    """What is known of camera, print and flatness, by the parameters of a pose."""
    n = len(PARAMETER_NAMES)
    values, u = np.zeros(n), np.full(n, np.inf)
    values[LOG_FOCAL], u[LOG_FOCAL] = np.log(camera.focal_px), camera.u_log_focal
    values[CENTRE], u[CENTRE] = camera.centre_px, camera.u_centre_px
    values[BARREL], u[BARREL] = (barrel_of(k1, camera.focal_px) for k1 in (camera.k1, camera.u_k1))
    values[LOG_DISTANCE], u[LOG_DISTANCE] = np.log(camera.distance_mm), camera.u_log_distance
    u[ASPECT], u[BEND] = print_scale.u_aspect_ratio, U_BEND_RATIO * half_width_mm
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

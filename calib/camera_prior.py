"""What is known of a photo's camera before the card is looked at, and how surely."""

import math
from dataclasses import dataclass

from calib.constants import (
    DISTANCE_UNKNOWN_FOCAL_MM,
    FOCAL_STARTS_RATIO,
    FOCAL_UNKNOWN_F35_MM,
    FULL_FRAME_DIAGONAL_MM,
    U_CENTRE_RATIO,
    U_DISTANCE_UNKNOWN_FOCAL_RATIO,
    U_F35_ROUNDING_MM,
    U_FOCAL_EXIF_RATIO,
    U_FOCAL_UNKNOWN_RATIO,
    U_K1,
)
from calib.profile import CameraProfile


@dataclass(frozen=True, slots=True)
class CameraPrior:
    """Expected values and standard uncertainties of a camera's parameters.

    Attributes
    ----------
    focal_px : float
    u_log_focal : float
        Relative uncertainty of the focal length.
    source : str
        Where the focal length comes from, in words.
    centre_px : (float, float)
    u_centre_px : float
        Of each coordinate.
    k1, u_k1 : float
    distance_mm : float
        Camera to card, a start value where its doubt is infinite.
    u_log_distance : float
        Relative uncertainty of the distance, infinite where nothing is assumed.
    starts_ratio : tuple of float
        Focal lengths to start the fit from, as shares of `focal_px`.
    """

    focal_px: float
    u_log_focal: float
    source: str
    centre_px: tuple[float, float]
    u_centre_px: float
    k1: float = 0.0
    u_k1: float = U_K1
    distance_mm: float = DISTANCE_UNKNOWN_FOCAL_MM
    u_log_distance: float = math.inf
    starts_ratio: tuple[float, ...] = (1.0,)


def camera_prior(
    size_px: tuple[int, int], f35_mm: float | None = None, profile: CameraProfile | None = None
) -> CameraPrior:
    """The best knowledge at hand: a profile, else Exif, else what photos of this kind have in common.

    Parameters
    ----------
    size_px : (int, int)
        Width and height of the photo.
    f35_mm : float or None
        35 mm equivalent focal length from Exif.
    profile : CameraProfile or None

    Raises
    ------
    ProfileUnfit
        If the profile is of photos of another shape.
    """
    if profile is not None:
        own = profile.scaled_to(size_px)
        return CameraPrior(
            own.focal_px,
            own.u_focal_px / own.focal_px,
            "camera profile",
            own.centre_px,
            own.u_centre_px,
            own.k1,
            own.u_k1,
        )
    if f35_mm is None:
        return unknown_camera(size_px)
    u_log_focal = math.hypot(U_FOCAL_EXIF_RATIO, U_F35_ROUNDING_MM / f35_mm)
    focal_px = focal_from_f35(f35_mm, size_px)
    return CameraPrior(focal_px, u_log_focal, "Exif data of the photo", *_middle(size_px))


def unknown_camera(size_px: tuple[int, int]) -> CameraPrior:
    """The prior of a photo that tells nothing of its lens: the markers must."""
    return CameraPrior(
        focal_from_f35(FOCAL_UNKNOWN_F35_MM, size_px),
        U_FOCAL_UNKNOWN_RATIO,
        "markers alone",
        *_middle(size_px),
        u_log_distance=U_DISTANCE_UNKNOWN_FOCAL_RATIO,
        starts_ratio=FOCAL_STARTS_RATIO,
    )


def focal_from_f35(f35_mm: float, size_px: tuple[int, int]) -> float:
    """Focal length in px from the 35 mm equivalent, by the diagonal rule.

    The photo's diagonal is to the focal length in px as 43.27 mm is to `f35_mm`
    (CIPA DCG-001, from memory). It holds for the uncropped photo only.
    """
    if not f35_mm > 0:
        raise ValueError(f'f35_mm must be positive, got {f35_mm}')
    return f35_mm * math.hypot(*size_px) / FULL_FRAME_DIAGONAL_MM


def _middle(size_px: tuple[int, int]) -> tuple[tuple[float, float], float]:
    """Middle of the photo and the doubt of the principal point lying there."""
    width, height = size_px
    return ((width - 1) / 2, (height - 1) / 2), U_CENTRE_RATIO * math.hypot(width, height)

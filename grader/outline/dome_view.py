"""One photo with its card and the outline of its piece: what the later stages start from."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.card_fit import CardFit
from grader.photos.load import Photo


@dataclass(frozen=True, slots=True)
class NoCard:
    """A photo without a usable card: no millimetres, but an outline and marks all the same."""

    reason: str
    """Why there is no card, in words."""


@dataclass(frozen=True, slots=True, eq=False)
class EllipseFit:
    """An ellipse fitted to an outline, with its covariance."""

    centre_px: tuple[float, float]
    """(x, y) of the centre."""
    semi_major_px: float
    """Larger half-axis."""
    semi_minor_px: float
    """Smaller half-axis."""
    angle_deg: float
    """Direction of the larger half-axis, 0 to 180, from +x to +y (y down)."""
    covariance: FloatArray
    """(5, 5) of centre x, centre y, semi_major_px, semi_minor_px (px) and the angle (rad)."""
    rms_px: float
    """Root mean square distance of the points that were kept."""
    inlier_ratio: float
    """Share of points within the robust limit."""

    @property
    def mean_radius_px(self) -> float:
        """Radius of the circle of equal area."""
        return float((self.semi_major_px * self.semi_minor_px) ** 0.5)


@dataclass(frozen=True, slots=True)
class NoEllipse:
    """A piece whose outline is no ellipse, as faceted ones."""

    reason: str
    """Why, in words."""


@dataclass(frozen=True, slots=True, eq=False)
class DomeOutline:
    """The silhouette of the glass in one photo."""

    contour_px: PointsPx
    """(N, 2) closed (the first point is not repeated), from the direction of +x to that of +y about its centre."""
    shape: Literal['round', 'free']
    """'round' where the contour is the fitted ellipse, 'free' where it was followed point by point."""
    ellipse: EllipseFit | NoEllipse
    """The ellipse of a round piece."""
    u_edge_px: float
    """Standard uncertainty of the whole contour's place along its normal (one common shift)."""
    flags: tuple[str, ...]
    """Names of flags, see ``grader.flags``."""

    @property
    def centre_px(self) -> FloatArray:
        """(2,) centre of the enclosed area."""
        return polygon_centre(self.contour_px)


@dataclass(frozen=True, slots=True, eq=False)
class DomeView:
    """A photo, its card and its outline."""

    photo: Photo
    """The photo."""
    card: CardFit | NoCard
    """The card's fit, or why there is none."""
    outline: DomeOutline
    """The silhouette."""


def polygon_centre(polygon: PointsPx) -> FloatArray:
    """(2,) centroid of the area inside a closed polygon of shape (N, 2)."""
    x, y = polygon[:, 0] - polygon[0, 0], polygon[:, 1] - polygon[0, 1]
    x1, y1 = np.roll(x, -1), np.roll(y, -1)
    cross = x * y1 - x1 * y
    area6 = 3 * cross.sum()
    if area6 == 0:
        return np.asarray(polygon.mean(axis=0))
    return np.asarray(np.array([((x + x1) * cross).sum(), ((y + y1) * cross).sum()]) / area6 + polygon[0])

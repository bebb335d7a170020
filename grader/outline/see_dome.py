"""Photo and card to the outline of the piece."""

import math
from collections.abc import Callable
from typing import TypeAlias

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, Mask, PointsPx, RgbImage
from calib.card_fit import CardFit
from calib.linear_light import linear_rgb
from grader.errors import OutlineNotFound
from grader.outline.constants import (
    ELLIPSE_FLOOR_RATIOS,
    ELLIPSE_PASSES,
    FINE_DIRECTIONS,
    FINE_NORMAL_SPAN,
    ROUGH_FLOOR_RATIO,
    ROUGH_SMOOTHING,
    ROUND_ASPECT_MIN,
    ROUND_NEAR_PX,
    ROUND_NEAR_RATIO,
    ROUND_SHARE_MIN,
    SMALL_SIDE_PX,
    U_EDGE_FLOOR_PX,
    U_EDGE_FREE_PX,
    U_EDGE_OF_SCATTER,
    U_EDGE_SIDE_PX,
    WEAK_RIM_RATIO,
    WEAK_WEIGHT_RATIO,
    WEIGHT_CAP_PERCENTILE,
    WORK_SIDE_PX,
)
from grader.outline.dome_view import DomeOutline, EllipseFit, NoCard, NoEllipse
from grader.outline.find_piece import PieceGuess, find_piece
from grader.outline.fine_contour import FineContour, Pass, contour_normals, fine_contour, follow_rim, smooth_contour
from grader.outline.fit_ellipse import ellipse_points, fit_ellipse
from grader.outline.ground import ground_mask
from grader.outline.rim_blur import reduction_for, rim_blur
from grader.outline.rough_contour import rough_contour
from grader.outline.side_outline import SideContour, side_contour
from grader.outline.side_view import is_side_view

Follower: TypeAlias = Callable[[GreyImage, FloatArray, FloatArray], DomeOutline]
"""Light, centre and rough radii to an outline."""


def find_outline(rgb: RgbImage, card: CardFit | NoCard, *, name: str) -> DomeOutline:
    """The silhouette of the piece.

    The steps: a place with structure on smooth ground; the outermost edge round it beyond which only ground is left;
    the rim's own shape in linear light along that edge; then an ellipse where most of the contour is one, else the
    contour itself. Nothing is assumed of the piece but that a straight line from its middle meets its rim once.

    Parameters
    ----------
    rgb : ndarray of shape (H, W, 3)
        uint8 sRGB.
    card : CardFit or NoCard
        With the frame card, the piece is looked for in the clear field only.
    name : str
        The photo's name, for messages.

    Raises
    ------
    OutlineNotFound
        If nothing stands out from the ground, or it is cut off by the picture's edge.
    """
    work, scale = _reduced(rgb, WORK_SIDE_PX)
    if isinstance(card, CardFit) and is_side_view(card):
        return _from_side(work, side_contour(work, card, scale), scale, rgb.shape)
    mask = ground_mask(work, card, scale)
    guess = _first_guess(work, mask, name)
    light, origin = _light_near(work, guess.centre_px, guess.radius_px)
    radii = rough_contour(work, mask, guess.centre_px, guess.radius_px)
    return _in_photo(_outline_near(light, guess.centre_px - origin, radii, _follow), origin, scale, rgb.shape[:2])


def _from_side(work: RgbImage, rough: SideContour, scale: float, shape: tuple[int, ...]) -> DomeOutline:
    """The outline near a rough contour from the side, in px of the photo."""
    light, origin = _light_near(work, rough.centre_px, float(rough.radii_px.max()))
    outline = _outline_near(light, rough.centre_px - origin, rough.radii_px, _follow_free)
    return _in_photo(outline, origin, scale, shape[:2])


def _reduced(rgb: RgbImage, side_px: int) -> tuple[RgbImage, float]:
    """The picture averaged down so that its longer side is at most `side_px`, and px there for a px here."""
    longest = max(rgb.shape[:2])
    if longest <= side_px:
        return rgb, 1.0
    scale = side_px / longest
    size = (max(round(rgb.shape[1] * scale), 1), max(round(rgb.shape[0] * scale), 1))
    return np.asarray(cv2.resize(rgb, size, interpolation=cv2.INTER_AREA)), scale


def _first_guess(work: RgbImage, mask: Mask, name: str) -> PieceGuess:
    """The largest place with structure that lies wholly in the picture, in px of `work`."""
    small, scale = _reduced(work, SMALL_SIDE_PX)
    small_mask = cv2.resize(mask.astype(np.uint8), small.shape[1::-1], interpolation=cv2.INTER_NEAREST) > 0
    guesses = find_piece(small, small_mask)
    whole = [guess for guess in guesses if not guess.touches_edge]
    if whole:
        best = whole[0]
        return PieceGuess((best.centre_px + 0.5) / scale - 0.5, best.radius_px / scale, best.hull_px / scale, False)
    if guesses:
        raise OutlineNotFound(
            f"{name}: the piece reaches over the edge of the picture, and its whole outline is needed.",
            "Take the photo again from further away, with the whole piece and some ground round it in the picture.",
        )
    raise OutlineNotFound(
        f"{name}: no piece of glass stands out from the ground.",
        "Put the piece in the middle of the card, on a ground that differs from it (black under light glass, "
        "white under dark), and light it evenly.",
    )


def _light_near(work: RgbImage, centre_px: FloatArray, radius_px: float) -> tuple[GreyImage, FloatArray]:
    """Linear light of the part of the picture that holds the piece, and the place (2,) of its first pixel."""
    reach = 1.5 * radius_px + 40
    low = np.maximum(np.floor(centre_px - reach), 0).astype(int)
    high = np.ceil(centre_px + reach).astype(int)
    part = work[low[1] : high[1], low[0] : high[0]]
    return linear_rgb(part), low.astype(np.float64)


def _outline_near(light: GreyImage, centre_px: FloatArray, radii_px: FloatArray, follow: Follower) -> DomeOutline:
    """The outline near a rough contour, in a picture reduced until its rim is sharp."""
    rough = smooth_contour(centre_px, radii_px, ROUGH_SMOOTHING)
    ratio = reduction_for(rim_blur(light, rough, contour_normals(rough, FINE_NORMAL_SPAN)))
    if ratio == 1.0:
        return follow(light, centre_px, radii_px)
    size = (max(round(light.shape[1] * ratio), 1), max(round(light.shape[0] * ratio), 1))
    sharp = np.asarray(cv2.resize(light, size, interpolation=cv2.INTER_AREA), dtype=np.float32)
    outline = follow(sharp, (centre_px + 0.5) * ratio - 0.5, radii_px * ratio)
    return _in_photo(outline, np.zeros(2), ratio, light.shape[:2])


def _follow(light: GreyImage, centre_px: FloatArray, radii_px: FloatArray) -> DomeOutline:
    """An ellipse where the rough contour is one (the rim is then followed along it), else the rim point by point."""
    rough = smooth_contour(centre_px, radii_px, ROUGH_SMOOTHING)
    ellipse = _round_ellipse(rough)
    if isinstance(ellipse, NoEllipse):
        contour = fine_contour(light, centre_px, radii_px)
        return DomeOutline(contour.points_px, 'free', ellipse, U_EDGE_FREE_PX, _weak_flags(contour))
    for numbers, floor in zip(ELLIPSE_PASSES, ELLIPSE_FLOOR_RATIOS, strict=True):
        points = ellipse_points(ellipse, FINE_DIRECTIONS)
        contour = follow_rim(light, points, contour_normals(points, 1), Pass(*numbers))
        nearer = _ellipse_of(contour, floor)
        if isinstance(nearer, NoEllipse):
            break
        ellipse = nearer
    u_edge = max(U_EDGE_FLOOR_PX, U_EDGE_OF_SCATTER * ellipse.rms_px)
    return DomeOutline(ellipse_points(ellipse, FINE_DIRECTIONS), 'round', ellipse, u_edge, _weak_flags(contour))


def _follow_free(light: GreyImage, centre_px: FloatArray, radii_px: FloatArray) -> DomeOutline:
    """The rim point by point, as a silhouette from the side is no ellipse."""
    contour = fine_contour(light, centre_px, radii_px, has_seam=True)
    return DomeOutline(contour.points_px, 'free', NoEllipse("seen from the side"), U_EDGE_SIDE_PX, _weak_flags(contour))


def _weak_flags(contour: FineContour) -> tuple[str, ...]:
    """A flag where too much of the rim shows no edge."""
    weak = float((contour.weights < WEAK_WEIGHT_RATIO * np.median(contour.weights)).mean())
    return ('outline-weak',) if weak > WEAK_RIM_RATIO else ()


def _round_ellipse(rough_px: PointsPx) -> EllipseFit | NoEllipse:
    """The ellipse of a rough contour that is round enough."""
    radius = float(np.linalg.norm(rough_px - rough_px.mean(axis=0), axis=1).mean())
    ellipse = fit_ellipse(rough_px, np.ones(len(rough_px)), floor_px=ROUGH_FLOOR_RATIO * radius)
    if isinstance(ellipse, NoEllipse):
        return ellipse
    if ellipse.semi_minor_px < ROUND_ASPECT_MIN * ellipse.semi_major_px:
        return NoEllipse("the outline is much longer than wide")
    if _share_near(ellipse, rough_px) < ROUND_SHARE_MIN:
        return NoEllipse("too much of the outline lies off any one ellipse")
    return ellipse


def _ellipse_of(contour: FineContour, floor_ratio: float) -> EllipseFit | NoEllipse:
    """Ellipse through a finely followed rim; no point weighs more than most."""
    radius = float(np.linalg.norm(contour.points_px - contour.points_px.mean(axis=0), axis=1).mean())
    weights = np.minimum(contour.weights, np.percentile(contour.weights, WEIGHT_CAP_PERCENTILE)) + 1e-9
    return fit_ellipse(contour.points_px, weights, floor_px=floor_ratio * radius)


def _share_near(ellipse: EllipseFit, points_px: PointsPx) -> float:
    """Share of points that lie on an ellipse to within ROUND_NEAR_RATIO of its radius."""
    angle = math.radians(ellipse.angle_deg)
    apart = points_px - ellipse.centre_px
    turned = apart @ np.array([[math.cos(angle), -math.sin(angle)], [math.sin(angle), math.cos(angle)]])
    rho = np.linalg.norm(turned / (ellipse.semi_major_px, ellipse.semi_minor_px), axis=1)
    off_px = np.abs(1 - 1 / np.maximum(rho, 1e-9)) * np.linalg.norm(apart, axis=1)
    return float((off_px < max(ROUND_NEAR_RATIO * ellipse.mean_radius_px, ROUND_NEAR_PX)).mean())


def _in_photo(outline: DomeOutline, origin: FloatArray, scale: float, shape: tuple[int, ...]) -> DomeOutline:
    """The outline in px of the whole picture, of which it was found in a part reduced by `scale`."""
    points = (outline.contour_px + origin + 0.5) / scale - 0.5
    ellipse = outline.ellipse
    if isinstance(ellipse, EllipseFit):
        centre = (np.asarray(ellipse.centre_px) + origin + 0.5) / scale - 0.5
        units = np.array([1, 1, 1, 1, scale]) / scale
        ellipse = EllipseFit(
            (float(centre[0]), float(centre[1])),
            ellipse.semi_major_px / scale,
            ellipse.semi_minor_px / scale,
            ellipse.angle_deg,
            ellipse.covariance * np.outer(units, units),
            ellipse.rms_px / scale,
            ellipse.inlier_ratio,
        )
    points.flags.writeable = False
    height, width = shape
    cut = bool((points.min(axis=0) < -0.5).any() or (points.max(axis=0) > (width - 0.5, height - 0.5)).any())
    flags = tuple(dict.fromkeys((*outline.flags, *(('outline-cut-off',) if cut else ()))))
    return DomeOutline(points, outline.shape, ellipse, outline.u_edge_px / scale, flags)

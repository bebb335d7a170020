"""What one photo shows at the place of a mark that another photo shows."""

import math
from dataclasses import dataclass

import cv2
import numpy as np

from calib.arrays import FloatArray, GreyImage, PointsPx
from grader.compare.constants import INNER_LIKELY, LEAST_VISIBLE, MOST_SEARCH_PX, RING_STEPS, SEARCH_RATIO
from grader.compare.crop_light import CropLight
from grader.compare.inner_path import inner_shifts
from grader.compare.mark_look import carry_over, mask_of
from grader.compare.registered import Registered, register
from grader.marks.mark import MarkKind
from grader.marks.mark_net import NETWORK_KINDS
from grader.marks.regions import LINE_KINDS, SPOT_KINDS
from grader.sets.constants import FACING_BLIND, LEAST_ODDS
from grader.sets.pair_turn import is_same_light
from grader.sets.places import turned
from grader.sets.set_photo import reach_px
from grader.sets.sightings import Sighting, reach_of

OUT_OF_VIEW = "out of view"


@dataclass(frozen=True, slots=True, eq=False)
class PlaceLook:
    """One photo at the place of a mark."""

    photo: int
    """Number of the photo among all photos."""
    centre_px: tuple[float, float]
    """Middle of the place, (x, y) in the photo."""
    facing: float
    """How much the glass there faces the camera; at most 0 where it is turned away."""
    visible: float
    """Share of the mark's place, 0 to 1, that the photo shows: neither turned away, cut off nor under glare."""
    hidden_by: str
    """What hides the place, in words; '' where nothing does."""
    log_odds: float
    """The network's log-odds of any mark there."""
    same_light: bool
    """Whether the light is that of the photo that shows the mark."""
    same_view: bool
    """Whether both photos were taken from above, or both from the side."""
    registered: Registered | None
    """The mark's look laid over the place; None where that cannot be done."""
    scale: float
    """Px of this photo for a px of the photo that shows the mark."""
    blur_px: float
    """Spread of light in this photo, crop px."""
    noise: float
    """Its noise at the piece, as a share of white."""
    is_placed: bool
    """Whether the place is known; otherwise `log_odds` are the largest of all places that a turn of the piece may bring
    there, so that they can only tell that no such mark is anywhere."""


def look_at_place(one: Sighting, here: CropLight, there: CropLight, photo: int) -> PlaceLook:
    """Look in another photo, of a number among all photos, at the place of a mark."""
    outline = here.photo.crop_px(one.mark.outline_px)
    # half-way points too, so that the inside counts
    points = np.concatenate([outline, (outline + outline.mean(axis=0)) / 2])
    return look_at_part(one, mask_of([outline], here), points, here, there, photo)


def look_at_part(
    one: Sighting, marked: GreyImage, points_here: PointsPx, here: CropLight, there: CropLight, photo: int
) -> PlaceLook:
    """Look in another photo at the place of a mark, or of a part of it.

    What may lie inside the glass is looked for along the line on which its image shifts with its depth; where it is
    shown most clearly counts.

    Parameters
    ----------
    one : Sighting
        The mark.
    marked : ndarray of shape (H, W)
        The part in the first photo's crop: 1, else 0.
    points_here : ndarray of shape (N, 2)
        Crop px that lie about it.
    here : CropLight
        The photo that shows it.
    there : CropLight
        The photo to look at.
    photo : int
        Its number.
    """
    places = here.to_piece(points_here)
    points, facing = there.from_piece(places)
    centre, centre_facing = there.from_piece(one.place[None])
    shifts = inner_shifts(one, there) if one.inside_odds > INNER_LIKELY else np.zeros((1, 2))
    clear = _is_clear(points, facing, there)
    reach = _search_px(there)
    log_odds, registered = -math.inf, None
    for shift in _apart(shifts, reach):
        log_odds = max(log_odds, _log_odds(points[facing > 0] + shift, there, one.is_line))
        look = carry_over(marked, points_here, here, there, shift)
        found = None if look is None else register(look, there.light, there.white, reach)
        if found is not None and (registered is None or found.amount > registered.amount):
            registered = found
    if not there.turn.is_sure:
        log_odds = _log_odds_on_ring(places, there, one.is_line)
    return PlaceLook(
        photo=photo,
        centre_px=_photo_px(centre, there),
        facing=float(centre_facing[0]),
        visible=float(clear.mean()),
        hidden_by=_hidden_by(centre, centre_facing, there) if clear.mean() < LEAST_VISIBLE else '',
        log_odds=log_odds,
        same_light=in_same_light(here, there),
        same_view=here.photo.is_from_above == there.photo.is_from_above,
        registered=registered,
        scale=_scale(here, there),
        blur_px=there.blur_px,
        noise=there.noise,
        is_placed=there.turn.is_sure,
    )


def in_same_light(here: CropLight, there: CropLight) -> bool:
    """Whether two photos were taken in the same light: as recognised, or else by the piece's brightness."""
    kinds = {here.photo.findings.quality.light.kind, there.photo.findings.quality.light.kind}
    if 'unknown' not in kinds:
        return len(kinds) == 1 and here.photo.is_from_above == there.photo.is_from_above
    return is_same_light(here.photo, there.photo)


def _is_clear(points: PointsPx, facing: FloatArray, there: CropLight) -> np.ndarray:
    """Whether each crop px (N, 2) lies on glass that the photo shows without glare, (N,)."""
    height, width = there.photo.free.shape
    cells = np.rint(points).astype(np.intp)
    inside = ((cells >= 0) & (cells < (width, height))).all(axis=1)
    columns, rows = np.clip(cells, 0, (width - 1, height - 1)).T
    return np.asarray(inside & (facing > FACING_BLIND) & (there.photo.free[rows, columns] > 0))


def _search_px(there: CropLight) -> int:
    """How far from its place a mark is looked for, crop px: its own doubt and that of the turn."""
    radius = there.px_per_radius
    reach = math.hypot(SEARCH_RATIO * radius, there.turn.u_turn_rad * radius)
    return int(np.clip(round(reach), 2, MOST_SEARCH_PX))


def _apart(shifts: FloatArray, reach: int) -> list[FloatArray]:
    """Shifts that are farther than reach from those before them."""
    kept: list[FloatArray] = []
    for shift in shifts:
        if all(np.abs(shift - other).max() > reach for other in kept):
            kept.append(shift)
    return kept


def _log_odds(points: PointsPx, there: CropLight, is_line: bool) -> float:
    """Log-odds of any mark at crop px (N, 2); of a line the better quarter, since parts of it go unseen."""
    if not len(points):
        return -math.inf
    peaks = there.photo.peak_at(there.photo.crop.to_photo(points))
    return float(np.quantile(peaks, 0.75 if is_line else 0.9))


def _log_odds_on_ring(places: FloatArray, there: CropLight, is_line: bool) -> float:
    """Largest log-odds of a line, or of a spot, at places (N, 3) under all turns of the piece.

    Kinds of the other sort are left out, since a whole ring holds many things.
    """
    turns = np.arange(RING_STEPS) * 2 * np.pi / RING_STEPS
    round_axis = np.concatenate([turned(places, turn) for turn in turns])
    points, facing = there.from_piece(round_axis)
    columns, rows = np.rint(points).astype(np.intp).T
    height, width = there.photo.peak.shape
    inside = (facing > 0) & (rows >= 0) & (rows < height) & (columns >= 0) & (columns < width)
    near = _odds_near(there, LINE_KINDS if is_line else SPOT_KINDS)
    odds = np.where(inside, near[np.clip(rows, 0, height - 1), np.clip(columns, 0, width - 1)], 0.0)
    best = float(np.quantile(odds.reshape(RING_STEPS, -1), 0.75 if is_line else 0.9, axis=1).max())
    cut = min(max(best, LEAST_ODDS), 1 - LEAST_ODDS)
    return math.log(cut / (1 - cut))


def _odds_near(there: CropLight, kinds: tuple[MarkKind, ...]) -> np.ndarray:
    """Largest odds of some kinds within reach of each pixel of the crop, (H, W) float32."""
    odds = there.photo.odds[[NETWORK_KINDS.index(kind) for kind in kinds]].max(axis=0).astype(np.float32)
    size = 2 * max(round(reach_px(there.photo.findings) * there.photo.crop.scale_ratio), 1) + 1
    return np.asarray(cv2.dilate(odds, cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))))


def _hidden_by(centre: PointsPx, facing: FloatArray, there: CropLight) -> str:
    """What hides the middle of a place, in words."""
    x, y = _photo_px(centre, there)
    width, height = there.photo.findings.view.photo.size_px
    if facing[0] <= FACING_BLIND or not (0 <= x < width and 0 <= y < height):
        return OUT_OF_VIEW
    for area in there.photo.findings.unseen:
        if cv2.pointPolygonTest(area.polygon_px.astype(np.float32).reshape(-1, 1, 2), (x, y), True) >= -reach_of(
            there.photo, there.turn
        ):
            return area.reason
    return OUT_OF_VIEW


def _photo_px(crop_points: PointsPx, there: CropLight) -> tuple[float, float]:
    x, y = there.photo.crop.to_photo(crop_points)[0]
    return float(x), float(y)


def _scale(here: CropLight, there: CropLight) -> float:
    return there.px_per_radius / there.photo.crop.scale_ratio / (here.px_per_radius / here.photo.crop.scale_ratio)

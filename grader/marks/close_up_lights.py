"""Marks on two close-ups of one field in two lights, told once each."""

from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.marks.close_up_constants import SAME_MARK_AREA_RATIO, SAME_MARK_REACH_PX, SAME_MARK_SHARE
from grader.marks.close_up_ground import Ground, see_ground
from grader.marks.close_up_judge import CloseUpMark, judge, kind_in_both
from grader.marks.close_up_piece import Piece, grown
from grader.marks.close_up_register import Registration, register
from grader.marks.close_up_search import find_pieces

_SEEN_HALF = 0.5  # Source: the larger part decides


@dataclass(frozen=True, slots=True, eq=False)
class SeenMark:
    """A mark and the photos, of two, by which it was found."""

    mark: CloseUpMark
    """In px of the first photo: its outline from the light that shows more of it, surely seen as in the better one."""
    in_first: bool
    in_other: bool


@dataclass(frozen=True, slots=True, eq=False)
class _Candidate:
    """A piece with what its own light says of it."""

    mark: CloseUpMark
    piece: Piece
    light: int


def marks_in_two_lights(rgb: RgbImage, other_rgb: RgbImage) -> tuple[tuple[SeenMark, ...], Registration]:
    """Marks of two photos of equal size that show one field in two lights, the surest first.

    1. The other photo is laid over the first.
    2. Marks are searched in each by itself: what one light does not show must not weaken what the other shows.
    3. Marks of the two that cover each other are one, as sure as in the light that shows it better; its kind is
       judged from both.

    Parameters
    ----------
    rgb, other_rgb : ndarray of shape (H, W, 3), uint8
    """
    ground, other = see_ground(rgb), see_ground(other_rgb)
    registration = register(ground, other)
    seen = np.ones(ground.residual_code.shape, np.uint8)
    if registration.is_moved:
        other = see_ground(_laid_over(other_rgb, registration.to_first))
        seen = _covered(seen, registration.to_first)
    grounds = (ground, other)
    candidates = [
        _Candidate(judge(piece, grounds[light]), piece, light)
        for light in (0, 1)
        for piece in find_pieces(grounds[light])
        if light == 0 or piece.share_inside(seen) >= _SEEN_HALF
    ]
    candidates.sort(key=lambda c: (-c.mark.salience, *c.mark.polygon_px[0], c.light))
    return tuple(_told(group, grounds) for group in _grouped(candidates)), registration


def _laid_over(rgb: RgbImage, to_first: FloatArray) -> RgbImage:
    """Photo moved into the frame of the first; what it does not show is filled with its mirror image."""
    size = (rgb.shape[1], rgb.shape[0])
    return np.asarray(cv2.warpAffine(rgb, to_first, size, flags=cv2.INTER_LINEAR, borderMode=cv2.BORDER_REFLECT))


def _covered(whole: np.ndarray, to_first: FloatArray) -> np.ndarray:
    """1 where the moved photo shows something, (H, W) uint8."""
    size = (whole.shape[1], whole.shape[0])
    return np.asarray(cv2.warpAffine(whole, to_first, size, flags=cv2.INTER_NEAREST), dtype=np.uint8)


def _grouped(candidates: list[_Candidate]) -> list[list[_Candidate]]:
    """Candidates, surest first, each with the later ones of the other light that are the same mark."""
    boxes = np.array([_box(c.piece) for c in candidates]).reshape(-1, 4)
    light = np.array([c.light for c in candidates], dtype=int)
    free = np.ones(len(candidates), dtype=bool)
    groups = []
    for number, candidate in enumerate(candidates):
        if not free[number]:
            continue
        free[number] = False
        apart = np.maximum(boxes[:, :2] - boxes[number, 2:], boxes[number, :2] - boxes[:, 2:]).max(axis=1)
        near = np.flatnonzero(free & (light != candidate.light) & (apart <= SAME_MARK_REACH_PX))
        same = [i for i in near if _is_same(candidate.piece, candidates[i].piece)]
        free[same] = False
        groups.append([candidate, *(candidates[i] for i in same)])
    return groups


def _box(piece: Piece) -> tuple[int, int, int, int]:
    """Left, top, right and bottom of a piece, the last two excluded."""
    height, width = piece.mask.shape
    return piece.x_px, piece.y_px, piece.x_px + width, piece.y_px + height


def _is_same(surer: Piece, other: Piece) -> bool:
    """Whether two pieces, one from each light, are one mark.

    A fainter piece that lies on the surer one belongs to it, however small. A larger and fainter one round the
    surer is the same mark only if the two are of like size, for a pit may lie in a scratch.
    """
    if other.shared_px(_widened(surer)) >= SAME_MARK_SHARE * other.area_px():
        return True
    alike = surer.area_px() >= SAME_MARK_AREA_RATIO * other.area_px()
    return alike and surer.shared_px(_widened(other)) >= SAME_MARK_SHARE * surer.area_px()


def _widened(piece: Piece) -> Piece:
    """The piece with SAME_MARK_REACH_PX more all round."""
    reach = SAME_MARK_REACH_PX
    return Piece(grown(np.pad(piece.mask, reach), reach), piece.x_px - reach, piece.y_px - reach, is_line=False)


def _told(group: list[_Candidate], grounds: tuple[Ground, Ground]) -> SeenMark:
    """The mark of a group: as sure as its surest member, as large as its largest, its kind from both lights."""
    surest = group[0].mark
    largest = max(group, key=lambda member: member.piece.area_px())
    widest_px = max(member.mark.width_px for member in group)
    kind = kind_in_both(largest.mark, widest_px, largest.piece, grounds)
    mark = replace(largest.mark, kind=kind, confidence=surest.confidence, salience=surest.salience)
    lights = {member.light for member in group}
    return SeenMark(mark, 0 in lights, 1 in lights)

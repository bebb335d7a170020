"""Which reported marks are those of the truth: the matching that the benchmarks of marks share.

The truth of a photo is the JSON that ``fixtures/studio`` writes beside it. A mark is asked for where the photo shows it
well enough; others count neither for nor against.
"""

from dataclasses import dataclass

import cv2
import numpy as np

DAMAGE_AND_BUBBLES = ('scratch', 'chip', 'bubble', 'bruise')
LEAST_FACING, LEAST_CONTRAST = 0.25, 0.08
LEAST_SIZE_MM = {
    'scratch': ('length_mm', 2.0),
    'chip': ('diameter_mm', 0.8),
    'bubble': ('diameter_mm', 0.5),
    'bruise': ('diameter_mm', 1.5),
}
NEAR_PX, TOUCH_PX = 6, 4
LEAST_SHARE = 0.15  # of a reported mark that must lie near a true one
LEAST_COVER = {True: 0.25, False: 0.4}  # of a true area or line that must be covered
LOOSE_SHARE = 0.1  # a reported mark of which less lies near any true mark is a false alarm


@dataclass(frozen=True, slots=True)
class Matched:
    """What became of the true and of the reported marks of one photo."""

    found: tuple[tuple[dict, dict | None], ...]
    """Each mark asked for, with the reported mark that fits it best, or None."""
    false: tuple[dict, ...]
    """Reported marks that touch no true one; bubbles that the maker placed excuse bubbles."""
    true: tuple[dict, ...]
    """Reported marks that touch a true one, asked for or not."""
    dust_taken: int
    """Dust that some reported mark other than dust covers."""
    n_dust: int
    """Dust that faces the camera."""


def is_asked_for(mark: dict) -> bool:
    """Whether the photo shows a true mark well enough for it to be asked for."""
    if mark['kind'] not in DAMAGE_AND_BUBBLES or not _has_shape(mark) or mark.get('facing', 0) < LEAST_FACING:
        return False
    name, least = LEAST_SIZE_MM[mark['kind']]
    return bool(mark.get('contrast')) and mark['contrast'][1] >= LEAST_CONTRAST and mark[name] >= least


def match_marks(truth: dict, marks: list[dict]) -> Matched:
    """Match reported marks, none of them dust, with the truth of their photo."""
    size = truth['size_px']
    shapes = [
        (mark, _raster(mark, 0, size), _raster(mark, NEAR_PX, size)) for mark in truth['marks'] if _has_shape(mark)
    ]
    reported = [(m, _polygon(m['outline_px'], 0, size), _polygon(m['outline_px'], TOUCH_PX, size)) for m in marks]
    fits = [(mark, _best_fit(mark, thin, near, reported)) for mark, thin, near in shapes]
    touching = [
        any((small & near).sum() >= LOOSE_SHARE * small.sum() for _, _, near in shapes) for _, small, _ in reported
    ]
    excused = bool(truth['as_made_bubbles'])
    dust = [best for mark, best in fits if mark['kind'] == 'dust' and mark.get('facing', 0) > LEAST_FACING]
    return Matched(
        found=tuple((mark, best) for mark, best in fits if is_asked_for(mark)),
        false=tuple(
            m for m, true in zip(marks, touching, strict=True) if not true and not (excused and m['kind'] == 'bubble')
        ),
        true=tuple(m for m, true in zip(marks, touching, strict=True) if true),
        dust_taken=sum(best is not None for best in dust),
        n_dust=len(dust),
    )


def _best_fit(mark: dict, thin: np.ndarray, near: np.ndarray, reported: list) -> dict | None:
    """The reported mark that fits a true one best, if all that fit cover enough of it."""
    best, best_fit, cover = None, 0.0, np.zeros_like(thin)
    for one, small, grown in reported:
        share = (small & near).sum() / max(small.sum(), 1)
        covered = grown & thin
        if share < LEAST_SHARE or not covered.any():
            continue
        cover |= covered
        if share * covered.sum() > best_fit:
            best, best_fit = one, share * covered.sum()
    enough = cover.sum() >= LEAST_COVER['polygon_px' in mark] * max(thin.sum(), 1)
    return best if enough else None


def _has_shape(mark: dict) -> bool:
    return len(mark.get('polyline_px') or mark.get('polygon_px') or []) >= 2


def _raster(mark: dict, grow_px: int, size_px: list[int]) -> np.ndarray:
    if 'polygon_px' in mark:
        return _polygon(mark['polygon_px'], grow_px, size_px)
    return _drawn(mark['polyline_px'], grow_px, size_px, closed=False)


def _polygon(points: list, grow_px: int, size_px: list[int]) -> np.ndarray:
    return _drawn(points, grow_px, size_px, closed=True)


def _drawn(points: list, grow_px: int, size_px: list[int], *, closed: bool) -> np.ndarray:
    """Pixels of a line or area, grown, bool (H, W)."""
    canvas = np.zeros((size_px[1], size_px[0]), np.uint8)
    corners = np.round(np.asarray(points, float)).astype(np.int32).reshape(-1, 1, 2)
    if closed and len(corners) > 2:
        cv2.fillPoly(canvas, [corners], 1)
    cv2.polylines(canvas, [corners], closed, 1, 2 * grow_px + 1)
    return canvas > 0

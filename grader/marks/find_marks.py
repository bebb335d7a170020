"""Finds the marks on a piece in one photo."""

import math
from dataclasses import dataclass

import numpy as np
import numpy.typing as npt

from grader.marks.confidence import Judgement, judge_regions
from grader.marks.constants import LEAST_CONFIDENCE
from grader.marks.mark import Mark, MarkKind
from grader.marks.mark_net import NETWORK_KINDS, mark_odds
from grader.marks.measure_mark import measure_region
from grader.marks.piece_crop import PieceCrop, crop_piece
from grader.marks.regions import Region, find_regions, region_outline
from grader.marks.zones import zone_of
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.side_view import is_side_view
from grader.outline.surface import DomeSurface


@dataclass(frozen=True, slots=True, eq=False)
class PieceOdds:
    """What the network says of a piece, at the scale at which it looked."""

    crop: PieceCrop
    """The piece cut out of its photo."""
    odds: npt.NDArray[np.float32]
    """Odds of each kind at each pixel of the crop, (5, H, W), in the order of ``NETWORK_KINDS``."""
    is_from_side: bool
    """Whether the camera stood low over the table."""


def piece_odds(view: DomeView, surface: DomeSurface) -> PieceOdds:
    """Cut the piece out, at a scale that the network knows, and ask the network for each pixel's odds."""
    crop = crop_piece(view.photo.rgb, view.outline.contour_px, _px_per_mm(surface))
    return PieceOdds(crop, mark_odds(crop, _quarters_to_upright(view)), is_side_view(view.card))


def find_marks(piece: PieceOdds, surface: DomeSurface) -> tuple[Mark, ...]:
    """Marks on or in the piece, surest first; empty where none is seen.

    Connected likely pixels become regions, and each region one mark. A calibrated model tells what each region is and
    how sure that is; its sizes are taken on the dome.

    Parameters
    ----------
    piece : PieceOdds
        What the network says of the piece.
    surface : DomeSurface
        The glass under the outline.
    """
    regions = find_regions(piece.odds)
    judgements = judge_regions(regions, piece.crop, is_from_side=piece.is_from_side)
    marks = [
        _as_mark(region, judged, piece.crop, surface)
        for region, judged in zip(regions, judgements, strict=True)
        if round(judged.confidence, 4) >= LEAST_CONFIDENCE
    ]
    return tuple(sorted(marks, key=lambda m: (-m.confidence, m.centre_px)))


def _px_per_mm(surface: DomeSurface) -> float | None:
    """Scale of the photo at the widest ring, or None without a card."""
    if not surface.is_metric:
        return None
    width_px = float(np.ptp(surface.contour_px, axis=0).max())
    return width_px / (2 * surface.mean_radius_mm)


def _quarters_to_upright(view: DomeView) -> int:
    """Quarter turns against the clock that bring the card's top edge up, as far as quarters can; 0 without a card.

    A photo from the side has its own up, and is left as it is.
    """
    if isinstance(view.card, NoCard) or is_side_view(view.card):
        return 0
    (x0, y0), (x1, y1) = view.card.project_mm(np.array([[0.0, 0.0, 0.0], [0.0, 1.0, 0.0]]))
    # How far the card's up direction lies clockwise of the picture's, image y being down.
    return round(math.atan2(x1 - x0, y0 - y1) / (math.pi / 2)) % 4


def _as_mark(region: Region, judged: Judgement, crop: PieceCrop, surface: DomeSurface) -> Mark:
    outline_px = crop.to_photo(region_outline(region))
    sizes = measure_region(region, judged.kind, outline_px, crop, surface)
    centre = crop.to_photo(np.array([[region.columns.mean(), region.rows.mean()]]))
    metric, ratio = surface.is_metric, float(surface.radius_ratio(centre)[0])
    return Mark(
        kind=judged.kind,
        confidence=round(judged.confidence, 4),
        kind_odds=_rounded_odds(judged.kind_odds),
        outline_px=outline_px,
        centre_px=(float(centre[0, 0]), float(centre[0, 1])),
        length_px=sizes.length_px,
        width_px=sizes.width_px,
        diameter_px=sizes.diameter_px,
        length_mm=sizes.length if metric else None,
        width_mm=sizes.width if metric else None,
        diameter_mm=sizes.diameter if metric else None,
        area_mm2=float(np.pi / 4 * sizes.diameter.value**2) if metric else None,
        clock_h=float(surface.clock_h(centre)[0]),
        zone=zone_of(ratio),
        facing=float(surface.locate(centre).facing[0]),
        radius_ratio=ratio,
    )


def _rounded_odds(odds: np.ndarray) -> tuple[tuple[MarkKind, float], ...]:
    return tuple((kind, round(float(share), 4)) for kind, share in zip(NETWORK_KINDS, odds, strict=True))

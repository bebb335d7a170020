"""Straight edges that are printed on the card, as a photo shows them."""

from functools import cache

import numpy as np

from calib.arrays import FloatArray
from calib.card import CardSpec
from calib.card_fit import CardFit
from grader.quality.constants import (
    EDGE_MARGIN_MM,
    EDGE_MARGIN_RATIO,
    EDGE_REACH_LEAST_PX,
    EDGE_REACH_PX,
    EDGE_USED_RATIO,
)
from grader.quality.step_fit import Edges

_MARKER_MODULES = 7  # Source: DICT_5X5_100: five cells and a black border on each side
_MARGIN_STEP_MM = 0.25


def card_edges(card: CardFit) -> Edges:
    """Edges of the card's markers, at the corners that were measured, and of its grey patches, where they should be.

    Only edges with enough plain paper beside them are given; the white margin outside a frame card's markers is too
    narrow.

    Parameters
    ----------
    card : CardFit
    """
    starts, ends, reaches = [], [], []
    module_mm = card.spec.marker_size_mm / _MARKER_MODULES
    for marker_id, corners_px in zip(card.corners.ids, card.corners.corners_px, strict=True):
        px_per_mm = np.linalg.norm(np.roll(corners_px, -1, axis=0) - corners_px, axis=1) / card.spec.marker_size_mm
        margins_mm = _marker_margins_mm(card.spec, int(marker_id))
        for k, margin_mm in enumerate(margins_mm):
            if margin_mm >= EDGE_MARGIN_MM:
                # Corners run clockwise as printed and as seen, so the normal points into the marker.
                starts.append(corners_px[k])
                ends.append(corners_px[(k + 1) % 4])
                reaches.append(px_per_mm[(k + 1) % 4] * np.array([margin_mm, module_mm]))
    for patch in card.spec.grey_patches:
        half = patch.size_mm / 2
        offsets = np.array([[-half, half, 0], [half, half, 0], [half, -half, 0], [-half, -half, 0]])
        corners_px = card.project_mm((offsets + np.array([*patch.centre_mm, 0.0])) * card.print_scale_ratio)
        px_per_mm = np.linalg.norm(np.roll(corners_px, -1, axis=0) - corners_px, axis=1) / patch.size_mm
        margins_mm = _margins_mm(card.spec, patch.centre_mm, half)
        for k, margin_mm in enumerate(margins_mm):
            if margin_mm >= EDGE_MARGIN_MM:
                starts.append(corners_px[k])
                ends.append(corners_px[(k + 1) % 4])
                reaches.append(px_per_mm[(k + 1) % 4] * np.array([margin_mm, half]))
    return _edges(np.array(starts).reshape(-1, 2), np.array(ends).reshape(-1, 2), np.array(reaches).reshape(-1, 2))


def _edges(start_px: FloatArray, end_px: FloatArray, reach_px: FloatArray) -> Edges:
    """The edges without their ends, with as much beside them as is surely plain; those with too little are left out."""
    middle, half = (start_px + end_px) / 2, (end_px - start_px) / 2
    reach_px = np.minimum(EDGE_MARGIN_RATIO * reach_px, EDGE_REACH_PX)
    wide = reach_px.min(axis=1) >= EDGE_REACH_LEAST_PX
    start_px, end_px = middle - EDGE_USED_RATIO * half, middle + EDGE_USED_RATIO * half
    return Edges(start_px[wide], end_px[wide], reach_px[wide])


@cache
def _marker_margins_mm(spec: CardSpec, marker_id: int) -> tuple[float, ...]:
    x, y, _ = spec.marker_centre_mm(marker_id)
    return _margins_mm(spec, (float(x), float(y)), spec.marker_size_mm / 2)


@cache
def _margins_mm(spec: CardSpec, centre_mm: tuple[float, float], half_mm: float) -> tuple[float, ...]:
    """Plain paper or ground beside the top, right, bottom and left edge of a printed square, mm."""
    start_in_field = _in_field(spec, np.asarray(centre_mm))
    margins = []
    for outward in ((0, 1), (1, 0), (0, -1), (-1, 0)):
        reach = 0.0
        while reach < 2 * EDGE_MARGIN_MM:
            at = np.asarray(centre_mm) + np.asarray(outward) * (half_mm + reach + _MARGIN_STEP_MM)
            if _in_field(spec, at) != start_in_field or not _is_bare(spec, at, centre_mm):
                break
            reach += _MARGIN_STEP_MM
        margins.append(reach)
    return tuple(margins)


def _in_field(spec: CardSpec, at_mm: FloatArray) -> bool:
    return bool(np.all(np.abs(at_mm) < np.asarray(spec.clear_field_mm) / 2))


def _is_bare(spec: CardSpec, at_mm: FloatArray, own_centre_mm: tuple[float, float]) -> bool:
    """Whether nothing but the square itself is printed at a place of the card."""
    if np.any(np.abs(at_mm) > np.asarray(spec.outer_size_mm) / 2):
        return False
    squares = [(marker.centre_mm, spec.marker_size_mm) for marker in spec.markers]
    squares += [(patch.centre_mm, patch.size_mm) for patch in spec.grey_patches]
    return not any(np.all(np.abs(at_mm - centre) <= size / 2) for centre, size in squares if centre != own_centre_mm)

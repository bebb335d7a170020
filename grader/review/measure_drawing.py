"""Sizes and place of a drawn mark."""

import math
from typing import Any

import numpy as np

from calib.arrays import FloatArray, PointsPx
from calib.measured import Measured, combine
from grader.errors import SettingsInvalid
from grader.marks.mark import BASE_ZONE
from grader.marks.zones import zone_of
from grader.outline.hull_width import hull_widths
from grader.outline.surface import DomeSurface
from grader.review.acts import Drawing
from grader.review.constants import (
    ASSUMED_WIDTH_RATIO,
    OUTLINE_STEP_PX,
    U_ASSUMED_WIDTH_RATIO,
    U_DRAWN_PX,
    U_DRAWN_RATIO,
    U_RECORD_SCALE_RATIO,
    U_TYPED_WIDTH_RATIO,
)
from grader.review.drawing_ground import DrawingGround
from grader.review.drawn_shape import LoopSize, band_round, check_drawing, loop_area, loop_size, with_points_between
from grader.review.review import DrawnFacts

EDGES = "edges as drawn"
REACH = "how far the mark reaches"
SCALE = "scale at that place, by the record alone"


def measure_drawing(drawing: Drawing, ground: DrawingGround) -> DrawnFacts:
    """Measure a drawing on the glass.

    Raises
    ------
    SettingsInvalid
        If the drawing lies outside of the photo or beside the piece, or crosses itself.
    """
    check_drawing(drawing.model_copy(update={'photo': ground.photo}), ground.size_px)
    points = np.array(drawing.points_px, dtype=np.float64)
    width_px = _line_width_px(drawing, points, ground)
    outline = points if width_px is None else band_round(points, width_px)
    centre = _middle(points, is_line=width_px is not None)
    if not bool(ground.surface.is_inside(centre[None])[0]):
        raise SettingsInvalid(
            f"The drawing lies beside the piece: its middle is at {centre[0]:.0f},{centre[1]:.0f}.",
            "Give points x,y of the photo itself, and not of the annotated picture.",
        )
    in_photo, on_glass = _sizes(points, outline, width_px, ground.surface)
    unit_mm = _unit_at(centre, ground)
    fields: dict[str, Any] = {**_lengths_mm(drawing, on_glass, in_photo, unit_mm), **_place(centre, ground)}
    return DrawnFacts(
        photo=ground.photo,
        outline_px=tuple((float(x), float(y)) for x, y in outline),
        centre_px=(float(centre[0]), float(centre[1])),
        length_px=in_photo.length,
        width_px=in_photo.width,
        diameter_px=in_photo.diameter,
        width_source='drawn' if width_px is None else 'assumed' if drawing.width_mm is None else 'stated',
        surface_source=ground.source,
        **fields,
    )


def _line_width_px(drawing: Drawing, points: PointsPx, ground: DrawingGround) -> float | None:
    """Width in the photo of a drawn line; None for an outline."""
    if drawing.shape == 'outline':
        return None
    if drawing.width_mm is None:
        return ASSUMED_WIDTH_RATIO * hull_widths(ground.surface.contour_px).largest
    if ground.unit_mm is None:
        raise SettingsInvalid(
            f"--width-mm: the photo {ground.photo} has no millimetres, since it shows no card.",
            "Leave the width out, or give the outline with --polygon.",
        )
    middle = _middle(points, is_line=True)
    unit_mm = _unit_at(middle, ground) or ground.unit_mm
    return drawing.width_mm / (unit_mm.value * math.sqrt(_area_per_px2(middle[None], ground.surface)))


def _unit_at(centre: FloatArray, ground: DrawingGround) -> Measured | None:
    """Length in mm of the surface's unit at a place: glass nearer to the camera than the widest ring looks larger."""
    if ground.unit_mm is None:
        return None
    unit = ground.unit_mm
    if ground.source == 'record':
        unit = unit.with_component(SCALE, U_RECORD_SCALE_RATIO * unit.value)
    if ground.eye_mm is None:
        return unit
    above = float(ground.surface.locate(centre[None]).points_mm[0, 2] - ground.surface.centre_mm[2])
    return unit.scaled(max(1.0 - above * unit.value / ground.eye_mm, 0.0))


def _middle(points: PointsPx, *, is_line: bool) -> FloatArray:
    """Middle of a line by its length, or of an outline by its border."""
    even = with_points_between(points, 0.5 * OUTLINE_STEP_PX, closed=not is_line)
    return np.asarray(even[len(even) // 2] if is_line else even.mean(axis=0))


def _sizes(
    points: PointsPx, outline: PointsPx, width_px: float | None, surface: DomeSurface
) -> tuple[LoopSize, LoopSize]:
    """Size in the photo, px, and on the glass, in the surface's unit."""
    if width_px is None:
        even = with_points_between(outline, OUTLINE_STEP_PX, closed=True)
        area_px2 = loop_area(outline)
        area = area_px2 * _area_per_px2(even, surface)
        return loop_size(even, area_px2), loop_size(surface.locate(even).points_mm, area)
    even = with_points_between(points, OUTLINE_STEP_PX, closed=False)
    length_px, length = _way(even), _way(surface.locate(even).points_mm)
    width = width_px * math.sqrt(_area_per_px2(even, surface))
    return LoopSize(length_px, width_px, length_px * width_px), LoopSize(length, width, length * width)


def _way(points: FloatArray) -> float:
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def _area_per_px2(points_px: PointsPx, surface: DomeSurface) -> float:
    """Mean area of the glass under a pixel, over some pixels (N, 2), in the surface's unit squared."""
    right, down = (
        surface.locate(points_px + step).points_mm - surface.locate(points_px - step).points_mm
        for step in (np.array([0.5, 0.0]), np.array([0.0, 0.5]))
    )
    return float(np.linalg.norm(np.cross(right, down), axis=1).mean())


def _lengths_mm(drawing: Drawing, size: LoopSize, in_photo: LoopSize, unit: Measured | None) -> dict[str, Any]:
    """Lengths with their standard uncertainties, by field; empty where there are no millimetres."""
    if unit is None:
        return {}
    edge_mm = U_DRAWN_PX * unit.value * math.sqrt(size.area / in_photo.area)
    unit = unit.with_component(REACH, U_DRAWN_RATIO * unit.value)
    length = unit.scaled(size.length).with_component(EDGES, edge_mm)
    if drawing.shape == 'outline':
        width = unit.scaled(size.width).with_component(EDGES, edge_mm)
    elif drawing.width_mm is not None:
        width = Measured(drawing.width_mm, (("width as stated", U_TYPED_WIDTH_RATIO * drawing.width_mm),))
    else:
        usual_mm = unit.value * size.width
        width = Measured(usual_mm, (("usual width", U_ASSUMED_WIDTH_RATIO * usual_mm),))
    diameter_mm = unit.value * size.diameter
    diameter = combine(diameter_mm, ((0.5 * diameter_mm / one.value, one) for one in (length, width)))
    return {
        'length_mm': length.value,
        'u_length_mm': length.u,
        'width_mm': width.value,
        'u_width_mm': width.u,
        'diameter_mm': diameter_mm,
        'u_diameter_mm': diameter.u,
    }


def _place(centre: FloatArray, ground: DrawingGround) -> dict[str, Any]:
    """Place on the piece, by field."""
    surface, at = ground.surface, centre[None]
    ratio = float(surface.radius_ratio(at)[0])
    clock_h = None if ground.turn_h is None else (float(surface.clock_h(at)[0]) + ground.turn_h) % 12.0
    return {
        'clock_h': 0.0 if clock_h is not None and round(clock_h, 2) >= 12.0 else clock_h,
        'zone': BASE_ZONE if ground.is_base else zone_of(ratio),
        'radius_ratio': None if ground.is_base else ratio,
        'facing': float(surface.locate(at).facing[0]),
    }

"""Marks made by hand, all of whose sizes follow from a few numbers."""

import numpy as np

from calib.measured import Measured
from grader.marks.mark import Mark, MarkKind

PX_PER_MM = 10.0


def make_mark(
    kind='chip', size_mm=2.0, width_mm=None, *, confidence=1.0, odds=None, zone='', radius_ratio=0.0, u_relative=0.05,
    with_card=True, clock_h=3.0, centre_px=(0.0, 0.0), outline_px=None,
):  # fmt: skip
    """A mark `size_mm` long (or across, without `width_mm`), shown at 10 px a mm."""
    across_mm = size_mm if width_mm is None else width_mm
    diameter_mm = float(np.sqrt(size_mm * across_mm))
    lengths_mm = (size_mm, across_mm, diameter_mm)

    def measured(value):
        return Measured(value, (('mark outline', u_relative * value),)) if with_card else None

    if outline_px is None:
        outline_px = np.array(centre_px) + np.array([[-5.0, -5.0], [5.0, -5.0], [5.0, 5.0], [-5.0, 5.0]])
    return Mark(
        kind=MarkKind(kind),
        confidence=confidence,
        kind_odds=odds if odds is not None else ((MarkKind(kind), 1.0),),
        outline_px=outline_px,
        centre_px=centre_px,
        length_px=PX_PER_MM * lengths_mm[0],
        width_px=PX_PER_MM * lengths_mm[1],
        diameter_px=PX_PER_MM * lengths_mm[2],
        length_mm=measured(lengths_mm[0]),
        width_mm=measured(lengths_mm[1]),
        diameter_mm=measured(lengths_mm[2]),
        area_mm2=float(np.pi / 4 * diameter_mm**2) if with_card else None,
        clock_h=clock_h,
        zone=zone,
        facing=0.9,
        radius_ratio=radius_ratio,
    )

"""A photo's quality, before its marks are judged."""

from collections.abc import Sequence

import cv2
import numpy as np

from calib.arrays import GreyImage, Mask
from calib.linear_light import linear_grey
from grader.marks.unseen import STEEP, UnseenArea, find_unseen
from grader.outline.dome_view import DomeView
from grader.outline.surface import DomeSurface
from grader.quality.advice import advice_for, doubts_of, verdict_of
from grader.quality.constants import PIECE_WIDTH_MM
from grader.quality.exposure import Exposure, measure_exposure, paper_or_lightest
from grader.quality.faults import faults_of
from grader.quality.focus import Focus, measure_focus
from grader.quality.light import Light, light_of
from grader.quality.limit_constants import CHIP_CONTRAST, SCRATCH_CONTRAST
from grader.quality.limits import code_step, smallest_marks
from grader.quality.noise import measure_noise
from grader.quality.photo_quality import NoLimits, PhotoQuality, SmallestMarks
from grader.quality.placing import Placing, judge_placing


def assess_photo(
    view: DomeView, surface: DomeSurface | None, unseen: Sequence[UnseenArea] | None = None
) -> PhotoQuality:
    """Quality of one photo: what it can show, what is short, and how to take it again.

    Parameters
    ----------
    view : DomeView
    surface : DomeSurface or None
        The glass; without it mirror images are not looked for.
    unseen : sequence of UnseenArea, optional
        What cannot be seen, if that was looked for; otherwise it is done here.
    """
    if unseen is None:
        unseen = () if surface is None else find_unseen(view, surface)
    linear = linear_grey(view.photo.rgb)
    around, inside = piece_mask(view)
    placing = judge_placing(view, surface)
    light = light_of(view, surface, unseen)
    focus = measure_focus(linear, view.card, view.outline.contour_px)
    exposure = measure_exposure(view.photo.rgb, linear, view.card, inside, around)
    noise = measure_noise(linear, view.card, exposure.piece_light)
    glare = None if surface is None else min(1.0, sum(one.area_ratio for one in unseen if one.reason != STEEP))
    judged = inside & ~_covered(unseen, around, inside.shape)
    smallest = _smallest(linear[around], judged, view, placing, light, focus, exposure)
    faults = faults_of(placing, light, focus, exposure, noise, glare, smallest)
    verdict = verdict_of(faults)
    return PhotoQuality(
        placing=placing,
        light=light,
        focus=focus,
        exposure=exposure,
        noise=noise,
        glare_ratio=glare,
        smallest=smallest,
        flags=tuple(fault.flag for fault in faults),
        verdict=verdict,
        advice=tuple(advice_for(fault, smallest) for fault in faults),
        doubts=doubts_of(placing, light, focus, exposure, noise, smallest),
    )


def piece_mask(view: DomeView) -> tuple[tuple[slice, slice], Mask]:
    """Rows and columns of the photo's part that holds the piece, and the piece in there, (h, w) bool."""
    width, height = view.photo.size_px
    contour = view.outline.contour_px
    x0, y0 = np.clip(np.floor(contour.min(axis=0)), 0, (width - 2, height - 2)).astype(int)
    x1, y1 = np.clip(np.ceil(contour.max(axis=0)) + 1, (x0 + 1, y0 + 1), (width, height)).astype(int)
    inside = np.zeros((y1 - y0, x1 - x0), np.uint8)
    cv2.fillPoly(inside, [np.rint(contour - (x0, y0)).astype(np.int32)], 1)
    return (slice(y0, y1), slice(x0, x1)), inside > 0


def _covered(unseen: Sequence[UnseenArea], around: tuple[slice, slice], shape: tuple[int, ...]) -> Mask:
    """(h, w) bool: what mirror images and steep glass hide."""
    mask = np.zeros(shape, np.uint8)
    corner = np.array([around[1].start, around[0].start])
    for area in unseen:
        # One by one, since several polygons in one call would leave their overlaps free.
        cv2.fillPoly(mask, [np.rint(area.polygon_px - corner).astype(np.int32)], 1)
    return mask > 0


def _smallest(
    part: GreyImage,
    judged: Mask,
    view: DomeView,
    placing: Placing,
    light: Light,
    focus: Focus,
    exposure: Exposure,
) -> SmallestMarks | NoLimits:
    """Smallest marks by the photo's blur, background, scale and light."""
    if focus.blur_px is None:
        return NoLimits("the focus could not be read")
    px_per_mm = placing.px_per_mm
    if px_per_mm is None:
        px_per_mm = float(np.ptp(view.outline.contour_px, axis=0).max()) / PIECE_WIDTH_MM
    paper, which = paper_or_lightest(exposure), 'low' if light.kind == 'low' else 'above'
    found = smallest_marks(
        np.ascontiguousarray(part),
        judged,
        focus.blur_px,
        px_per_mm,
        SCRATCH_CONTRAST[which] * paper,
        CHIP_CONTRAST[which] * paper,
        code_step(exposure.piece_light),
    )
    if found is None:
        return NoLimits("no part of the piece can be judged")
    return SmallestMarks(
        _or_none(found.scratch_px),
        _or_none(found.plain_scratch_px),
        _or_none(found.chip_px),
        _or_none(found.plain_chip_px),
        placing.px_per_mm,
    )


def _or_none(size_px: float) -> float | None:
    return float(size_px) if np.isfinite(size_px) else None

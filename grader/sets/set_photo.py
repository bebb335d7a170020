"""One photo of a set: the network's odds near any place of it, and how well it shows that place."""

from dataclasses import dataclass
from typing import TypeAlias

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray, PointsPx, RgbImage
from calib.linear_light import linear_grey
from grader.findings import PhotoFindings
from grader.marks.piece_crop import PieceCrop
from grader.outline.side_view import is_side_view
from grader.outline.surface import DomeSurface
from grader.sets.constants import (
    FACING_BLIND,
    FACING_CLEAR,
    LEAST_ODDS,
    LIGHT_GROUND,
    LIGHT_RINGS,
    PEAK_REACH_MM,
    PEAK_REACH_RATIO,
)
from grader.sets.places import pixels_of

Window: TypeAlias = tuple[slice, slice]
"""Rows and columns of a part of the crop."""


@dataclass(frozen=True, slots=True, eq=False)
class SetPhoto:
    """A photo of the set, examined by itself, and what it shows where."""

    findings: PhotoFindings
    """What it shows by itself."""
    crop: PieceCrop
    """The piece cut out."""
    odds: npt.NDArray[np.float16]
    """The network's odds of each kind, (5, H, W), in crop px."""
    peak: npt.NDArray[np.float16]
    """Largest log-odds of any kind near each pixel of the crop, (H, W)."""
    owner: npt.NDArray[np.int16]
    """Number of the photo's own mark that a pixel of the crop belongs to, from 1; 0 where none, (H, W)."""
    free: npt.NDArray[np.uint8]
    """Where nothing hides the glass: 1, else 0, (H, W) in crop px."""
    light: FloatArray
    """Log brightness of rings of the piece over that of the ground, (rings,)."""
    is_from_above: bool
    """Whether the camera stood above the piece."""

    @property
    def name(self) -> str:
        """File name."""
        return self.findings.view.photo.name

    @property
    def surface(self) -> DomeSurface:
        """The glass."""
        return self.findings.surface

    def crop_px(self, points_px: PointsPx) -> PointsPx:
        """Photo px (N, 2) -> crop px (N, 2)."""
        return np.asarray((points_px - np.asarray(self.crop.offset_px)) * self.crop.scale_ratio)

    def peak_at(self, points_px: PointsPx) -> FloatArray:
        """Largest log-odds of any mark near pixels (N, 2); those of nothing where the crop does not reach, (N,)."""
        rows, columns, inside = self._cells(points_px)
        floor = float(np.log(LEAST_ODDS))
        return np.where(inside, self.peak[rows, columns].astype(np.float64), floor)

    def odds_within(self, point_px: PointsPx, reach_px: float, numbers: frozenset[int]) -> tuple[FloatArray, Window]:
        """Largest odds of any kind near a pixel (1, 2), and where in the crop that is; zero beyond reach.

        Parameters
        ----------
        point_px : ndarray of shape (1, 2)
        reach_px : float
            In photo px.
        numbers
            Own marks of the photo whose pixels count; those of others do not.
        """
        column, row = np.rint(self.crop_px(point_px)[0]).astype(int)
        reach = max(round(reach_px * self.crop.scale_ratio), 1)
        height, width = self.owner.shape
        window = (
            slice(min(max(row - reach, 0), height), min(max(row + reach + 1, 0), height)),
            slice(min(max(column - reach, 0), width), min(max(column + reach + 1, 0), width)),
        )
        owner = self.owner[window]
        mine = (owner == 0) | np.isin(owner, sorted(numbers))
        rows, columns = np.mgrid[window]
        near = np.hypot(rows - row, columns - column) <= reach
        return np.where(near & mine, self.odds[(slice(None), *window)].max(axis=0), 0.0).astype(np.float64), window

    def shows(self, places: FloatArray) -> tuple[PointsPx, FloatArray]:
        """Pixels (N, 2) of places (N, 3) in this photo's frame, and how well each is seen, 0 to 1, (N,)."""
        points_px, facing = pixels_of(self.surface, places)
        rows, columns, inside = self._cells(points_px)
        clear = np.clip((facing - FACING_BLIND) / (FACING_CLEAR - FACING_BLIND), 0.0, 1.0)
        return points_px, np.where(inside & (self.free[rows, columns] > 0), clear, 0.0)

    def _cells(self, points_px: PointsPx) -> tuple[npt.NDArray[np.intp], npt.NDArray[np.intp], npt.NDArray[np.bool_]]:
        """Row and column of pixels in the crop, cut to its edges, and whether they lie in it."""
        cells = np.rint(self.crop_px(points_px)).astype(np.intp)
        height, width = self.peak.shape
        inside = np.asarray(((cells >= 0) & (cells < (width, height))).all(axis=1))
        return np.clip(cells[:, 1], 0, height - 1), np.clip(cells[:, 0], 0, width - 1), inside


def see_set_photo(findings: PhotoFindings) -> SetPhoto:
    """Prepare a photo, examined by itself, for the judgement on its set."""
    crop, odds = findings.piece.crop, findings.piece.odds
    return SetPhoto(
        findings=findings,
        crop=crop,
        odds=odds.astype(np.float16),
        peak=_peaks(odds, reach_px(findings) * crop.scale_ratio),
        owner=_owner(findings, crop),
        free=_free(findings, crop, odds.shape[1:]),
        light=light_of(findings.view.photo.rgb, findings.surface.contour_px),
        is_from_above=not is_side_view(findings.view.card),
    )


def reach_px(findings: PhotoFindings) -> float:
    """How far from a place its mark is looked for, in photo px."""
    surface = findings.surface
    width_px = float(np.ptp(surface.contour_px[:, 0]))
    ratio = PEAK_REACH_MM / (2 * surface.mean_radius_mm) if surface.is_metric else PEAK_REACH_RATIO / 2
    return width_px * ratio


def light_of(rgb: RgbImage, contour_px: PointsPx) -> FloatArray:
    """Median log brightness of rings of the piece over that of the ground round it, (rings,).

    Medians over whole rings hardly change when the piece is turned, but much with the light.
    """
    grey = linear_grey(rgb)
    middle = contour_px.mean(axis=0)
    values = [_ring_median(grey, middle, contour_px - middle, ring) for ring in (*LIGHT_RINGS, LIGHT_GROUND)]
    return np.asarray(np.log(np.array(values[:-1]) + LEAST_ODDS) - np.log(values[-1] + LEAST_ODDS))


def _ring_median(grey: np.ndarray, middle: FloatArray, apart: FloatArray, ring: tuple[float, float]) -> float:
    mask = np.zeros(grey.shape, np.uint8)
    for ratio, value in ((ring[1], 1), (ring[0], 0)):
        cv2.fillPoly(mask, [np.rint(middle + apart * ratio).astype(np.int32).reshape(-1, 1, 2)], value)
    inside = grey[mask > 0]
    return float(np.median(inside)) if inside.size else 0.0


def _peaks(odds: np.ndarray, reach: float) -> npt.NDArray[np.float16]:
    size = 2 * max(round(reach), 1) + 1
    disc = cv2.getStructuringElement(cv2.MORPH_ELLIPSE, (size, size))
    highest = cv2.dilate(np.ascontiguousarray(odds.max(axis=0)), disc)
    cut = np.clip(highest, LEAST_ODDS, 1 - LEAST_ODDS)
    return np.asarray(np.log(cut / (1 - cut)), dtype=np.float16)


def _owner(findings: PhotoFindings, crop: PieceCrop) -> npt.NDArray[np.int16]:
    owner = np.zeros(crop.depth_px.shape, np.int16)
    # The surest comes first, and is drawn last.
    for number, mark in reversed(list(enumerate(findings.marks, start=1))):
        polygon = (mark.outline_px - np.asarray(crop.offset_px)) * crop.scale_ratio
        cv2.fillPoly(owner, [np.rint(polygon).astype(np.int32).reshape(-1, 1, 2)], number)
    return owner


def _free(findings: PhotoFindings, crop: PieceCrop, shape: tuple[int, ...]) -> npt.NDArray[np.uint8]:
    free = (crop.depth_px > 0).astype(np.uint8)
    if free.shape != shape:
        raise ValueError(f'crop and odds differ in shape, {free.shape} and {shape}')
    for area in findings.unseen:
        polygon = (area.polygon_px - np.asarray(crop.offset_px)) * crop.scale_ratio
        cv2.fillPoly(free, [np.rint(polygon).astype(np.int32).reshape(-1, 1, 2)], 0)
    return free

"""The design of a piece seen from above, drawn as a chart: what lies where about its axis."""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt
from scipy.interpolate import LinearNDInterpolator

from calib.arrays import FloatArray
from grader.compare.same_constants import (
    CHART_BLUR_RATIO,
    CHART_EDGE_PERCENTILE,
    CHART_POINTS,
    CHART_REACH_RATIO,
    CLIPPED_CODE,
    DARKEST_CODE,
)
from grader.findings import PhotoFindings
from grader.outline.surface import DomeSurface
from grader.sets.design_map import coarse_pixels, flat_places, free_pixels

CROP_MARGIN_PX = 8  # Source: wider than the blur's reach on charts of usual photos


@dataclass(frozen=True, slots=True, eq=False)
class DesignChart:
    """A photo's design on a square grid about the piece's axis, x as on the card, y up with the row."""

    log_light: npt.NDArray[np.float32]
    """(G, G, 3) log brightness of red, green and blue."""
    seen: npt.NDArray[np.bool_]
    """(G, G) whether it could be seen."""
    pixels: npt.NDArray[np.float32]
    """(G, G, 2) the photo's px that show it; not finite outside."""
    reach_ratio: float
    """Half the grid's width, in radii of the piece."""


@dataclass(frozen=True, slots=True, eq=False)
class ChartSource:
    """What charts of one photo are drawn from, at any level."""

    findings: PhotoFindings
    """The photo, examined."""
    pixels: FloatArray
    """(N, 2) pixels spread over the piece."""
    free: npt.NDArray[np.uint8]
    """(H, W) 0 where a reflection hides the glass."""

    def flat(self, level_ratio: float | None) -> FloatArray:
        """Where the pixels' rays reach a level, in radii about the axis, (N, 2)."""
        return flat_places(self.findings.surface, self.pixels, level_ratio)

    def reach_ratio(self, level_ratio: float | None) -> float:
        """How far from the axis the photo shows the level, in radii."""
        if not len(self.pixels):
            return CHART_REACH_RATIO
        far = float(np.percentile(np.linalg.norm(self.flat(level_ratio), axis=1), CHART_EDGE_PERCENTILE))
        return min(far, CHART_REACH_RATIO)


def chart_source(findings: PhotoFindings) -> ChartSource:
    """Prepare a photo from above."""
    return ChartSource(findings, coarse_pixels(findings.surface), free_pixels(findings))


def draw_chart(
    source: ChartSource, level_ratio: float | None, reach_ratio: float, n_points: int = CHART_POINTS
) -> DesignChart:
    """Chart of a photo's design as if it lay flat at a level, without the lens that the dome is.

    Parameters
    ----------
    source : ChartSource
    level_ratio : float or None
        Share of the piece's height; None for the glass itself.
    reach_ratio : float
        Half the chart's width, in radii.
    n_points : int
        Points across the chart, G.
    """
    surface = source.findings.surface
    axis = np.linspace(-reach_ratio, reach_ratio, n_points)
    grid = np.stack(np.meshgrid(axis, axis), axis=-1).reshape(-1, 2)
    at = LinearNDInterpolator(source.flat(level_ratio), source.pixels)(grid).reshape(n_points, n_points, 2)
    rows, columns = _crop(surface, source.free.shape)
    step_px = float(np.ptp(surface.contour_px[:, 0])) * reach_ratio / n_points
    rgb = source.findings.view.photo.rgb[rows, columns]
    light = cv2.GaussianBlur(rgb, (0, 0), max(CHART_BLUR_RATIO * step_px, CHART_BLUR_RATIO))
    x, y = (
        np.ascontiguousarray(np.nan_to_num(at[..., k] - low), dtype=np.float32)
        for k, low in ((0, columns.start), (1, rows.start))
    )
    code = cv2.remap(light, x, y, cv2.INTER_LINEAR).astype(np.float32)
    free = cv2.remap(source.free[rows, columns], x, y, cv2.INTER_NEAREST) > 0
    inside = np.linalg.norm(grid, axis=1).reshape(n_points, n_points) < reach_ratio
    seen = np.isfinite(at[..., 0]) & inside & free & (code.min(axis=-1) < CLIPPED_CODE)
    return DesignChart(np.log(code + np.float32(DARKEST_CODE)), seen, at.astype(np.float32), reach_ratio)


def _crop(surface: DomeSurface, shape: tuple[int, ...]) -> tuple[slice, slice]:
    """Rows and columns of the photo round the piece."""
    low = np.floor(surface.contour_px.min(axis=0)).astype(int) - CROP_MARGIN_PX
    high = np.ceil(surface.contour_px.max(axis=0)).astype(int) + CROP_MARGIN_PX + 1
    return slice(max(low[1], 0), min(high[1], shape[0])), slice(max(low[0], 0), min(high[0], shape[1]))

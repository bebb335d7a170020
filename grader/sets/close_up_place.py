"""Where a close-up without a card lies on the piece: laid over a photo of the whole by details that both show."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import cv2
import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.eye import CardEye, FarEye
from grader.outline.moved_eye import MovedEye, inverse_of, move_points
from grader.outline.surface import DomeSurface
from grader.photos.load import Photo
from grader.sets.constants import (
    CLOSE_UP_LEAST_MATCHES,
    CLOSE_UP_MOST_PX,
    CLOSE_UP_RATIO,
    CLOSE_UP_REACH_PX,
    CLOSE_UP_SCALES,
)


@dataclass(frozen=True, slots=True, eq=False)
class PlacedCloseUp:
    """A close-up and the photo of the whole piece that it was laid over."""

    photo: Photo
    """The close-up."""
    whole: DomeView
    """The photo of the whole."""
    to_whole: FloatArray
    """(2, 3) affine map from px of the close-up to px of the whole."""
    n_matches: int
    """Details of both that agree with the map."""

    def view(self) -> DomeView:
        """The close-up with the outline of the whole, most of which lies outside of its picture."""
        contour = move_points(self.whole.outline.contour_px, inverse_of(self.to_whole))
        outline = replace(self.whole.outline, contour_px=contour, flags=())
        reason = f"a close-up; laid over {self.whole.photo.name} by {self.n_matches} details that both show"
        return DomeView(self.photo, NoCard(reason), outline)

    def surface(self, whole: DomeSurface) -> DomeSurface:
        """The glass of the whole, seen through the pixels of the close-up."""
        eye = whole.eye
        if not isinstance(eye, CardEye | FarEye):
            raise TypeError('a close-up can be laid over a photo of the whole only')
        contour = move_points(whole.contour_px, inverse_of(self.to_whole))
        return replace(whole, eye=MovedEye(eye, self.to_whole), contour_px=contour)


def place_close_up(photo: Photo, wholes: Sequence[DomeView]) -> PlacedCloseUp | None:
    """Lay a close-up over that photo of the whole piece with which it shares most details; None where with none.

    Details are those of the scale-invariant feature transform (Lowe 2004, doi:10.1023/B:VISI.0000029664.99615.94),
    matched if clearly nearer than the next best, so that equal canes do not count; an affine map must agree with enough
    of them, and must make the close-up finer than the whole.
    """
    best: PlacedCloseUp | None = None
    points, words = _details(photo.rgb, None)
    for whole in wholes:
        whole_points, whole_words = _details(whole.photo.rgb, whole.outline.contour_px)
        found = _affine_between(points, words, whole_points, whole_words)
        if found is not None and (best is None or found[1] > best.n_matches):
            best = PlacedCloseUp(photo, whole, *found)
    return best


def _details(rgb: RgbImage, contour_px: np.ndarray | None) -> tuple[np.ndarray, np.ndarray]:
    """Places (N, 2) px and descriptors (N, 128) of the details of a photo, within a contour where one is given."""
    scale = min(1.0, CLOSE_UP_MOST_PX / max(rgb.shape[:2]))
    grey = cv2.cvtColor(np.ascontiguousarray(rgb), cv2.COLOR_RGB2GRAY)
    small = cv2.resize(grey, None, fx=scale, fy=scale, interpolation=cv2.INTER_AREA) if scale < 1 else grey
    mask = None
    if contour_px is not None:
        mask = np.zeros(small.shape, np.uint8)
        cv2.fillPoly(mask, [np.rint(contour_px * scale).astype(np.int32).reshape(-1, 1, 2)], 255)
    points, words = cv2.SIFT.create().detectAndCompute(small, mask)
    if words is None:
        return np.zeros((0, 2)), np.zeros((0, 128), np.float32)
    return np.array([point.pt for point in points]) / scale, words


def _affine_between(
    points: np.ndarray, words: np.ndarray, whole_points: np.ndarray, whole_words: np.ndarray
) -> tuple[FloatArray, int] | None:
    """Affine map (2, 3) from the first points to those of the whole, and how many pairs agree with it."""
    if min(len(words), len(whole_words)) < CLOSE_UP_LEAST_MATCHES:
        return None
    pairs = cv2.BFMatcher(cv2.NORM_L2).knnMatch(words, whole_words, k=2)
    sure = [two[0] for two in pairs if len(two) == 2 and two[0].distance < CLOSE_UP_RATIO * two[1].distance]
    if len(sure) < CLOSE_UP_LEAST_MATCHES:
        return None
    here = points[[one.queryIdx for one in sure]]
    there = whole_points[[one.trainIdx for one in sure]]
    affine, agree = cv2.estimateAffine2D(here, there, method=cv2.RANSAC, ransacReprojThreshold=CLOSE_UP_REACH_PX)
    if affine is None or not np.isfinite(affine).all():
        return None
    n_agree = int(np.count_nonzero(agree))
    long, short = np.linalg.svd(affine[:, :2], compute_uv=False)
    is_finer = CLOSE_UP_SCALES[0] <= short and long <= CLOSE_UP_SCALES[1] and long < 2 * short
    if n_agree < CLOSE_UP_LEAST_MATCHES or not is_finer or np.linalg.det(affine[:, :2]) <= 0:
        return None
    return np.asarray(affine, np.float64), n_agree

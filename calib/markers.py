"""A photo's ArUco markers, with corners to a few hundredths of a pixel.

Coarse squares and ids come from OpenCV's detector; the corners are then set
afresh in linear light (`corners.py`).
"""

from dataclasses import dataclass

import cv2
import numpy as np
import numpy.typing as npt

from calib.arrays import FloatArray, GreyImage, RgbImage
from calib.constants import (
    DETECT_SIDE_PX,
    DETECT_WINDOW_MAX_PX,
    DETECT_WINDOW_MIN_PX,
    DETECT_WINDOW_STEP_PX,
)
from calib.corners import refine_corners
from calib.linear_light import encode_srgb, linear_grey


@dataclass(frozen=True, slots=True, eq=False)
class MarkerCorners:
    """Markers of one photo, as read; an id may occur more than once.

    Attributes
    ----------
    ids : ndarray of shape (N,)
        int64, ascending.
    corners_px : ndarray of shape (N, 4, 2)
        float64, the black square's corners in the marker's own order: top left, top right,
        bottom right, bottom left as printed.
    u_px : ndarray of shape (N, 4)
        Standard uncertainty of each corner from its edges' scatter; infinite where an
        edge could not be set and the coarse corner was kept.
    size_px : (int, int)
        Width and height of the photo.
    """

    ids: npt.NDArray[np.int64]
    corners_px: FloatArray
    u_px: FloatArray
    size_px: tuple[int, int]

    def __post_init__(self) -> None:
        for array in (self.ids, self.corners_px, self.u_px):
            array.setflags(write=False)

    def __len__(self) -> int:
        return len(self.ids)

    def taken(self, rows: npt.NDArray[np.int64]) -> 'MarkerCorners':
        """The markers of these rows, in this order."""
        return MarkerCorners(self.ids[rows], self.corners_px[rows], self.u_px[rows], self.size_px)

    @property
    def centres_px(self) -> FloatArray:
        """Crossing of each marker's diagonals, (N, 2): the image of its true centre."""
        a, b, c, d = np.moveaxis(self.corners_px, 1, 0)
        ac, bd, ab = c - a, d - b, b - a
        along = (ab[:, 0] * bd[:, 1] - ab[:, 1] * bd[:, 0]) / (ac[:, 0] * bd[:, 1] - ac[:, 1] * bd[:, 0])
        return np.asarray(a + along[:, None] * ac)

    @property
    def sides_px(self) -> FloatArray:
        """Mean side of each marker, (N,)."""
        sides = np.roll(self.corners_px, -1, axis=1) - self.corners_px
        return np.asarray(np.linalg.norm(sides, axis=2).mean(axis=1))


def find_markers(picture: RgbImage | GreyImage, dictionary: str = 'DICT_5X5_100') -> MarkerCorners:
    """Read all markers of a dictionary in a photo.

    Parameters
    ----------
    picture : ndarray
        (H, W, 3) uint8 sRGB, or (H, W) float32 luminance in linear light (0 to 1),
        as `linear_light.linear_grey` gives it.
    dictionary : str
        OpenCV's name of a predefined dictionary.

    Returns
    -------
    MarkerCorners
        Empty if there are none. Markers seen in or through glass are among them.
    """
    grey = np.asarray(picture, np.float32) if picture.ndim == 2 else linear_grey(np.asarray(picture, np.uint8))
    return find_markers_of(grey, cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary)))


def find_markers_of(grey: GreyImage, dictionary: cv2.aruco.Dictionary) -> MarkerCorners:
    """`find_markers` for a dictionary of one's own; `grey` is linear light."""
    size_px = (grey.shape[1], grey.shape[0])
    coarse_px, ids = _detect(grey, dictionary)
    order = np.lexsort((coarse_px[:, 0, 1], coarse_px[:, 0, 0], ids))
    ids, coarse_px = ids[order], coarse_px[order]
    modules = dictionary.markerSize + 2
    corners_px, u_px = refine_corners(grey, coarse_px, modules)
    return MarkerCorners(ids, corners_px, u_px, size_px)


def _detect(grey: GreyImage, dictionary: cv2.aruco.Dictionary) -> tuple[FloatArray, npt.NDArray[np.int64]]:
    """Coarse corners (N, 4, 2) and ids (N,) from OpenCV, on a reduced copy of a big photo."""
    shrink = min(1.0, DETECT_SIDE_PX / max(grey.shape))
    if shrink < 1:
        grey = np.asarray(cv2.resize(grey, None, fx=shrink, fy=shrink, interpolation=cv2.INTER_AREA))
    coded = _coded(grey)
    parameters = cv2.aruco.DetectorParameters()
    parameters.adaptiveThreshWinSizeMin = DETECT_WINDOW_MIN_PX
    parameters.adaptiveThreshWinSizeMax = DETECT_WINDOW_MAX_PX
    parameters.adaptiveThreshWinSizeStep = DETECT_WINDOW_STEP_PX
    found, ids, _ = cv2.aruco.ArucoDetector(dictionary, parameters).detectMarkers(coded)
    if ids is None or len(ids) == 0:
        return np.zeros((0, 4, 2)), np.zeros(0, dtype=np.int64)
    corners = np.array(found, dtype=np.float64).reshape(-1, 4, 2)
    return (corners + 0.5) / shrink - 0.5, np.asarray(ids, dtype=np.int64).ravel()


def _coded(grey: GreyImage) -> npt.NDArray[np.uint8]:
    """Linear light as 8-bit sRGB code, for the threshold-based detector."""
    steps = np.linspace(0.0, 1.0, 4096)
    table = np.round(255 * encode_srgb(steps)).astype(np.uint8)
    return np.asarray(table[np.clip(grey * 4095 + 0.5, 0, 4095).astype(np.uint16)])

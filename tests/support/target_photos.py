"""Photographs of printed boards, and our camera model fitted to their inner corners."""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

from calib.arrays import GreyImage
from calib.bundle import SeenMarkers
from calib.calibrate import SharedCamera, solve_views
from calib.camera_prior import CameraPrior
from calib.card_pose import card_prior, solve_card
from calib.linear_light import linear_grey
from calib.pose import LOG_FOCAL, predict
from calib.print_scale import PrintScale

SQUARE_MM = 25.0
# What was not told of these cameras: a normal lens, any middle within 3 %, any common distortion.
PRIOR = CameraPrior(
    focal_px=550.0, u_log_focal=0.4, source='none', centre_px=(319.5, 239.5), u_centre_px=25.0, u_k1=0.3
)


@dataclass(frozen=True)
class BoardFit:
    """A board's camera, and how far its corners lie from their predicted places."""

    focal_px: float
    u_focal_px: float
    k1: float
    rms_px: float


def read_grey(path: Path) -> GreyImage:
    """Linear light of a photo file."""
    bgr = cv2.imread(str(path), cv2.IMREAD_COLOR)
    assert bgr is not None, f'{path} cannot be read'
    return linear_grey(cv2.cvtColor(bgr, cv2.COLOR_BGR2RGB))


def chessboard_corners(path: Path, columns: int, rows: int) -> np.ndarray:
    """Inner corners of a chessboard by OpenCV, (rows, columns, 2), the way its sample does it."""
    grey = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    found, corners = cv2.findChessboardCorners(grey, (columns, rows))
    assert found, f'{path}: no board'
    corners = cv2.cornerSubPix(grey, corners, (11, 11), (-1, -1), (3, 30, 0.01))
    return corners.reshape(rows, columns, 2).astype(np.float64)


def charuco_corners(path: Path, board: cv2.aruco.CharucoBoard) -> np.ndarray:
    """Inner corners of a whole ChArUco board by OpenCV, (rows, columns, 2)."""
    grey = cv2.imread(str(path), cv2.IMREAD_GRAYSCALE)
    corners, ids, _, _ = cv2.aruco.CharucoDetector(board).detectBoard(grey)
    columns, rows = (side - 1 for side in board.getChessboardSize())
    assert ids is not None, f'{path}: no board'
    assert len(ids) == columns * rows, f'{path}: not all corners are visible'
    return corners.reshape(-1, 2)[np.argsort(ids.ravel())].reshape(rows, columns, 2).astype(np.float64)


def fit_board(grids: list[np.ndarray], u_corner_px: float = 0.15) -> BoardFit:
    """Our camera model fitted to views of one board; corners go in blocks of four, as a marker's do."""
    views = [_as_view(grid, u_corner_px) for grid in grids]
    prior = card_prior(PRIOR, PrintScale(), views[0].half_width_mm)
    starts = [solve_card(view, PRIOR, prior).pose for view in views]
    shared = solve_views(starts, views, prior)
    pose = shared.solutions[0].pose
    return BoardFit(
        pose.focal_px,
        pose.focal_px * float(np.sqrt(shared.covariance[LOG_FOCAL, LOG_FOCAL])),
        pose.k1,
        _rms_px(shared, grids, views[0].half_width_mm),
    )


def _as_view(grid: np.ndarray, u_corner_px: float) -> SeenMarkers:
    printed = _printed_mm(grid)
    rows, columns = grid.shape[:2]
    blocks = [(r, c) for r in range(0, rows - 1, 2) for c in range(0, columns - 1, 2)]

    def blocked(points: np.ndarray) -> np.ndarray:
        return np.stack([[points[r, c], points[r, c + 1], points[r + 1, c + 1], points[r + 1, c]] for r, c in blocks])

    half = SQUARE_MM * max(rows, columns) / 2
    return SeenMarkers(blocked(printed), blocked(grid), np.full((len(blocks), 4), u_corner_px), half)


def _printed_mm(grid: np.ndarray) -> np.ndarray:
    """Places on the board, origin its middle, x right, y up."""
    rows, columns = grid.shape[:2]
    x, y = np.meshgrid(np.arange(columns) - (columns - 1) / 2, (rows - 1) / 2 - np.arange(rows))
    return SQUARE_MM * np.stack([x, y, np.zeros_like(x)], axis=-1)


def _rms_px(shared: SharedCamera, grids: list[np.ndarray], half_width_mm: float) -> float:
    """Root mean square distance of all corners, in blocks or not."""
    off = [
        grid - predict(solution.pose, _printed_mm(grid), half_width_mm)
        for grid, solution in zip(grids, shared.solutions, strict=True)
    ]
    return float(np.sqrt(np.mean(np.sum(np.concatenate([one.reshape(-1, 2) for one in off]) ** 2, axis=1))))

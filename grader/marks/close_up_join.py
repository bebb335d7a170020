"""Joins the pieces of a close-up that are parts of one mark: its rim, its crumbs, its beads in a row."""

import cv2
import numpy as np

from grader.marks.close_up_constants import ABSORB_REACH_PX, ABSORB_SHARE, ROW_GAP_PX, ROW_SPREAD
from grader.marks.close_up_piece import Piece, disc, grown

_HOST_AREA_PX = 60  # Source: smaller pieces have no crumbs


def join_pieces(pieces: list[Piece]) -> list[Piece]:
    """Pieces with those joined that belong together; none is lost.

    First, small pieces that lie mostly within a short reach of a larger one become part of it. Then pieces that
    nearly touch and make, together, a straight mark no broader than its parts become one mark.

    Parameters
    ----------
    pieces : list of Piece
        In any order; equal sets give equal results.
    """
    ordered = sorted(pieces, key=lambda p: (-p.area_px(), p.y_px, p.x_px))
    return _in_rows(_absorbed(ordered))


def union(one: Piece, two: Piece, gap_px: int) -> Piece:
    """Both pieces as one, with the gap between them closed."""
    rows, columns = one.window()
    more_rows, more_columns = two.window()
    top, left = min(rows.start, more_rows.start), min(columns.start, more_columns.start)
    bottom, right = max(rows.stop, more_rows.stop), max(columns.stop, more_columns.stop)
    margin = gap_px + 1
    mask = np.zeros((bottom - top + 2 * margin, right - left + 2 * margin), np.uint8)
    for piece in (one, two):
        y, x = piece.y_px - top + margin, piece.x_px - left + margin
        mask[y : y + piece.mask.shape[0], x : x + piece.mask.shape[1]] |= piece.mask
    for radius_px in (gap_px // 2, gap_px):
        mask = np.asarray(cv2.morphologyEx(mask, cv2.MORPH_CLOSE, disc(radius_px)))
        if cv2.connectedComponents(mask, connectivity=8)[0] == 2:
            break
    mask = mask[margin:-margin, margin:-margin]
    length = one.length_px + two.length_px if one.is_line and two.is_line else 0.0
    return Piece(np.ascontiguousarray(mask), left, top, length > 0, length, one.line_signal + two.line_signal)


def _absorbed(pieces: list[Piece]) -> list[Piece]:
    """Pieces, largest first, after each took in the later ones that lie mostly within its reach."""
    boxes = _boxes(pieces)
    free = np.ones(len(pieces), dtype=bool)
    done = []
    for number, piece in enumerate(pieces):
        if not free[number]:
            continue
        free[number] = False
        host = piece
        if host.area_px() >= _HOST_AREA_PX:
            near = _reach(host, ABSORB_REACH_PX)
            for guest in np.flatnonzero(free & _meets(boxes, boxes[number], ABSORB_REACH_PX)):
                if _share_in(pieces[guest], near) >= ABSORB_SHARE:
                    free[guest] = False
                    host = union(host, pieces[guest], ABSORB_REACH_PX)
            host = Piece(host.mask, host.x_px, host.y_px, piece.is_line, piece.length_px, host.line_signal)
        done.append(host)
    return done


def _in_rows(pieces: list[Piece]) -> list[Piece]:
    """Pieces after straight rows of them were joined, each growing in turn from its largest bead."""
    boxes = _boxes(pieces)
    free = np.ones(len(pieces), dtype=bool)
    done = []
    for number in range(len(pieces)):
        if not free[number]:
            continue
        free[number] = False
        row = pieces[number]
        joined = _next_in_row(row, pieces, boxes, free)
        while joined >= 0:
            free[joined] = False
            row = union(row, pieces[joined], ROW_GAP_PX)
            joined = _next_in_row(row, pieces, boxes, free)
        done.append(row)
    return done


def _next_in_row(row: Piece, pieces: list[Piece], boxes: np.ndarray, free: np.ndarray) -> int:
    """Number of the first free piece that continues a row, or -1."""
    candidates = np.flatnonzero(free & _meets(boxes, _boxes([row])[0], ROW_GAP_PX))
    if len(candidates):
        near = _reach(row, ROW_GAP_PX)
        for number in candidates:
            if _share_in(pieces[number], near) > 0 and _is_row(row, pieces[number]):
                return int(number)
    return -1


def _boxes(pieces: list[Piece]) -> np.ndarray:
    """First and last column and row of each piece, (N, 4) int: left, top, right, bottom, the last ones excluded."""
    corners = [(p.x_px, p.y_px, p.x_px + p.mask.shape[1], p.y_px + p.mask.shape[0]) for p in pieces]
    return np.array(corners, dtype=int).reshape(-1, 4)


def _meets(boxes: np.ndarray, box: np.ndarray, gap_px: int) -> np.ndarray:
    """Which boxes (N, 4) come within a gap of a box (4,), (N,) bool."""
    apart_x = np.maximum(boxes[:, 0] - box[2], box[0] - boxes[:, 2])
    apart_y = np.maximum(boxes[:, 1] - box[3], box[1] - boxes[:, 3])
    return np.asarray((apart_x <= gap_px) & (apart_y <= gap_px))


def _is_row(one: Piece, two: Piece) -> bool:
    """Whether two pieces make, together, a straight mark that is longer than, but no broader than, its parts."""
    length_1, width_1 = _sides(_points(one))
    length_2, width_2 = _sides(_points(two))
    length, width = _sides(np.concatenate([_points(one), _points(two)]))
    broadest = max(min(width_1, length_1), min(width_2, length_2))
    return width <= ROW_SPREAD * broadest + 1 and length >= 3 * width and length > max(length_1, length_2)


def _points(piece: Piece) -> np.ndarray:
    """Border points (N, 1, 2) of a piece, int32 photo px."""
    contours, _ = cv2.findContours(piece.mask, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
    return np.concatenate(contours) + np.array([piece.x_px, piece.y_px], np.int32)


def _sides(points: np.ndarray) -> tuple[float, float]:
    """Length and width of the smallest rectangle about the points, px."""
    _, sides, _ = cv2.minAreaRect(points)
    return float(max(sides)) + 1, float(min(sides)) + 1


def _reach(piece: Piece, radius_px: int) -> Piece:
    """The piece widened all round."""
    mask = grown(np.pad(piece.mask, radius_px), radius_px)
    return Piece(mask, piece.x_px - radius_px, piece.y_px - radius_px, piece.is_line)


def _share_in(piece: Piece, other: Piece) -> float:
    """Share of the piece's pixels that lie on another piece."""
    return piece.shared_px(other) / max(piece.area_px(), 1)

"""Joins pieces of thin lines that continue each other, and gives each line its width and its pixels."""

import math
from dataclasses import dataclass

import cv2
import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from calib.arrays import FloatArray, PointsPx
from grader.marks.close_up_constants import (
    LINE_ANGLES,
    LINE_PROFILE_PX,
    LINE_SIGNAL_RATIO,
    LINK_ANGLE_DEG,
    LINK_EVIDENCE,
    LINK_GAP_PX,
    LINK_GAP_SHARE,
    SMOOTH_SIGMA_PX,
    THIN_PATCH_PX,
)
from grader.marks.close_up_ground import Ground, Map, blur
from grader.marks.close_up_lines import LineEvidence, Segment, main_axis
from grader.marks.close_up_piece import Piece, disc, grown

_END_POINTS = 15  # Source: one filter's half length, enough to tell an end's direction to 3 degrees
_TOUCHING_PX = 8.0  # Source: half the fine filter's length; ends as near as this are the same line's
_SIDE_BY_SIDE_PX = 5.0  # Source: ends as near as this need no direction between them
_MARGIN_PX = LINE_PROFILE_PX + 2


@dataclass(frozen=True, slots=True, eq=False)
class Bridge:
    """A straight join between the ends of two segments."""

    one: int
    two: int
    start_px: FloatArray
    end_px: FloatArray


def trace_lines(segments: list[Segment], evidence: LineEvidence, ground: Ground) -> list[Piece]:
    """Lines, each with its pixels; strongest evidence first."""
    bridges = find_bridges(segments, evidence.z)
    pairs = np.array([(b.one, b.two) for b in bridges], dtype=int).reshape(-1, 2)
    graph = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(segments),) * 2)
    n, label = connected_components(graph, directed=False) if segments else (0, np.zeros(0, int))
    joins_of: dict[int, list[Bridge]] = {}
    for bridge in bridges:
        joins_of.setdefault(int(label[bridge.one]), []).append(bridge)
    smooth = blur(ground.residual_code, SMOOTH_SIGMA_PX)
    found = []
    order = np.argsort(label, kind='stable')
    for chosen in np.split(order, np.flatnonzero(np.diff(label[order])) + 1) if n else []:
        members = [segments[i] for i in chosen]
        joins = joins_of.get(int(label[chosen[0]]), [])
        weight = sum(float(m.z.sum()) for m in members)
        found.append((weight, _ribbon(members, joins, evidence, smooth)))
    found.sort(key=lambda f: (-f[0], f[1].y_px, f[1].x_px))
    return [piece for _, piece in found]


def find_bridges(segments: list[Segment], z: Map) -> list[Bridge]:
    """Pairs of segment ends that continue each other, nearest pairs first, each end used once.

    Both ends must point at each other within LINK_ANGLE_DEG, have the same sign, and the gap must be short
    against the pieces; over a gap that could hold other things the straight way must show some evidence.
    """
    if len(segments) < 2:
        return []
    ends = [e for s in segments for e in (_end(s.points_px), _end(s.points_px[::-1]))]
    place, outward = np.array([e[0] for e in ends]), np.array([e[1] for e in ends])
    owner = np.repeat(np.arange(len(segments)), 2)
    pairs, gaps = _fitting(place, outward, owner, segments)
    used: set[int] = set()
    bridges = []
    for (i, j), gap in zip(pairs.tolist(), gaps.tolist(), strict=True):
        if i in used or j in used:
            continue
        sign = segments[owner[i]].sign
        if gap > _TOUCHING_PX and _between(z, place[i], place[j]) * sign < LINK_EVIDENCE:
            continue
        used |= {i, j}
        bridges.append(Bridge(int(owner[i]), int(owner[j]), place[i], place[j]))
    return bridges


def _end(points: PointsPx) -> tuple[FloatArray, FloatArray]:
    """First point of a path and the unit vector that leads out of the path there."""
    near = points[:_END_POINTS]
    direction = main_axis(near)
    if direction @ (near[0] - near[-1]) < 0:
        direction = -direction
    return near[0], direction


def _fitting(
    place: FloatArray, outward: FloatArray, owner: np.ndarray, segments: list[Segment]
) -> tuple[np.ndarray, FloatArray]:
    """Pairs of ends (P, 2) that continue each other, nearest first, and their distances (P,)."""
    pairs = cKDTree(place).query_pairs(LINK_GAP_PX, output_type='ndarray').reshape(-1, 2)
    pairs = pairs[np.lexsort((pairs[:, 1], pairs[:, 0]))]
    one, two = pairs[:, 0], pairs[:, 1]
    way = place[two] - place[one]
    gap = np.hypot(way[:, 0], way[:, 1]) + 1e-9
    length = np.array([s.length_px for s in segments])[owner]
    sign = np.array([s.sign for s in segments])[owner]
    straight = math.cos(math.radians(LINK_ANGLE_DEG))
    ahead = (way * outward[one]).sum(axis=1) / gap > straight
    back = -(way * outward[two]).sum(axis=1) / gap > straight
    opposed = -(outward[one] * outward[two]).sum(axis=1) > straight
    longest = np.clip(LINK_GAP_SHARE * np.minimum(length[one], length[two]), _TOUCHING_PX, LINK_GAP_PX)
    fits = opposed & ((ahead & back) | (gap < _SIDE_BY_SIDE_PX)) & (gap < longest)
    fits &= (owner[one] != owner[two]) & (sign[one] == sign[two])
    order = np.argsort(gap[fits], kind='stable')
    return pairs[fits][order], gap[fits][order]


def _between(z: Map, start_px: FloatArray, end_px: FloatArray) -> float:
    """Mean line evidence on the straight way between two points."""
    share = np.linspace(0, 1, max(2, round(float(np.hypot(*(end_px - start_px))))))[:, None]
    way = np.rint(start_px * (1 - share) + end_px * share).astype(int)
    return float(z[way[:, 1], way[:, 0]].mean())


def _ribbon(members: list[Segment], joins: list[Bridge], evidence: LineEvidence, smooth: Map) -> Piece:
    """Pixels of a line: its path, bridges included, as wide as the line's mean profile is at half height."""
    points = np.concatenate([m.points_px for m in members])
    width_px = min(profile_width(smooth, points, evidence.angle, members[0].sign), THIN_PATCH_PX)
    low = np.floor(points.min(axis=0)).astype(int) - _MARGIN_PX
    size = np.ceil(points.max(axis=0)).astype(int) + _MARGIN_PX + 1 - low
    mask = np.zeros((size[1], size[0]), np.uint8)
    path = points.astype(int) - low
    mask[path[:, 1], path[:, 0]] = 1
    for join in joins:
        start, end = (tuple(int(v) for v in np.rint(p - low)) for p in (join.start_px, join.end_px))
        cv2.line(mask, start, end, 1, 1)
    mask = cv2.morphologyEx(mask, cv2.MORPH_CLOSE, disc(3))
    mask = grown(mask, max(1, round(width_px / 2)))
    height, width = smooth.shape
    cut = np.maximum(low, 0)
    mask = mask[cut[1] - low[1] :, cut[0] - low[0] :][: height - cut[1], : width - cut[0]]
    gaps = sum(float(np.hypot(*(j.end_px - j.start_px))) for j in joins)
    length_px = sum(m.length_px for m in members) + gaps
    signal = sum(float((m.z**2).sum()) for m in members) * LINE_SIGNAL_RATIO
    path_px = points.astype(np.intp)
    return Piece(np.ascontiguousarray(mask), int(cut[0]), int(cut[1]), True, length_px, signal, path_px)


def profile_width(smooth: Map, points: PointsPx, angle: np.ndarray, sign: int) -> float:
    """Full width at half height of the mean cut across a path, px."""
    x, y = points[:, 0], points[:, 1]
    turn = angle[y.astype(int), x.astype(int)][:, None] * (math.pi / LINE_ANGLES)
    offset = np.arange(-LINE_PROFILE_PX, LINE_PROFILE_PX + 1)
    at_x = (x[:, None] - np.sin(turn) * offset).astype(np.float32)
    at_y = (y[:, None] + np.cos(turn) * offset).astype(np.float32)
    cut = cv2.remap(smooth, at_x, at_y, cv2.INTER_LINEAR, borderMode=cv2.BORDER_REPLICATE).mean(axis=0) * sign
    cut = cut - np.median(np.concatenate([cut[:4], cut[-4:]]))
    middle = LINE_PROFILE_PX - 3 + int(np.argmax(cut[LINE_PROFILE_PX - 3 : LINE_PROFILE_PX + 4]))
    above = cut > cut[middle] / 2
    left = int(np.argmin(above[middle::-1])) or middle + 1
    right = int(np.argmin(above[middle:])) or len(cut) - middle
    return float(left + right - 1)

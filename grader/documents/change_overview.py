"""The piece as the main photo of a side shows it, with a number at each change or at its place."""

from collections.abc import Callable
from dataclasses import replace

import numpy as np

from calib.arrays import FloatArray, RgbImage
from grader.compare.sides import Side
from grader.comparison import ChangeFacts
from grader.comparison_words import SIDE_WORDS, SIDES
from grader.documents.blocks import Figure
from grader.documents.change_pictures import turn_between, view_in
from grader.documents.compared import ComparedPiece, possible_changes, told_changes
from grader.documents.constants import CLOSE_UP_LEAST_RATIO, OVERVIEW_RATIO, TURN_LEAST_RAD
from grader.documents.pictures import picture_of, window, with_scale_strip
from grader.marks.mark import Mark, MarkKind
from grader.report.canvas import Canvas
from grader.report.constants import MARGIN_U, UNITS_PER_PIECE
from grader.report.glass_lines import draw_mark_lines, draw_silhouette
from grader.report.labels import draw_labels, ring_margin_u
from grader.report.picture_frame import cut_picture, frame_piece
from grader.report.shown import ShownMark


def overview(compared: ComparedPiece, side: Side) -> tuple[Figure, ...]:
    """Return the figure of a side; none where the comparison does not hold the piece's outline."""
    main = compared.side(side).photos[0]
    rgb, facts = compared.photo(side, main.photo.name)
    if facts.outline_px is None:
        return ()
    contour_px = np.array(facts.outline_px, dtype=np.float64)
    centre_px = (contour_px.min(axis=0) + contour_px.max(axis=0)) / 2
    shown = _shown(compared, side, main.photo.name)
    margin_u = ring_margin_u(len(shown)) + MARGIN_U
    turn_rad = _turn_to_later(compared, side)
    if abs(turn_rad) >= TURN_LEAST_RAD:
        reach_px = float(np.hypot(*(contour_px - centre_px).T).max()) * (1 + 2 * margin_u / UNITS_PER_PIECE)
        rgb, turned = _turned(rgb, centre_px, turn_rad, reach_px)
        contour_px = turned(contour_px)
        shown = tuple(_moved(one, turned(one.mark.outline_px)) for one in shown)
    frame = frame_piece(contour_px, margin_u)
    canvas = Canvas(cut_picture(rgb, frame))
    draw_silhouette(canvas, contour_px, frame)
    lines = draw_mark_lines(canvas, shown, frame)
    canvas.texts(draw_labels(canvas, shown, lines, (), (), frame))
    mm_per_px = None if facts.mm_per_px is None else facts.mm_per_px / frame.scale
    drawn = with_scale_strip(canvas.rgb, mm_per_px, 1 / (facts.width_px * frame.scale))
    words = f"The piece in the {SIDE_WORDS[side]} photo {main.photo.name}, with the numbers of the changes"
    return (Figure(picture_of(drawn, words), _caption(side, main.photo.name, turn_rad), OVERVIEW_RATIO),)


def _caption(side: Side, photo: str, turn_rad: float) -> str:
    turned = abs(turn_rad) >= TURN_LEAST_RAD
    by = f" It is turned by {abs(round(np.degrees(turn_rad)))} degrees, like the later one." if turned else ""
    return (
        f"{SIDE_WORDS[side].capitalize()}: photo {photo}.{by} The numbers are those of the table of changes. Dashed: "
        "not seen in this photo, or less likely than not."
    )


def _turn_to_later(compared: ComparedPiece, side: Side) -> float:
    if side == 'after':
        return 0.0
    before, after = (compared.side(one).photos[0].photo.name for one in SIDES)
    return turn_between(compared.comparison.same_piece.matches, before, after)


def _shown(compared: ComparedPiece, side: Side, photo: str) -> tuple[ShownMark, ...]:
    """Changes in one photo; a place where the mark is not seen gets a dashed circle."""
    shown = []
    _, facts = compared.photo(side, photo)
    for change in (*told_changes(compared.comparison), *possible_changes(compared.comparison)):
        view = view_in(change, side, photo)
        if view is None:
            continue
        is_seen = len(view.outline_px) > 0
        reach_px = CLOSE_UP_LEAST_RATIO * facts.width_px / 4
        turn = 2 * np.pi * np.arange(24) / 24
        circle = view.centre_px + reach_px * np.column_stack([np.cos(turn), np.sin(turn)])
        outline_px = view.outline_px if is_seen else circle
        shown.append(_shown_mark(change, outline_px, change.confidence if is_seen else 0.0))
    return tuple(shown)


def _shown_mark(change: ChangeFacts, outline_px: FloatArray, confidence: float) -> ShownMark:
    x_px, y_px = outline_px.mean(axis=0)
    mark = Mark(
        kind=MarkKind(change.kind),
        confidence=confidence,
        kind_odds=(),
        outline_px=outline_px,
        centre_px=(float(x_px), float(y_px)),
        length_px=change.length_px,
        width_px=change.width_px,
        diameter_px=change.diameter_px,
        length_mm=None,
        width_mm=None,
        diameter_mm=None,
        area_mm2=None,
        clock_h=None,
        zone=change.zone,
        facing=None,
    )
    return ShownMark(change.number, mark, 0.0)


def _moved(one: ShownMark, outline_px: FloatArray) -> ShownMark:
    x_px, y_px = outline_px.mean(axis=0)
    mark = replace(one.mark, outline_px=outline_px, centre_px=(float(x_px), float(y_px)))
    return replace(one, mark=mark)


def _turned(
    rgb: RgbImage, centre_px: FloatArray, turn_rad: float, reach_px: float
) -> tuple[RgbImage, Callable[[FloatArray], FloatArray]]:
    """Part of a photo round a point, turned about it, and where points (N, 2) of the photo come to lie in it."""
    side_px = 2 * int(np.ceil(reach_px)) + 1
    c, s = np.cos(turn_rad), np.sin(turn_rad)
    linear = np.array([[c, -s], [s, c]])

    def turned(points_px: FloatArray) -> FloatArray:
        return np.asarray((points_px - centre_px) @ linear.T + (side_px - 1) / 2)

    return window(rgb, linear, centre_px, side_px), turned

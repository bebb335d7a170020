"""The annotated picture of a photo: marks numbered, outline, widths, what could not be seen, and the list of it all.

The glass stays visible: lines are thin and run round the marks, tags and words stand outside the piece.
"""

from collections.abc import Sequence

import numpy as np

from calib.arrays import RgbImage
from grader.grade.grade import Grade
from grader.marks.mark import Mark
from grader.marks.unseen import UnseenArea
from grader.outline.dome_view import DomeView, NoCard
from grader.report.canvas import Canvas, Text, text_width
from grader.report.constants import (
    FAINT_INK,
    LEGEND_PAD_U,
    LINE_GAP,
    MARGIN_U,
    PAPER,
    RULE_INK,
    SMALL_SIZE_U,
    TEXT_SIZE_U,
    TITLE_SIZE_U,
)
from grader.report.glass_lines import (
    draw_clock,
    draw_mark_lines,
    draw_silhouette,
    draw_unseen,
    draw_width_arrows,
    noon_direction,
)
from grader.report.labels import draw_labels, place_in_corners, ring_margin_u
from grader.report.legend import draw_legend, lay_out_legend
from grader.report.legend_rows import legend_rows
from grader.report.picture_frame import PictureFrame, cut_picture, frame_piece
from grader.report.scale_bar import draw_scale_bar
from grader.report.shown import NOTHING_SAID, ShownMark, ShownUnseen, Spoken, shown_marks, shown_unseen
from grader.report.wording import LARGEST_WIDTH, SMALLEST_WIDTH, score_line, shortened, width_lines
from grader.size.diameter import Diameters


def draw_overlay(
    view: DomeView,
    marks: Sequence[Mark],
    unseen: Sequence[UnseenArea],
    diameters: Diameters,
    grade: Grade,
    numbers: Sequence[int] | None = None,
    *,
    photo_line: str = '',
    close_up_of: str = '',
    spoken: Spoken = NOTHING_SAID,
) -> RgbImage:
    """Return the annotated picture of a photo, (H, W, 3) uint8.

    Parameters
    ----------
    view : DomeView
        The photo, its card and the silhouette.
    marks : sequence of Mark
        Marks in the order of the record. The doubtful ones are left out.
    unseen : sequence of UnseenArea
        Parts that could not be seen.
    diameters : Diameters
        Widths and their ends.
    grade : Grade
        The grade, with the cost of each mark of the record.
    numbers : sequence of int or None
        Number of each of `marks` in the record, from 1; None where they are all marks of the record.
    photo_line : str
        What the photo can show, in one line; '' for none.
    close_up_of : str
        Name of the photo of the whole that a close-up was laid over; '' for any other photo.
    spoken : Spoken
        What a person said of the marks; those that she rejects are crossed out.
    """
    if numbers is None:
        if len(marks) != len(grade.mark_costs):
            raise ValueError(f'{len(marks)} marks, but the grade has costs of {len(grade.mark_costs)}')
        numbers = range(1, len(marks) + 1)
    shown, groups = shown_marks(marks, grade, numbers, spoken), shown_unseen(unseen)
    frame = frame_piece(view.outline.contour_px, ring_margin_u(len(shown) + len(groups)) + MARGIN_U)
    picture = draw_picture(view, shown, groups, diameters, frame)
    rows = legend_rows(
        shown,
        groups,
        diameters.max_px,
        has_card=not isinstance(view.card, NoCard),
        photo_line=photo_line,
        close_up_of=close_up_of,
    )
    legend = lay_out_legend(rows, frame.shown_px / frame.unit)
    unit = frame.unit
    title_px = round(_title_height_u(grade) * unit)
    high = title_px + max(frame.shown_px, round(legend.height_u * unit))
    sheet = np.empty((high, frame.shown_px + round(legend.width_u * unit), 3), dtype=np.uint8)
    sheet[:] = PAPER
    sheet[title_px : title_px + frame.shown_px, : frame.shown_px] = picture
    canvas = Canvas(sheet)
    texts = _title_texts(grade, view.photo.name, sheet.shape[1], unit)
    canvas.line([[0, title_px], [sheet.shape[1], title_px]], RULE_INK, 1.5 * unit)
    texts += draw_legend(canvas, legend, (float(frame.shown_px), float(title_px)), unit)
    canvas.texts(texts)
    return canvas.rgb


def draw_picture(
    view: DomeView,
    shown: Sequence[ShownMark],
    groups: Sequence[ShownUnseen],
    diameters: Diameters,
    frame: PictureFrame,
) -> RgbImage:
    """Return the part of the photo round the piece with all lines and tags, (S, S, 3) uint8."""
    canvas = Canvas(cut_picture(view.photo.rgb, frame))
    draw_unseen(canvas, groups, frame)
    draw_silhouette(canvas, view.outline.contour_px, frame)
    texts = draw_clock(canvas, noon_direction(view), frame)
    widths = (
        (width_lines(LARGEST_WIDTH, diameters.max_mm, diameters.max_px), diameters.max_ends_px),
        (width_lines(SMALLEST_WIDTH, diameters.min_mm, diameters.min_px), diameters.min_ends_px),
    )
    tails = [(lines, draw_width_arrows(canvas, ends_px, frame)) for lines, ends_px in widths]
    lines = draw_mark_lines(canvas, shown, frame)
    texts += draw_labels(canvas, shown, lines, groups, place_in_corners(tails, frame), frame)
    texts += draw_scale_bar(canvas, diameters, frame)
    canvas.texts(texts)
    return canvas.rgb


def _title_height_u(grade: Grade) -> float:
    lines_u = TITLE_SIZE_U + TEXT_SIZE_U * (2 if grade.borderline else 1)
    return lines_u * LINE_GAP + 1.4 * LEGEND_PAD_U


def _title_texts(grade: Grade, photo_name: str, sheet_px: int, unit: float) -> list[Text]:
    left, top = LEGEND_PAD_U * unit, 0.7 * LEGEND_PAD_U * unit
    texts = []
    lines = [(grade.headline, TITLE_SIZE_U), (score_line(grade), TEXT_SIZE_U), (grade.note, TEXT_SIZE_U)]
    for words, size_u in lines:
        if words:
            texts.append(Text((left, top + size_u * LINE_GAP / 2.0 * unit), words, size_u * unit))
            top += size_u * LINE_GAP * unit
    name = shortened(photo_name)
    right = sheet_px - left - text_width(name, SMALL_SIZE_U * unit)
    texts.append(
        Text((right, (0.7 * LEGEND_PAD_U + TITLE_SIZE_U * LINE_GAP / 2.0) * unit), name, SMALL_SIZE_U * unit, FAINT_INK)
    )
    return texts

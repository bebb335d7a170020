"""The bar that shows how long a millimetre, or a share of the piece, is in the picture."""

import numpy as np

from grader.report.canvas import Canvas, Text, text_width
from grader.report.constants import (
    CORNER_PAD_U,
    INK,
    LINE_GAP,
    PAPER,
    SCALE_BAR_RATIO,
    SCALE_BARS_MM,
    TEXT_SIZE_U,
)
from grader.report.labels import CornerBox
from grader.report.picture_frame import PictureFrame
from grader.report.wording import scale_bar_words
from grader.size.diameter import Diameters


def draw_scale_bar(canvas: Canvas, diameters: Diameters, frame: PictureFrame) -> list[Text]:
    """Draw a scale bar in the bottom-left corner; return its words.

    The bar holds at the piece's widest ring: the largest width in mm spans the distance of its ends in the picture.
    """
    unit = frame.unit
    long, words = bar_length(diameters, frame)
    pad, size = CORNER_PAD_U * unit, TEXT_SIZE_U * unit
    high = LINE_GAP * size + 3.0 * pad
    wide = max(long, text_width(words, size))
    box = CornerBox(0.0, frame.shown_px - high, wide + 4.0 * pad, float(frame.shown_px))
    canvas.wash((box.x0, box.y0, box.x1, box.y1), PAPER, 0.8)
    x0, y = 2.0 * pad, frame.shown_px - 1.2 * pad
    start = x0 + (wide - long) / 2.0
    bar = [[start, y - 0.6 * pad], [start, y], [start + long, y], [start + long, y - 0.6 * pad]]
    canvas.line(bar, INK, 2.4 * unit)
    return [Text((x0 + wide / 2.0, y - 0.8 * pad - size / 2.0), words, size, INK, 'mm')]


def bar_length(diameters: Diameters, frame: PictureFrame) -> tuple[float, str]:
    """Return the bar's length in the picture and what it stands for."""
    width = float(np.hypot(*np.diff(frame.to_picture(diameters.max_ends_px), axis=0)[0]))
    if diameters.max_mm is None:
        return 0.1 * width, scale_bar_words(None, 0.1)
    most_mm = SCALE_BAR_RATIO * diameters.max_mm.value
    length_mm = max((one for one in SCALE_BARS_MM if one <= most_mm), default=SCALE_BARS_MM[0])
    return width * length_mm / diameters.max_mm.value, scale_bar_words(length_mm, 0.0)

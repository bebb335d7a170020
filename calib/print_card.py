"""A card as a page to print: vector shapes at true size, the same bytes every time."""

from pathlib import Path

import cv2
import numpy as np
import numpy.typing as npt
from reportlab.pdfgen.canvas import Canvas

from calib.card import CardSpec
from calib.constants import PAPER_SIZES_MM, RULER_MM
from calib.linear_light import encode_srgb

_PT_PER_MM = 72 / 25.4
_CUT_MARK_MM = (1.5, 6.0)  # from, to: outside the card's corner
_TOP_MM = 12.0  # clears what common printers cannot reach, and the cut marks
_LINE_MM = 4.6
_LABEL_PT, _TITLE_PT = 9.0, 12.0

_INSTRUCTIONS = (
    'Print at 100 % ("actual size"), never "fit to page". Then measure this ruler: 0 to 100 must be 100 mm.',
    "If it is not, note its length: the program takes it instead and corrects all sizes by it.",
    "Cut along the corner marks and glue the card flat to a board: a bent card gives wrong sizes.",
)
_USE = {
    'frame': (
        "Stand the piece in the middle of the empty field. Hold the camera 30 cm to 50 cm above it, looking straight",
        "down, with the whole card in the picture, in focus, and no lamp mirrored in the card's border.",
    ),
    'pocket': (
        "Lay the card flat beside the piece, a finger's width away. Hold the camera 30 cm to 50 cm above both,",
        "looking straight down, with the whole card in the picture and in focus.",
    ),
}


def write_card_pdf(spec: CardSpec, paper: str, path: Path) -> None:
    """Write a card as a one-page PDF with cut marks, a check ruler and instructions.

    Parameters
    ----------
    spec : CardSpec
    paper : {'a4', 'letter'}
    path : Path
        Overwritten.
    """
    if paper not in PAPER_SIZES_MM:
        raise ValueError(f'paper must be one of {tuple(PAPER_SIZES_MM)}, got {paper!r}')
    page_mm = PAPER_SIZES_MM[paper]
    canvas = Canvas(str(path), pagesize=tuple(side * _PT_PER_MM for side in page_mm), invariant=1)
    canvas.setTitle(f"{spec.title}, {paper.upper()}")
    canvas.setViewerPreference('PrintScaling', 'None')
    canvas.scale(_PT_PER_MM, _PT_PER_MM)
    centre_mm = card_centre_on_page_mm(spec, paper)
    canvas.saveState()
    canvas.translate(*centre_mm)
    _draw_card(canvas, spec)
    canvas.restoreState()
    _draw_below(canvas, spec, centre_mm[1] - spec.outer_size_mm[1] / 2)
    canvas.showPage()
    canvas.save()


def card_centre_on_page_mm(spec: CardSpec, paper: str) -> tuple[float, float]:
    """Where the card's centre is printed, mm from the page's left and bottom edge."""
    width, height = PAPER_SIZES_MM[paper]
    return width / 2, height - _TOP_MM - spec.outer_size_mm[1] / 2


def marker_cells(marker_id: int, dictionary: str) -> npt.NDArray[np.bool_]:
    """Which cells of a marker are black, (7, 7) for a 5 x 5 code, first row on top."""
    code = cv2.aruco.getPredefinedDictionary(getattr(cv2.aruco, dictionary))
    cells = code.markerSize + 2
    return np.asarray(code.generateImageMarker(marker_id, cells)) < 128


def _draw_card(canvas: Canvas, spec: CardSpec) -> None:
    """Markers, grey patches and cut marks, origin at the card's centre, mm."""
    for marker in spec.markers:
        cells = marker_cells(marker.id, spec.marker_dictionary)
        _draw_marker(canvas, marker.centre_mm, spec.marker_size_mm, cells)
    for patch in spec.grey_patches:
        canvas.setFillGray(float(encode_srgb(np.array(patch.reflectance_ratio))))
        half = patch.size_mm / 2
        x, y = patch.centre_mm
        canvas.rect(x - half, y - half, patch.size_mm, patch.size_mm, stroke=0, fill=1)
    _draw_cut_marks(canvas, spec)


def _draw_marker(canvas: Canvas, centre_mm: tuple[float, float], side_mm: float, black: npt.NDArray[np.bool_]) -> None:
    """One marker as a single path of its black runs, so that viewers show no seams."""
    cell = side_mm / len(black)
    left, top = centre_mm[0] - side_mm / 2, centre_mm[1] + side_mm / 2
    path = canvas.beginPath()
    for row, cells in enumerate(black):
        edges = np.flatnonzero(np.diff(np.concatenate([[0], cells.astype(np.int8), [0]])))
        for start, end in edges.reshape(-1, 2).tolist():
            path.rect(left + start * cell, top - (row + 1) * cell, (end - start) * cell, cell)
    canvas.setFillGray(0)
    canvas.drawPath(path, stroke=0, fill=1)


def _draw_cut_marks(canvas: Canvas, spec: CardSpec) -> None:
    """Lines that point at the card's edges from outside its corners."""
    half_x, half_y = spec.outer_size_mm[0] / 2, spec.outer_size_mm[1] / 2
    near, far = _CUT_MARK_MM
    canvas.setLineWidth(0.15)
    canvas.setStrokeGray(0)
    for x in (-half_x, half_x):
        for y in (-half_y, half_y):
            out_x, out_y = np.sign(x), np.sign(y)
            canvas.line(x + near * out_x, y, x + far * out_x, y)
            canvas.line(x, y + near * out_y, x, y + far * out_y)


def _draw_below(canvas: Canvas, spec: CardSpec, card_bottom_mm: float) -> None:
    """Title, ruler and instructions under the card."""
    left = 22.0
    y = card_bottom_mm - 13
    canvas.setFillGray(0)
    _text(canvas, left, y, spec.title, 'Helvetica-Bold', _TITLE_PT)
    size = f"{spec.outer_size_mm[0]:g} mm x {spec.outer_size_mm[1]:g} mm when cut"
    _text(canvas, left + 30, y, size, 'Helvetica', _LABEL_PT)
    _draw_ruler(canvas, left, y - 11)
    y -= 23
    for line in (*_INSTRUCTIONS, *_USE[spec.name]):
        _text(canvas, left, y, line, 'Helvetica', _LABEL_PT)
        y -= _LINE_MM


def _draw_ruler(canvas: Canvas, left_mm: float, y_mm: float) -> None:
    """A 100 mm ruler: a tick each millimetre, longer at 5 and 10, numbers at 10."""
    canvas.setStrokeGray(0)
    canvas.setLineWidth(0.1)
    canvas.line(left_mm, y_mm, left_mm + RULER_MM, y_mm)
    for tick in range(round(RULER_MM) + 1):
        length = 5.0 if tick % 10 == 0 else 3.5 if tick % 5 == 0 else 2.0
        canvas.line(left_mm + tick, y_mm, left_mm + tick, y_mm + length)
        if tick % 10 == 0:
            _text(canvas, left_mm + tick - 0.8 * len(str(tick)), y_mm - 3.4, str(tick), 'Helvetica', 8.0)
    _text(canvas, left_mm + RULER_MM + 3, y_mm, "mm", 'Helvetica', _LABEL_PT)


def _text(canvas: Canvas, x_mm: float, y_mm: float, words: str, font: str, size_pt: float) -> None:
    canvas.setFont(font, size_pt / _PT_PER_MM)
    canvas.drawString(x_mm, y_mm, words)

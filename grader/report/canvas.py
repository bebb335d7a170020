"""A picture that is drawn on: lines with halos, dashes, hatching, shapes and text, all at parts of a pixel."""

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import cv2
import numpy as np
import numpy.typing as npt
from PIL import Image, ImageDraw, ImageFont

from calib.arrays import Mask, RgbImage
from grader.report.constants import INK, PAPER

Colour = tuple[int, int, int]
Points = npt.ArrayLike

_SHIFT = 4
_SUB = 1 << _SHIFT


@dataclass(frozen=True, slots=True)
class Text:
    """Words at a place."""

    at: tuple[float, float]
    """The anchor, (x, y) in the picture."""
    words: str
    size: float
    """Height of the type, px."""
    colour: Colour = INK
    anchor: str = 'lm'
    """Which point of the words lies there, as Pillow names it: 'lm' is left and middle."""
    halo_px: int = 0
    """Width of a paper-coloured rim round the letters."""


class Canvas:
    """An RGB picture under work. Points are (x, y) from the centre of the top-left pixel."""

    def __init__(self, rgb: RgbImage) -> None:
        self._rgb = np.ascontiguousarray(rgb).copy()

    @property
    def rgb(self) -> RgbImage:
        """The picture so far, (H, W, 3) uint8; a copy."""
        return self._rgb.copy()

    def line(self, points: Points, colour: Colour, width: float, *, closed: bool = False) -> None:
        """Draw a line through points (N, 2)."""
        cv2.polylines(self._rgb, [_fixed(points)], closed, colour, max(round(width), 1), cv2.LINE_AA, _SHIFT)

    def halo_line(
        self,
        points: Points,
        colour: Colour,
        width: float,
        halo_width: float,
        *,
        halo: Colour = INK,
        closed: bool = False,
    ) -> None:
        """Draw a line over a wider one, so that it shows on light and dark ground alike."""
        self.line(points, halo, halo_width, closed=closed)
        self.line(points, colour, width, closed=closed)

    def dashed_line(
        self, points: Points, colour: Colour, width: float, halo_width: float, dash: float, gap: float, *,
        halo: Colour = INK, closed: bool = False,
    ) -> None:  # fmt: skip
        """Draw a line over a halo in dashes."""
        pieces = dashes(points, dash, gap, closed=closed)
        for piece in pieces:
            self.line(piece, halo, halo_width)
        for piece in pieces:
            self.line(piece, colour, width)

    def shape(self, points: Points, fill: Colour, edge: Colour, width: float) -> None:
        """Fill a convex shape (N, 2) and draw its edge."""
        fixed = _fixed(points)
        cv2.fillConvexPoly(self._rgb, fixed, fill, cv2.LINE_AA, _SHIFT)
        cv2.polylines(self._rgb, [fixed], True, edge, max(round(width), 1), cv2.LINE_AA, _SHIFT)

    def hatch(self, mask: Mask, step: float, width: float, ratio: float) -> None:
        """Hatch where `mask`, (H, W), holds: slanting lines, each light and dark side by side, mixed in by `ratio`."""
        rows, columns = np.nonzero(mask)
        slant = np.mod(rows + columns, step * np.sqrt(2.0)) / np.sqrt(2.0)
        for low, colour in ((0.0, PAPER), (width, INK)):
            hit = (slant >= low) & (slant < low + width)
            mixed = (1.0 - ratio) * self._rgb[rows[hit], columns[hit]] + ratio * np.array(colour)
            self._rgb[rows[hit], columns[hit]] = np.round(mixed).astype(np.uint8)

    def wash(self, box: tuple[float, float, float, float], colour: Colour, ratio: float) -> None:
        """Mix a colour into a box (x0, y0, x1, y1)."""
        x0, y0, x1, y1 = (max(round(v), 0) for v in box)
        area = self._rgb[y0:y1, x0:x1]
        self._rgb[y0:y1, x0:x1] = np.round((1.0 - ratio) * area + ratio * np.array(colour)).astype(np.uint8)

    def paste(self, picture: RgbImage, corner: tuple[int, int]) -> None:
        """Put a picture (h, w, 3) with its top-left pixel at a corner (x, y); what lies outside is cut off."""
        x, y = corner
        room = self._rgb[max(y, 0) : y + picture.shape[0], max(x, 0) : x + picture.shape[1]]
        room[:] = picture[max(-y, 0) :, max(-x, 0) :][: room.shape[0], : room.shape[1]]

    def texts(self, texts: Sequence[Text]) -> None:
        """Write texts."""
        image = Image.fromarray(self._rgb)
        draw = ImageDraw.Draw(image)
        for text in texts:
            draw.text(
                text.at, text.words, fill=text.colour, font=font(text.size), anchor=text.anchor,
                stroke_width=text.halo_px, stroke_fill=PAPER,
            )  # fmt: skip
        self._rgb = np.array(image)


@cache
def _font(size_px: int) -> ImageFont.FreeTypeFont:
    # Pillow carries this font, so the picture needs none of the system's.
    found = ImageFont.load_default(size_px)
    if not isinstance(found, ImageFont.FreeTypeFont):
        raise RuntimeError('this Pillow was built without FreeType, which the annotated picture needs')
    return found


def font(size: float) -> ImageFont.FreeTypeFont:
    """Return the font at a size in px."""
    return _font(max(round(size), 6))


def text_width(words: str, size: float) -> float:
    """Return the width of words in px."""
    return float(font(size).getlength(words))


def wrapped(words: str, size: float, width: float) -> list[str]:
    """Return the words in lines no wider than `width` px, where single words allow; numbers stay with their units."""
    lines: list[str] = []
    for word in words.replace(' %', '\u00a0%').replace(' mm', '\u00a0mm').split(' '):
        if lines and text_width(f'{lines[-1]} {word}'.replace('\u00a0', ' '), size) <= width:
            lines[-1] += f' {word}'
        else:
            lines.append(word)
    return [line.replace('\u00a0', ' ') for line in lines if line]


def dashes(points: Points, dash: float, gap: float, *, closed: bool = False) -> list[npt.NDArray[np.float64]]:
    """Return a line (N, 2) cut into dashes, each (M, 2)."""
    line = np.asarray(points, dtype=np.float64).reshape(-1, 2)
    if closed:
        line = np.vstack([line, line[:1]])
    along = np.concatenate([[0.0], np.cumsum(np.hypot(*np.diff(line, axis=0).T))])
    pieces = []
    for start in np.arange(0.0, along[-1], dash + gap):
        end = min(start + dash, along[-1])
        inner = along[(along > start) & (along < end)]
        at = np.concatenate([[start], inner, [end]])
        pieces.append(np.column_stack([np.interp(at, along, line[:, 0]), np.interp(at, along, line[:, 1])]))
    return pieces


def _fixed(points: Points) -> npt.NDArray[np.int32]:
    """Points (N, 2) as OpenCV draws them at parts of a pixel, (N, 1, 2)."""
    return np.round(np.asarray(points, dtype=np.float64) * _SUB).astype(np.int32).reshape(-1, 1, 2)

"""Pages of a report, looked at by another program: text, boxes, fonts; and an examined piece made by hand."""

import hashlib
from io import BytesIO

import numpy as np
import pymupdf
import pytest
from PIL import Image

from grader.documents.examined import ExaminedPiece
from grader.photos.load import Photo
from grader.record import GradingRecord, MarkFacts
from tests.support.sample_record import SCRATCH, sample_record

SIDES_PT = {'a4': (595.28, 841.89), 'letter': (612.0, 792.0)}


def photo_array(width: int = 320, height: int = 320) -> np.ndarray:
    """A grey disc on a light ground, with a slope of light across so that no two places are alike."""
    y, x = np.mgrid[:height, :width]
    disc = np.hypot(x - width / 2, y - height / 2) < 0.38 * min(width, height)
    grey = np.where(disc, 90, 200) + (x * 20 // width)
    return np.stack([grey, grey + 10, grey - 10], axis=-1).astype(np.uint8)


def png_bytes(rgb: np.ndarray) -> bytes:
    data = BytesIO()
    Image.fromarray(rgb).save(data, 'PNG')
    return data.getvalue()


def loaded(name: str, data: bytes) -> Photo:
    rgb = np.array(Image.open(BytesIO(data)))
    return Photo(
        rgb=rgb, sha256=hashlib.sha256(data).hexdigest(), name=name, f35_mm=None, taken_at='', camera='',
        file_format='PNG', bit_depth=8, n_bytes=len(data), flags=(),
    )  # fmt: skip


def many_marks(n: int, width: int = 320, height: int = 320) -> tuple[MarkFacts, ...]:
    """Marks all over the disc, of all kinds in turn."""
    kinds = ('scratch', 'chip', 'bubble', 'bruise', 'dust')
    marks = []
    for k in range(n):
        reach, turn = 0.32 * min(width, height) * ((k % 5) + 1) / 5, 2.4 * k
        x, y = width / 2 + reach * np.cos(turn), height / 2 + reach * np.sin(turn)
        outline = tuple((float(x + dx), float(y + dy)) for dx, dy in ((-6, -2), (6, -2), (6, 2), (-6, 2)))
        changes = {'number': k + 1, 'kind': kinds[k % 5], 'outline_px': outline, 'centre_px': (float(x), float(y)),
                   'length_px': 12.0, 'clock_h': 1.0}  # fmt: skip
        marks.append(SCRATCH.model_copy(update=changes))
    return tuple(marks)


def examined_piece(
    n_marks: int = 3, size: tuple[int, int] = (320, 320), name: str = 'a.jpg', **changes: object
) -> ExaminedPiece:
    data = png_bytes(photo_array(*size))
    photo = loaded(name, data)
    width, height = size
    turn = np.linspace(0, 2 * np.pi, 60, endpoint=False)
    reach = 0.38 * min(size)
    outline = tuple((float(width / 2 + reach * np.cos(a)), float(height / 2 + reach * np.sin(a))) for a in turn)
    facts = sample_record().photos[0].model_copy(
        update={'name': name, 'sha256': photo.sha256, 'n_bytes': len(data), 'width_px': width, 'height_px': height}
    )  # fmt: skip
    record: GradingRecord = sample_record(
        **{'photo': name, 'marks': many_marks(n_marks, *size), 'outline_px': outline, 'photos': (facts,), **changes}
    )
    return ExaminedPiece(record, hashlib.sha256(record.to_json().encode()).hexdigest(), (photo,))


def pages_of(pdf: bytes) -> pymupdf.Document:
    return pymupdf.open(stream=pdf, filetype='pdf')


def all_text(pdf: bytes) -> str:
    """Text of all pages, with each run of blanks as one."""
    return ' '.join(' '.join(page.get_text() for page in pages_of(pdf)).split())


def check_pages(pdf: bytes, paper: str) -> None:
    """Check what holds for each report: paper, numbered pages, all inside, nothing over another, fonts embedded."""
    document = pages_of(pdf)
    for k, page in enumerate(document):
        assert (page.rect.width, page.rect.height) == pytest.approx(SIDES_PT[paper], abs=0.05)
        text = page.get_text()
        assert f'page {k + 1} of {len(document)}' in text
        assert 'SHA-256' in text
        lines = [
            (pymupdf.Rect(line['bbox']), ''.join(span['text'] for span in line['spans']))
            for block in page.get_text('dict')['blocks']
            for line in block.get('lines', ())
        ]
        lines = [(box, words) for box, words in lines if words.strip()]
        margins = grown(page.rect, -50, -15)
        for box, words in lines:
            assert box in margins, (k + 1, words, box)
        pictures = [pymupdf.Rect(info['bbox']) for info in page.get_image_info()]
        for picture in pictures:
            assert picture in grown(page.rect, -50, -50), (k + 1, picture)
        _check_apart(lines, pictures, k + 1)
        for font in page.get_fonts(full=True):
            assert document.extract_font(font[0])[3], font


def grown(box: pymupdf.Rect, sides: float, ends: float) -> pymupdf.Rect:
    """A box with so much more room on each side."""
    return pymupdf.Rect(box.x0 - sides, box.y0 - ends, box.x1 + sides, box.y1 + ends)


def _check_apart(lines, pictures, page: int) -> None:
    shrunk = [(grown(box, -0.5, -0.3 * box.height), words) for box, words in lines]
    for i, (box, words) in enumerate(shrunk):
        for other, more in shrunk[i + 1 :]:
            assert not box.intersects(other), (page, words, more)
        for picture in pictures:
            assert not box.intersects(picture), (page, words, picture)
    for i, picture in enumerate(pictures):
        for other in pictures[i + 1 :]:
            assert not grown(picture, -0.5, -0.5).intersects(other), (page, picture, other)

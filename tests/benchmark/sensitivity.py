"""How score and size answer to tilt, distance, turn, light, exposure, white balance, blur, noise, JPEG, size and print.

    python -m fixtures.studio.make_sensitivity --out PHOTOS
    python -m tests.benchmark.sensitivity PHOTOS --out FOLDER [--pieces 7]

PHOTOS holds rendered photos of some pieces with one circumstance of the shot changed at a time. The usual photo of each
is besides changed as cameras and programs do. Each photo is examined by itself; FOLDER keeps the records, so that a run
that was stopped goes on. Prints a table and writes ``sensitivity.md``, ``sensitivity.json`` and two
pictures, ``sensitivity-score.svg`` and ``sensitivity-width.svg``.
"""

import argparse
import os
import tempfile
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

from calib.errors import ActionableError
from grader.pipeline import examine_photos
from grader.progress import SilentProgress
from grader.record import GradingRecord, read_record
from grader.settings import CardSettings, Settings
from tests.benchmark.sensitivity_table import Answer, write_answers
from tests.support.changed_photo import (
    KEPT_QUALITY,
    Change,
    balanced,
    blurred,
    exposed,
    noisy,
    scaled,
    turned,
    unchanged,
    write_changed,
)

RENDERED = {
    'usual': ("rendered with other grain", ('1',)),
    'tilt': ("camera's tilt, degrees (3)", ('0', '8', '14', '20')),
    'distance': ("distance, % of the usual", ('130', '170', '220', '300')),
    'turn': ("piece turned, degrees", ('45', '90', '180')),
    'light': ("light (ring at the lens)", ('low', 'window')),
}


@dataclass(frozen=True, slots=True)
class Made:
    """A photo made from the usual one."""

    circumstance: str
    """What is changed, in words."""
    value: str
    change: Change = unchanged
    quality: int = KEPT_QUALITY
    ruler_mm: float | None = None
    """Stated length of the card's ruler; the true one is 100 mm."""


MADE = (
    *(Made("exposure, times", str(f), exposed(f)) for f in (0.35, 0.6, 1.4, 2.0)),
    *(Made("white balance, red up and blue down, %", str(p), balanced(1 + p / 100, 1 - p / 100)) for p in (-30, -15, 15, 30)),
    *(Made("blur, px", str(b), blurred(b)) for b in (1, 2, 3, 5)),
    *(Made("noise, 8-bit codes", str(n), noisy(n)) for n in (4, 8, 16)),
    *(Made("JPEG quality (95)", str(q), quality=q) for q in (80, 60, 40, 20)),
    *(Made("picture scaled down to, %", str(p), scaled(p / 100)) for p in (75, 50, 35)),
    *(Made("picture turned, degrees", str(90 * k), turned(k)) for k in (1, 2)),
    *(Made("stated length of the 100 mm ruler", str(mm), ruler_mm=mm) for mm in (98.0, 99.0, 101.0, 102.0)),
)  # fmt: skip


def main() -> None:
    """Examine what is not examined yet, then print the table."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('photos', type=Path)
    parser.add_argument('--out', type=Path, required=True)
    parser.add_argument('--pieces', type=int, default=100)
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    pieces = sorted({path.name.split('-')[0] for path in options.photos.glob('p*-usual-0.jpg')})[: options.pieces]
    answers = [answer for piece in pieces for answer in answers_of(piece, options.photos, options.out)]
    print(write_answers(answers, options.out, len(pieces)))


def answers_of(piece: str, photos: Path, out: Path) -> Iterator[Answer]:
    """The record of each photo of a piece beside that of its usual one."""
    usual_photo = photos / f'{piece}-usual-0.jpg'
    usual = record_of(usual_photo, Settings(), out / f'{piece}-usual-0.json')
    if usual is None:
        raise SystemExit(f'{usual_photo} cannot be examined')
    for name, (words, values) in RENDERED.items():
        for value in values:
            stem = f'{piece}-{name}-{value}'
            yield Answer(words, value, usual, record_of(photos / f'{stem}.jpg', Settings(), out / f'{stem}.json'))
    for k, made in enumerate(MADE):
        settings = Settings(card=CardSettings(measured_ruler_mm=made.ruler_mm))
        with tempfile.TemporaryDirectory() as folder:
            path = Path(folder) / f'{piece}.jpg'
            kept = out / f'{piece}-made-{k}.json'
            if not kept.exists():
                write_changed(usual_photo, made.change, path, quality=made.quality)
            yield Answer(made.circumstance, made.value, usual, record_of(path, settings, kept))


def record_of(photo: Path, settings: Settings, kept: Path) -> GradingRecord | None:
    """Record of a photo, kept in a file; None where it cannot be examined, which is kept as an empty file."""
    if not kept.exists():
        try:
            text = examine_photos([photo], settings, now=None, progress=SilentProgress()).record.to_json()
        except ActionableError as err:
            print(f'{kept.stem}: {err}', flush=True)
            text = ''
        kept.write_text(text, encoding='utf-8')
    return read_record(kept) if kept.stat().st_size else None


if __name__ == '__main__':
    main()

"""Smallest marks that photos should show, against what is found of marks of shrinking size.

    python tests/benchmark/shrinking_marks.py PHOTO... [--rendered FOLDER]

Onto each PHOTO (with a frame card, seen from above) scratches and chips of usual contrast are drawn in linear light,
with the photo's own blur, in sizes that are multiples of the smallest size that was computed, and looked for. FOLDER
holds photos made by ``python -m fixtures.studio.make_shrinking``, with their truth beside them. Drawn chips are even
discs, which real chips are not, so for chips the rendered ones count.
"""

import argparse
import json
import os
import sys
from collections.abc import Sequence
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from grader.grade.constants import REPORTED_CONFIDENCE
from grader.opencv_pin import pin_opencv
from grader.outline.dome_view import DomeView
from grader.outline.height import height_knowledge
from grader.outline.surface import DomeSurface, fit_surface
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.quality.advice import smallest_words
from grader.quality.assess import assess_photo
from grader.quality.photo_quality import NoLimits, PhotoQuality
from grader.settings import Settings
from tests.support.shrinking_marks import confidences, drawn_marks

RATIOS = (0.35, 0.5, 0.7, 1.0, 1.4, 2.0, 2.8, 4.0)
N_MARKS = 8


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('photos', nargs='*', type=Path)
    parser.add_argument('--rendered', type=Path)
    options = parser.parse_args()
    pin_opencv()
    table = {kind: np.zeros((len(RATIOS), 3)) for kind in ('scratch', 'chip')}
    for path in options.photos:
        draw_and_find(path, table)
    if options.photos:
        print_table(table)
    rendered = sorted(options.rendered.glob('*.jpg')) if options.rendered else []
    rows = [row for path in rendered for row in find_rendered(path)]
    if rows:
        print_rendered(rows)


def seen(path: Path) -> tuple[DomeView, DomeSurface, PhotoQuality]:
    view = see_photo(load_photo(path, Settings().photos), Settings())
    surface = fit_surface(view.outline, view.card, height_knowledge(None))
    quality = assess_photo(view, surface)
    print(f'{path.name}: smallest {smallest_words(quality.smallest)}', flush=True)
    return view, surface, quality


def draw_and_find(path: Path, table: dict[str, np.ndarray]) -> None:
    """Add marks, found at all and reported, to the table."""
    view, surface, quality = seen(path)
    if isinstance(quality.smallest, NoLimits) or quality.placing.px_per_mm is None:
        return
    for kind, limit_mm in (('scratch', quality.smallest.scratch_mm), ('chip', quality.smallest.chip_mm)):
        if limit_mm is None:
            continue
        for k, ratio in enumerate(RATIOS):
            rng = np.random.default_rng([len(path.name), k])
            drawn, points = drawn_marks(view, quality, kind, ratio * limit_mm, N_MARKS, rng)
            sure = confidences(drawn, surface, points)
            table[kind][k] += (len(sure), np.count_nonzero(sure), np.count_nonzero(sure >= REPORTED_CONFIDENCE))


def print_table(table: dict[str, np.ndarray]) -> None:
    print('\nmarks drawn, by size over the smallest size computed: share found at all / share reported')
    print('size ratio  ' + ''.join(f'{ratio:>12g}' for ratio in RATIOS))
    for kind, counts in table.items():
        cells = [f'{at_all / n:.2f} / {told / n:.2f}' if n else '-' for n, at_all, told in counts]
        print(f'{kind:<12}' + ''.join(f'{cell:>12}' for cell in cells))


def find_rendered(path: Path) -> list[tuple[str, str, float, float, float]]:
    """Photo, kind, size in mm, its ratio to the smallest size computed, and confidence, of each rendered mark."""
    view, surface, quality = seen(path)
    truth = json.loads(path.with_suffix('.json').read_text(encoding='utf-8'))
    marks = [mark for mark in truth['marks'] if mark.get('polyline_px') or mark.get('polygon_px')]
    points = [np.array(mark.get('polyline_px') or mark['polygon_px'], dtype=float) for mark in marks]
    points = [np.vstack([some, some.mean(axis=0)]) for some in points]
    smallest, rows = quality.smallest, []
    for mark, sure in zip(marks, confidences(view, surface, points), strict=True):
        size_mm = mark.get('width_mm') or mark['diameter_mm']
        limit_mm = None if isinstance(smallest, NoLimits) else (
            smallest.scratch_mm if mark['kind'] == 'scratch' else smallest.chip_mm
        )  # fmt: skip
        rows.append((path.stem, mark['kind'], size_mm, size_mm / limit_mm if limit_mm else float('nan'), float(sure)))
    return rows


def print_rendered(rows: Sequence[tuple[str, str, float, float, float]]) -> None:
    print('\nrendered marks: photo, kind, size in mm, size over the smallest size computed, confidence (0: not found)')
    for name, kind, size_mm, ratio, sure in sorted(rows, key=lambda row: (row[0], row[1], row[2])):
        print(f'{name:<22}{kind:<9}{size_mm:7.3f}{ratio:7.2f}{sure:7.2f}')


if __name__ == '__main__':
    main()

"""How well marks are found on real photographs of scratched glass, through the command ``grader marks``.

    python tests/benchmark/real_glass.py FOLDER [--light reflected|transmitted|both] [--half first|second] [--recipe]

FOLDER holds a folder of photos for each light and labels.json, a list of {photo, kind, polygon_px}. Numbers in
close_up_constants.py were chosen on the first half of the photos by name; the second half checks them. --recipe scores a
plain recipe in place of the command. Ends with exit code 1 below the margins.

The labels leave out hairlines and specks that are plainly there, so the share labelled is far below the share real at
each confidence; whether the confidence is right is checked by drawn_glass.py, where every mark is known.
"""

import argparse
import json
import os
import subprocess
import sys
import tempfile
import time
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import cv2

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.benchmark.glass_marks_score import SMALL_PX, Scores, score
from tests.benchmark.plain_recipe import find_plainly

ROOT = Path(__file__).parents[2]
# Margins: a little below what is reached, so that a change for the worse is seen.
LEAST_AP = {'reflected': 0.97, 'transmitted': 0.64, 'both': 0.99}
LEAST_SMALL_RECALL = {'reflected': 0.90, 'transmitted': 0.90, 'both': 0.95}
LIGHTS = ('reflected', 'transmitted')
KIND_OF = {'scratches': 'scratch', 'contusion': 'contusion', 'spot': 'spot'}


def find(photos: list[Path]) -> tuple[list[dict], float]:
    """Marks of photos by the command, and seconds a photo."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / 'marks.json'
        start = time.perf_counter()
        subprocess.run([sys.executable, '-m', 'grader', 'marks', *photos, '--out', out], check=True, cwd=ROOT)
        return json.loads(out.read_text(encoding='utf-8')), (time.perf_counter() - start) / len(photos)


def find_plainly_in(photos: list[Path]) -> tuple[list[dict], float]:
    """The same by the plain recipe."""
    start = time.perf_counter()
    rows = [{**row, 'photo': p.name} for p in photos for row in find_plainly(cv2.imread(str(p))[:, :, ::-1])]
    return rows, (time.perf_counter() - start) / len(photos)


def kinds_right(scores: Scores) -> tuple[int, int]:
    """Labels of the three kinds whose first hit names them rightly, and labels hit."""
    table = scores.kinds()
    right = sum(table.get(kind, {}).get(word, 0) for kind, word in KIND_OF.items())
    return right, sum(sum(table.get(kind, {}).values()) for kind in KIND_OF)


def show(name: str, scores: Scores) -> None:
    """Print one line of figures."""
    n_photos = max(len({label.photo for label in scores.labels}), 1)
    at_half = scores.found[scores.found[:, 0] >= 0.5]
    print(
        f'{name:12s} labels {len(scores.labels):3d}   AP {scores.average_precision():.3f}   '
        f'recall {scores.recall():.3f}, at 0.5 {scores.recall(0.5):.3f}, '
        f'boxes under {SMALL_PX:.0f} px at 0.5 {scores.recall(0.5, SMALL_PX):.3f}   '
        f'marks a photo at 0.5 {len(at_half) / n_photos:.1f}'
    )


def main() -> int:
    """Run and print; 1 below the margins."""
    parser = argparse.ArgumentParser(description=__doc__.split('\n', 1)[0])
    parser.add_argument('folder', type=Path)
    parser.add_argument('--light', choices=(*LIGHTS, 'both'), default='reflected')
    parser.add_argument('--recipe', action='store_true')
    parser.add_argument('--half', choices=('first', 'second'))
    options = parser.parse_args()
    labels = json.loads((options.folder / 'labels.json').read_text(encoding='utf-8'))
    lights = LIGHTS if options.light == 'both' else (options.light,)
    photos = sorted((options.folder / lights[0]).glob('*.jpg'))
    middle = len(photos) // 2
    halves = {'first': photos[:middle], 'second': photos[middle:]}
    if options.half:
        photos = halves[options.half]
    shape = cv2.imread(str(photos[0])).shape[:2]
    given = [options.folder / light / photo.name for photo in photos for light in lights]
    found, seconds = (find_plainly_in if options.recipe else find)(given)
    for name, chosen in {'all': photos, **halves}.items():
        stems = {path.stem for path in chosen} & {path.stem for path in photos}
        if not stems:
            continue
        own = [[row for row in rows if Path(row['photo']).stem in stems] for rows in (labels, found)]
        scores = score(*own, shape)
        show(name, scores)
        if name == 'all':
            whole = scores
    print('kinds named:', '; '.join(f'{kind} -> {row}' for kind, row in whole.kinds().items()))
    print('confidence, share labelled, marks:', '; '.join(f'{c:.2f} {s:.2f} {n}' for c, s, n in whole.reliability()))
    print('kinds named rightly: {} of {}'.format(*kinds_right(whole)))
    print(f'{seconds:.2f} s a photo, {seconds / (shape[0] * shape[1] / 1e6):.2f} s a megapixel')
    good = whole.average_precision() >= LEAST_AP.get(options.light, 0.0)
    good &= whole.recall(0.5, SMALL_PX) >= LEAST_SMALL_RECALL.get(options.light, 0.0)
    return 0 if good or options.half else 1


if __name__ == '__main__':
    sys.exit(main())

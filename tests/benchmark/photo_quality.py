"""What is told of photos whose truth is known: light, scale, tilt, blur; and how long it takes.

    python tests/benchmark/photo_quality.py FOLDER

FOLDER holds photos NAME.jpg, each with NAME.json that gives "shot" (lighting, blur, off, view), "camera", "intrinsics"
and "height_mm". Prints one line a photo and a summary. A photo's blur is that of its lens alone; what is measured has
the pixel's own square and the print in it, so the scatter of the difference of the squares counts, not its mean.
"""

import json
import os
import sys
import time
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from calib.errors import ActionableError
from grader.marks.unseen import find_unseen
from grader.opencv_pin import pin_opencv
from grader.outline.height import height_knowledge
from grader.outline.judge_height import judge_height
from grader.outline.surface import fit_surface
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.quality.assess import assess_photo
from grader.settings import Settings

RING_OF_HEIGHT = 0.4  # where the widest ring of a dome usually is; half of it is a per cent of the distance


def main(folder: Path) -> None:
    pin_opencv()
    rows = []
    for path in sorted(folder.glob('*.jpg')):
        truth = json.loads(path.with_suffix('.json').read_text(encoding='utf-8'))
        try:
            rows.append(row_of(path, truth))
        except ActionableError as err:
            print(f'{path.stem}: {err}')
    for view in ('top', 'side'):
        some = [row for row in rows if row['view'] == view]
        if some:
            summary(view, some)


def row_of(path: Path, truth: dict) -> dict:
    view = see_photo(load_photo(path, Settings().photos), Settings())
    judged = judge_height(view.photo.rgb, view.card, view.outline, height_knowledge(None))
    surface = fit_surface(view.outline, view.card, judged)
    unseen = find_unseen(view, surface)
    start = time.process_time()
    quality = assess_photo(view, surface, unseen)
    seconds = time.process_time() - start
    shot, camera = truth['shot'], np.array(truth['camera']['position_mm'])
    x_mm, y_mm, z_mm = camera - [*shot['off'], 0.0]
    far = np.linalg.norm(camera - [*shot['off'], RING_OF_HEIGHT * truth['height_mm']])
    px_per_mm, tilt_deg = quality.placing.px_per_mm, quality.placing.tilt_deg
    row = {
        'view': shot['view'],
        'light': 'right' if quality.light.kind == shot['lighting'] else
                 'unknown' if quality.light.kind == 'unknown' else 'wrong',
        'scale': np.nan if px_per_mm is None else px_per_mm * far / truth['intrinsics']['focal_px'] - 1,
        'tilt': np.nan if tilt_deg is None else tilt_deg - np.degrees(np.arctan2(np.hypot(x_mm, y_mm), z_mm)),
        'blur': np.nan if quality.focus.source != 'card' else quality.focus.blur_px**2 - shot['blur'] ** 2,
        'seconds': seconds,
        'verdict': quality.verdict,
        'view_right': quality.placing.view == {'top': 'above', 'side': 'side'}[shot['view']],
    }  # fmt: skip
    print(f'{path.stem:<26}{row["light"]:<9}{quality.light.kind:<9}{quality.placing.view:<9}'
          f'scale {100 * row["scale"]:6.2f} %  tilt {row["tilt"]:6.2f} deg  {quality.verdict}  '
          f'{",".join(quality.flags)}', flush=True)  # fmt: skip
    return row


def summary(view: str, rows: list[dict]) -> None:
    lights = [row['light'] for row in rows]
    print(f'\n{view}: {len(rows)} photos; light right {lights.count("right")}, unknown {lights.count("unknown")}, '
          f'wrong {lights.count("wrong")}; view right {sum(row["view_right"] for row in rows)}')  # fmt: skip
    for name, unit, factor in (('scale', '%', 100), ('tilt', 'deg', 1)):
        off = factor * np.abs([row[name] for row in rows])
        print(f'  {name} error, {unit}: median {np.nanmedian(off):.2f}, largest {np.nanmax(off):.2f}')
    extra = np.array([row['blur'] for row in rows])
    if np.isfinite(extra).any():
        typical = np.nanmedian(extra)
        print(f'  blur: measured square less true square, px2: median {typical:.3f}, '
              f'typical departure {np.nanmedian(np.abs(extra - typical)):.3f}')  # fmt: skip
    print(f'  processor time a photo: median {np.median([row["seconds"] for row in rows]):.3f} s')


if __name__ == '__main__':
    main(Path(sys.argv[1]))

"""Makes one comparison for each pair of photos in a folder, named like the later photo, for scoring with known truth.

    python -m tests.benchmark.pair_comparisons FOLDER OUT [--only NAME ...] [--width PX --quality Q]

``FOLDER/pair-K-after.jpg`` and ``FOLDER/pair-K-stranger.jpg`` are each compared with ``FOLDER/pair-K-before.jpg``; the
comparisons become ``OUT/pair-K-after.json`` and ``OUT/pair-K-stranger.json``. With ``--width`` every photo is first made
smaller, so that the piece has so many pixels across, and saved as a JPEG of that quality: like the picture of a listing.
Outlines in those comparisons are brought back to the pixels of the photo as it was.

The last column is the time of one core that a comparison took, with its picture and its page.
"""

import argparse
import json
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

from calib.errors import ActionableError
from grader.commands.compare import write_comparison
from grader.compare_sides import compare_sides
from grader.comparison_build import Compared
from grader.photos.load import load_photo
from grader.pipeline import see_photo
from grader.progress import SilentProgress
from grader.settings import Settings
from grader.side_photos import SideGiven

LATER = ('after', 'stranger')


def main() -> None:
    """Compare each pair and write what came out."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folder', type=Path)
    parser.add_argument('out', type=Path)
    parser.add_argument('--only', nargs='*')
    parser.add_argument('--width', type=int)
    parser.add_argument('--quality', type=int, default=60)
    options = parser.parse_args()
    options.out.mkdir(parents=True, exist_ok=True)
    print(f'{"pair":30} {"probability":>11} {"verdict":15} {"new damage":>10} {"other":>6} {"s":>6}')
    for before, after in pairs_in(options.folder):
        if options.only and not any(name in after.stem for name in options.only):
            continue
        start = time.process_time()
        try:
            with tempfile.TemporaryDirectory() as work:
                scale, paths = 1.0, [before, after]
                if options.width:
                    made = [smaller(path, options.width, options.quality, Path(work)) for path in paths]
                    scale, paths = made[1][1], [path for path, _ in made]
                compared = compared_pair(*paths)
                write_comparison(compared, Path(work))
        except ActionableError as err:
            print(f'{after.stem:30} not compared: {err}', flush=True)
            continue
        took = time.process_time() - start
        text = compared.comparison.to_json()
        (options.out / f'{after.stem}.json').write_text(brought_back(text, scale), encoding='utf-8')
        told = compared.comparison
        print(
            f'{after.stem:30} {told.same_piece.probability:11.4f} {told.same_piece.verdict:15} '
            f'{told.n_new_damage:10d} {len(told.changes) - told.n_new_damage:6d} {took:6.1f}',
            flush=True,
        )


def pairs_in(folder: Path) -> list[tuple[Path, Path]]:
    """Earlier and later photo of each pair, by the later one's name."""
    found = []
    for before in sorted(folder.glob('pair-*-before.jpg')):
        stem = before.stem.removesuffix('-before')
        found += [(before, after) for after in (folder / f'{stem}-{kind}.jpg' for kind in LATER) if after.exists()]
    return found


def compared_pair(before: Path, after: Path) -> Compared:
    """Comparison of two photos."""
    settings = Settings()
    return compare_sides(
        SideGiven('before', (before,), settings),
        SideGiven('after', (after,), settings),
        (),
        now=None,
        progress=SilentProgress(),
    )


def smaller(path: Path, width_px: int, quality: int, folder: Path) -> tuple[Path, float]:
    """Copy of a photo whose piece has so many pixels across, and by how much it was scaled."""
    settings = Settings()
    outline = see_photo(load_photo(path, settings.photos), settings).outline
    scale = width_px / float(np.ptp(outline.contour_px[:, 0]))
    with Image.open(path) as image:
        size = round(image.width * scale), round(image.height * scale)
        copy = image.convert('RGB').resize(size, Image.Resampling.LANCZOS)
    copy.save(folder / path.name, quality=quality)
    return folder / path.name, scale


def brought_back(text: str, scale: float) -> str:
    """Comparison whose changes have their outlines in the pixels of the photo before it was scaled."""
    if scale == 1.0:
        return text
    fields = json.loads(text)
    for change in fields['changes']:
        change['outline_px'] = [[(v + 0.5) / scale - 0.5 for v in point] for point in change['outline_px']]
    return json.dumps(fields)


if __name__ == '__main__':
    main()

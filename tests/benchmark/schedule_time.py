"""How long the schedule of a collection takes: pieces of an invented collection, each with a photo of 12 megapixels.

python tests/benchmark/schedule_time.py --pieces 200
"""

import argparse
import sys
import tempfile
import time
from pathlib import Path

import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[2]))

from grader.collection.index import index_for_changing
from grader.collection.place import create_place
from grader.collection.store import NewPhoto, add_piece
from tests.support.run_grader import run_as_process


def write_photo(path: Path, seed: int) -> None:
    """A photo of 12 megapixels with a camera's grain, unlike all others."""
    rng = np.random.default_rng(seed)
    coarse = Image.fromarray(rng.integers(0, 255, (30, 40, 3), dtype=np.uint8)).resize((4000, 3000))
    grain = rng.integers(-6, 7, (3000, 4000, 1), dtype=np.int16)
    Image.fromarray(np.clip(np.asarray(coarse) + grain, 0, 255).astype(np.uint8)).save(path, quality=92)


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--pieces', type=int, default=200)
    n_pieces = parser.parse_args().pieces
    with tempfile.TemporaryDirectory() as made:
        root, photos = Path(made) / 'glass', []
        for k in range(10):
            photos.append(Path(made) / f'photo-{k}.jpg')
            write_photo(photos[-1], k)
        place = create_place(root)
        with index_for_changing(place, 'benchmark') as index:
            for k in range(n_pieces):
                fields = {'title': f'Invented piece {k}', 'value': {'amount': '100.10', 'currency': 'EUR'}}
                add_piece(place, index, fields, [NewPhoto(photos[k % len(photos)])])
        start = time.perf_counter()
        run = run_as_process('report', 'schedule', '--collection', root, '--out', Path(made) / 'schedule.pdf')
        print(f'{n_pieces} pieces: {time.perf_counter() - start:.1f} s, exit code {run.code}')


if __name__ == '__main__':
    main()

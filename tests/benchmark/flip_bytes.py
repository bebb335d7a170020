"""Change single bytes of sealed bags, and count how many changes the check finds: it must be all.

    python tests/benchmark/flip_bytes.py [--large-bytes 5000] [--photos 8] [--photo-bytes 2000000]

All bytes of a small bag with a time stamp, one after another, each to another value drawn at random; and so many random
ones of a large bag, which the command line makes of random photos. Ends with code 1 if one is not found.
"""

import argparse
import random
import sys
import tempfile
from bisect import bisect_right
from itertools import accumulate
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[2]))

from tests.support.run_grader import run_grader
from tests.support.sample_record import sample_record
from tests.support.sealed_bags import check, photo_facts, small_examination
from tests.support.time_authority import Authority


def files_of(bag: Path) -> list[Path]:
    return sorted(path for path in bag.rglob('*') if path.is_file())


def change(path: Path, at: int, rng: random.Random) -> int:
    """Change one byte in place; what it was."""
    with path.open('r+b') as file:
        file.seek(at)
        old = file.read(1)[0]
        file.seek(at)
        file.write(bytes([(old + rng.randrange(1, 256)) % 256]))
    return old


def put_back(path: Path, at: int, old: int) -> None:
    with path.open('r+b') as file:
        file.seek(at)
        file.write(bytes([old]))


def missed(bag: Path, places: list[tuple[Path, int]], rng: random.Random) -> list[tuple[Path, int]]:
    """Places at which a changed byte is not found."""
    found = []
    for path, at in places:
        old = change(path, at, rng)
        if check(bag).is_valid:
            found.append((path, at))
        put_back(path, at, old)
    if not check(bag).is_valid:
        raise RuntimeError('the bag was not put back as it was')
    return found


def done(*args: object) -> None:
    run = run_grader(*args)
    if run.code:
        raise RuntimeError(run.err)


def small_bag(folder: Path) -> Path:
    """Sealed bag with a time stamp; some 20 kB, most of it the record."""
    done('seal', small_examination(folder / 'small' / 'look'), '--out', folder / 'sealed', '--key', folder / 'key')
    bag, request, reply = folder / 'sealed' / 'look', folder / 'a.tsq', folder / 'a.tsr'
    done('timestamp', bag, '--request', request)
    reply.write_bytes(Authority().reply(request.read_bytes()))
    done('timestamp', bag, '--request', request, '--reply', reply)
    return bag


def large_bag(folder: Path, n_photos: int, photo_bytes: int, rng: random.Random) -> Path:
    """Sealed bag of random photos."""
    look = folder / 'large' / 'many'
    look.mkdir(parents=True)
    facts = []
    for k in range(n_photos):
        data = rng.randbytes(photo_bytes)
        (look.parent / f'{k}.jpg').write_bytes(data)
        facts.append(photo_facts(f'{k}.jpg', data))
    (look / 'record.json').write_text(sample_record(photos=tuple(facts)).to_json(), encoding='utf-8')
    done('seal', look, '--out', folder / 'sealed', '--key', folder / 'key')
    return folder / 'sealed' / 'many'


def random_places(bag: Path, count: int, rng: random.Random) -> list[tuple[Path, int]]:
    """Bytes of the whole bag, each as likely as any other."""
    files = files_of(bag)
    ends = list(accumulate(path.stat().st_size for path in files))
    drawn = [rng.randrange(ends[-1]) for _ in range(count)]
    which = [bisect_right(ends, at) for at in drawn]
    return [(files[k], at - (ends[k - 1] if k else 0)) for k, at in zip(which, drawn, strict=True)]


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument('--large-bytes', type=int, default=5000)
    parser.add_argument('--photos', type=int, default=8)
    parser.add_argument('--photo-bytes', type=int, default=2_000_000)
    options = parser.parse_args()
    rng = random.Random(7)
    n_missed = 0
    with tempfile.TemporaryDirectory() as name:
        small = small_bag(Path(name))
        places = [(path, at) for path in files_of(small) for at in range(path.stat().st_size)]
        lost = missed(small, places, rng)
        n_missed += len(lost)
        print(f'small bag: {len(places) - len(lost)} of {len(places)} changed bytes found (all bytes there are)')
        large = large_bag(Path(name), options.photos, options.photo_bytes, rng)
        n_bytes = sum(path.stat().st_size for path in files_of(large))
        lost += missed(large, random_places(large, options.large_bytes, rng), rng)
        n_found = options.large_bytes - len(lost) + n_missed
        print(f'large bag of {n_bytes:,} bytes: {n_found} of {options.large_bytes} changed bytes found')
    for path, at in lost:
        print(f'NOT FOUND: byte {at} of {path}')
    return 1 if lost else 0


if __name__ == '__main__':
    sys.exit(main())

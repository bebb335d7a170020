"""Damaged and hostile photos, and what the program answers to them."""

import random
from collections.abc import Callable, Iterator

from tests.support.bad_input.byte_mutation import ANY_BYTES, empty
from tests.support.bad_input.case import BadCase
from tests.support.bad_input.hostile_exif import hostile_exif, with_exif
from tests.support.bad_input.judge import Judged, run_case
from tests.support.bad_input.photo_mutation import chunk_bomb, many_scans, other_profile, other_size, other_table
from tests.support.bad_input.photo_seeds import SeedPhoto, seed_photos

UNREADABLE = frozenset({3})
"""Of a file that holds no picture any more."""
READ_OR_NOT = frozenset({0, 3, 4, 5, 21})
"""Of a file that may hold a picture still: the card or the piece may be gone, and the photo may be poor."""
EXAMINED_SHARE = 0.04
"""Share of the photos that are examined; the others are checked, which reads them in the same way and is sooner done."""

PhotoMutation = Callable[[random.Random, str, bytes], bytes]
_BY_FORM: dict[str, dict[str, PhotoMutation]] = {
    'jpg': {'another size': other_size, 'another profile': other_profile, 'very many scans': many_scans},
    'png': {'another size': other_size, 'a hostile chunk': chunk_bomb},
    'tif': {'another size': other_size, 'another table': other_table},
    'heic': {'another size': other_size},
    'webp': {'another size': other_size},
}


def photo_answers(n_photos: int, seed: int) -> Iterator[Judged]:
    """Answers to so many photos, one after another; the same seed gives the same photos."""
    rng, seeds = random.Random(seed), seed_photos()
    for k in range(n_photos):
        yield run_case(photo_case(rng, seeds[k % len(seeds)]))


def photo_case(rng: random.Random, photo: SeedPhoto) -> BadCase:
    """One damaged photo, and the command that reads it."""
    family, data = _damaged(rng, photo)
    args: tuple[str, ...] = ('check', photo.name)
    may_make: tuple[str, ...] = ()
    codes = UNREADABLE if not data else READ_OR_NOT
    if rng.random() < EXAMINED_SHARE:
        args, may_make, codes = ('examine', photo.name, '--out', 'look'), ('look/',), codes - {21}
    return BadCase(
        f'{photo.name.rpartition(".")[2]}: {family}', args, {photo.name: data}, codes, (photo.name,), may_make
    )


def _damaged(rng: random.Random, photo: SeedPhoto) -> tuple[str, bytes]:
    form = photo.name.rpartition('.')[2]
    drawn = rng.random()
    if drawn < 0.01:
        return 'empty', empty(rng, photo.data)
    if form == 'jpg' and drawn < 0.3:
        kind, exif = hostile_exif(rng)
        return kind, with_exif(photo.data, exif)
    if drawn < 0.6:
        family = rng.choice(sorted(_BY_FORM[form]))
        return family, _BY_FORM[form][family](rng, photo.name, photo.data)
    family = rng.choice(sorted(ANY_BYTES))
    return family, ANY_BYTES[family](rng, photo.data)

"""Files that the program wrote and reads again, and the commands that read them: what a damaged one may be told by."""

import hashlib
import json
import os
import random
import tempfile
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from pathlib import Path

from grader.collection.constants import ID_ALPHABET, ID_LENGTH
from grader.collection.csv_form import to_csv
from grader.collection.json_form import to_json
from grader.collection.piece import Piece
from grader.collection.place import create_place
from grader.review.apply import new_review, with_entries
from tests.support.bad_input.byte_mutation import ANY_BYTES, empty
from tests.support.bad_input.case import BadCase
from tests.support.bad_input.json_mutation import ANY_JSON
from tests.support.reviewed import add, confirm, log_of, redraw, reject, relabel, round_record
from tests.support.sample_comparison import sample_comparison
from tests.support.sample_record import sample_set_record
from tests.support.sealed_bags import files_in, small_bag

_BY = ('--initials', 'AB', '--reason', 'felt', '--when', '2026-03-10T10:09')
_FIELDS = {
    'title': "Amber swirl", 'maker': "Glasshouse Nowhere", 'inventory_number': "A-1", 'date_or_period': "about 1850",
    'price': {'amount': '85.50', 'currency': 'GBP'}, 'notes': "Kept in the dark",
}  # fmt: skip


@dataclass(frozen=True)
class Reader:
    """A command that reads a file."""

    name: str
    args: tuple[str, ...]
    hit: str
    """The file that is damaged."""
    files: Mapping[str, bytes]
    """All files, whole."""
    codes: frozenset[int]
    """Exit codes that are promised."""
    told: tuple[str, ...]
    may_make: tuple[str, ...] = ()
    may_change: frozenset[str] = frozenset()

    def case(self, family: str, data: bytes) -> BadCase:
        """The command with other contents of the file."""
        return BadCase(
            family=f'{self.name}: {family}',
            args=self.args,
            files={**self.files, self.hit: data},
            codes=self.codes,
            told=self.told,
            may_make=self.may_make,
            may_change=self.may_change,
        )


def all_readers() -> tuple[Reader, ...]:
    """Every command that reads a file of ours, with such files."""
    with tempfile.TemporaryDirectory() as name:
        return (*_of_records(), *_of_collections(Path(name)), *_of_bags(Path(name)))


def damaged(rng: random.Random, reader: Reader, data: bytes) -> tuple[str, bytes]:
    """What was done to the contents, and what they are now."""
    is_json = reader.hit.endswith('.json')
    if rng.random() < 0.004:
        return 'empty', empty(rng, data)
    kinds: dict[str, Callable[[random.Random, bytes], bytes]]
    if is_json and rng.random() < 0.85:
        usual = {name: ANY_JSON[name] for name in ('wrong contents', 'other contents')}
        kinds = ANY_JSON if rng.random() < 0.12 else usual
    else:
        kinds = dict(ANY_BYTES)
    family = rng.choice(sorted(kinds))
    return family, kinds[family](rng, data)


def _of_records() -> tuple[Reader, ...]:
    record = round_record()
    text = record.to_json().encode()
    log = log_of(record, confirm(1), reject(3), relabel(2, 'bubble'), redraw(4, 0.5, 2.0), add('chip', 0.4, 5.0))
    review = new_review(record, 'record.json', _sha256(text))
    said = with_entries(review, record, log).to_json().encode()
    acts = json.dumps([
        {'act': {'action': 'confirm', 'mark': 1}, 'reason': 'felt'},
        {'act': {'action': 'add', 'kind': 'scratch',
                 'drawing': {'shape': 'line', 'points_px': [[400, 380], [520, 400]], 'width_mm': 0.2}}},
    ]).encode()  # fmt: skip
    whole = {'record.json': text, 'review.json': said}
    alone, reviewed, told = {'record.json': text}, 'review.json', ('record.json', 'review.json')
    read, note = frozenset({0, 3}), frozenset({0, 3, 6, 10})

    def noting(name: str, hit: str, files: Mapping[str, bytes], *args: str) -> Reader:
        made = ('review.json',) if 'review.json' not in files else ()
        changed = frozenset({reviewed}) & set(files)
        # A mark that is not there is told by its number.
        words = (*told, 'There is no mark', 'acts.json', 'line', 'drawing', 'a.jpg')
        return Reader(name, ('review', 'record.json', *args, *_BY), hit, files, note, words, made, frozenset(changed))

    comparison = sample_comparison().to_json().encode()
    return (
        Reader('show record', ('show', 'record.json'), 'record.json', alone, read, told),
        Reader('show set', ('show', 'record.json'), 'record.json',
               {'record.json': sample_set_record().to_json().encode()}, read, told),
        Reader('show reviewed', ('show', 'record.json'), 'review.json', whole, read, told),
        Reader('review list', ('review', 'record.json', '--json'), 'review.json', whole, read, told),
        noting('review confirm', 'review.json', whole, 'confirm', '1'),
        noting('review add', 'record.json', alone, 'add', 'scratch', '--line', '400,380 520,400'),
        noting('review acts', 'acts.json', {**alone, 'acts.json': acts}, '--actions', 'acts.json'),
        Reader('show comparison', ('show', 'comparison.json'), 'comparison.json', {'comparison.json': comparison},
               read, ('comparison.json',)),
        Reader('compare records', ('compare', 'record.json', 'record.json', '--out', 'compared'), 'record.json',
               alone, frozenset({3, 6}), ('record.json', 'a.jpg', 'photo')),
        Reader('profile', ('check', 'no.jpg', '--profile', 'profile.json'), 'profile.json',
               {'profile.json': _profile()}, frozenset({3, 10}), ('profile.json', 'no.jpg')),
    )  # fmt: skip


def _of_collections(folder: Path) -> tuple[Reader, ...]:
    create_place(folder / 'glass')
    pieces = tuple(Piece(id=sign * ID_LENGTH, **{**_FIELDS, 'title': title, 'inventory_number': number})
                   for sign, title, number in zip(ID_ALPHABET, ("Amber swirl", "Blue flower"), ("A-1", "A-2"), strict=False))  # fmt: skip
    files = {f'glass/{path}': data for path, data in files_in(folder / 'glass').items()}
    files |= {f'glass/pieces/{piece.id}/piece.json': piece.to_json().encode() for piece in pieces}
    piece = pieces[0].id
    record = round_record(made_at='2026-03-10T10:09').to_json().encode()
    look = f'glass/pieces/{piece}/examinations/0001'
    files[f'{look}/record.json'] = record
    where, own = ('--collection', 'glass'), ('glass/.grader/',)
    codes, told = (
        frozenset({0, 3, 11}),
        ('piece.json', 'record.json', 'review.json', 'collection.json', 'glass: ', 'piece'),
    )
    inside = f'glass/pieces/{piece}/piece.json'

    def reader(name: str, args: tuple[str, ...], hit: str, **changes: object) -> Reader:
        fields = {'name': name, 'args': (*args, *where), 'hit': hit, 'files': files, 'codes': codes, 'told': told,
                  'may_make': own, **changes}  # fmt: skip
        return Reader(**fields)

    tables = {'in.csv': to_csv(pieces).encode(), 'in.json': to_json(pieces).encode()}
    return (
        reader('collection list', ('collection', 'list'), inside),
        reader('collection show', ('collection', 'show', 'A-1'), inside),
        reader('collection search', ('collection', 'search', 'amber'), inside),
        reader('list records', ('collection', 'list'), f'{look}/record.json'),
        reader('history', ('history', 'A-1'), f'{look}/record.json'),
        reader('collection file', ('collection', 'list'), 'glass/collection.json'),
        *(
            reader(f'import {name}', ('collection', 'import', name), name, files={**files, name: data},
                   codes=frozenset({0, 3, 13}), told=(name, *told), may_make=(*own, 'glass/pieces/'),
                   may_change=frozenset(path for path in files if path.endswith('piece.json')))
            for name, data in tables.items()
        ),
    )  # fmt: skip


def _of_bags(folder: Path) -> tuple[Reader, ...]:
    files = {f'bag/{path}': data for path, data in files_in(small_bag(folder / 'sealing')).items()}
    told = ('bag',)
    return tuple(
        Reader(f'verify {os.path.basename(path)}', ('verify', 'bag'), path, files, frozenset({0, 3, 8}), told)
        for path in sorted(files)
        if not path.endswith('.jpg')
    )


def _profile() -> bytes:
    return json.dumps({
        'format': 'camera-profile', 'version': 1, 'width_px': 4000, 'height_px': 3000, 'focal_px': 3000.0,
        'u_focal_px': 9.0, 'centre_px': [2000.0, 1500.0], 'u_centre_px': 5.0, 'k1': -0.02, 'u_k1': 0.001,
        'rms_px': 0.2, 'n_views': 6,
    }).encode()  # fmt: skip


def _sha256(data: bytes) -> str:
    return hashlib.sha256(data).hexdigest()

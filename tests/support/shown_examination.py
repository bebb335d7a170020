"""A piece with an examination whose photos are pictures made here, for tests of its page."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from grader.collection.examinations import EXAMINATIONS_FOLDER
from grader.collection.piece_folder import StoredPiece
from grader.collection.place import CollectionPlace
from grader.record import (
    GradingRecord,
    MarkFacts,
    PhotoFacts,
    PhotoSetFacts,
    SectorFacts,
    SeenInFacts,
    TurnFacts,
    UnseenFacts,
)
from tests.support.collections import add, new_collection
from tests.support.reviewed import CENTRE_PX, MARKS, round_record
from tests.support.sample_record import sample_findings

SIZE_PX = (1000, 800)
UNSEEN = (
    UnseenFacts(
        reason='ring reflection',
        polygon_px=((480.0, 380.0), (520.0, 380.0), (520.0, 420.0), (480.0, 420.0)),
        area_ratio=0.004,
    ),
)


@dataclass(frozen=True, slots=True)
class Shown:
    """A collection with one piece and one examination."""

    place: CollectionPlace
    piece: StoredPiece
    record: GradingRecord
    folder: Path
    """Of the examination."""
    rgb: np.ndarray
    """Pixels of its photo."""

    @property
    def address(self) -> str:
        return f'/pieces/{self.piece.piece.id}/examinations/1'

    @property
    def review_file(self) -> Path:
        return self.folder / 'review.json'


def glass_picture(size_px: tuple[int, int] = SIZE_PX, seed: int = 5) -> np.ndarray:
    """Picture of a faint disc whose pixels all differ from their neighbours, (H, W, 3) uint8.

    The program finds no piece in it, so drawings are measured by the record.
    """
    width, height = size_px
    y, x = np.mgrid[:height, :width]
    inside = np.hypot(x - CENTRE_PX[0] * width / SIZE_PX[0], y - CENTRE_PX[1] * height / SIZE_PX[1]) < 0.44 * height
    rgb = np.where(inside[..., None], (150, 152, 170), (160, 160, 160)).astype(np.int16)
    grain = np.random.default_rng(seed).integers(-40, 41, (height, width, 3))
    return np.clip(rgb + grain, 0, 255).astype(np.uint8)


def shown_examination(
    folder: Path, *, sealed: bool = False, photo: bool = True, in_set: bool = False, **changes: object
) -> Shown:
    """Collection in a folder; `changes` are fields of the record."""
    place = new_collection(folder)
    piece = add(place, {'title': "Blue weight"})
    target = piece.folder / EXAMINATIONS_FOLDER / '0001'
    photos = target / ('data/photos' if sealed else 'photos')
    photos.mkdir(parents=True)
    rgb = glass_picture()
    facts = [put_photo(photos / 'a.png', rgb)]
    fields = {'photo': 'a.png', 'unseen': UNSEEN, 'photo_set': None, 'other_findings': ()}
    if in_set:
        facts.append(put_photo(photos / 'b.png', glass_picture(seed=6)))
        fields.update(set_fields())
    record = round_record(**{**fields, 'photos': tuple(facts), **changes})
    record_folder = target / 'data' / 'examination' if sealed else target
    record_folder.mkdir(exist_ok=True)
    (record_folder / 'record.json').write_text(record.to_json(), encoding='utf-8')
    if sealed:
        (target / 'bagit.txt').write_text("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
    if not photo:
        (photos / 'a.png').unlink()
    return Shown(place, piece, record, record_folder, rgb)


def put_photo(path: Path, rgb: np.ndarray) -> PhotoFacts:
    """Write a photo; return what a record says of it."""
    Image.fromarray(rgb).save(path)
    data = path.read_bytes()
    return PhotoFacts(
        name=path.name, sha256=hashlib.sha256(data).hexdigest(), file_format='PNG', width_px=rgb.shape[1],
        height_px=rgb.shape[0], bit_depth=8, n_bytes=len(data), taken_at='', camera='',
    )  # fmt: skip


def set_fields() -> dict[str, object]:
    """A set of two photos: the last mark is seen in the second one only, the first in both."""
    turns = tuple(
        TurnFacts(
            photo=name, turn_deg=turn, u_turn_deg=0.2, probability=0.99, is_related=True, basis="design", seen_ratio=0.4
        )
        for name, turn in (('a.png', 0.0), ('b.png', 30.0))
    )
    sector = SectorFacts(band='crown', quarter='first', seen_ratio=0.9, photos=('a.png', 'b.png'))

    def seen(mark: MarkFacts) -> MarkFacts:
        names = {1: ('a.png', 'b.png'), 5: ('b.png',)}.get(mark.number, ('a.png',))
        places = tuple(SeenInFacts(photo=name, outline_px=mark.outline_px) for name in names)
        return mark.model_copy(update={'seen_in': places, 'photo': names[0], 'missing_in': ()})

    return {
        'marks': tuple(seen(mark) for mark in MARKS),
        'photo_set': PhotoSetFacts(turns=turns, seen_ratio=0.5, sectors=(sector,)),
        'other_findings': (
            sample_findings('a.png', unseen=UNSEEN, outline_px=round_record().outline_px),
            sample_findings('b.png', unseen=(), outline_px=round_record().outline_px),
        ),
    }

"""A piece with an examination whose photo is a picture made here, for tests of its page."""

import hashlib
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image

from grader.collection.examinations import EXAMINATIONS_FOLDER
from grader.collection.piece_folder import StoredPiece
from grader.collection.place import CollectionPlace
from grader.record import GradingRecord, PhotoFacts, UnseenFacts
from tests.support.collections import add, new_collection
from tests.support.reviewed import CENTRE_PX, round_record

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
    """Picture of a disc whose pixels all differ from their neighbours, (H, W, 3) uint8."""
    width, height = size_px
    y, x = np.mgrid[:height, :width]
    inside = np.hypot(x - CENTRE_PX[0] * width / SIZE_PX[0], y - CENTRE_PX[1] * height / SIZE_PX[1]) < 0.44 * height
    rgb = np.where(inside[..., None], (60, 70, 170), (205, 200, 195)).astype(np.int16)
    grain = np.random.default_rng(seed).integers(-20, 21, (height, width, 3))
    return np.clip(rgb + grain, 0, 255).astype(np.uint8)


def shown_examination(folder: Path, *, sealed: bool = False, photo: bool = True, **changes: object) -> Shown:
    """Collection in a folder; `changes` are fields of the record."""
    place = new_collection(folder)
    piece = add(place, {'title': "Blue weight"})
    target = piece.folder / EXAMINATIONS_FOLDER / '0001'
    photos = target / ('data/photos' if sealed else 'photos')
    photos.mkdir(parents=True)
    rgb = glass_picture()
    Image.fromarray(rgb).save(photos / 'a.png')
    data = (photos / 'a.png').read_bytes()
    facts = PhotoFacts(
        name='a.png', sha256=hashlib.sha256(data).hexdigest(), file_format='PNG', width_px=SIZE_PX[0],
        height_px=SIZE_PX[1], bit_depth=8, n_bytes=len(data), taken_at='', camera='',
    )  # fmt: skip
    record = round_record(
        **{'photo': 'a.png', 'photos': (facts,), 'unseen': UNSEEN, 'photo_set': None, 'other_findings': (), **changes}
    )
    record_folder = target / 'data' / 'examination' if sealed else target
    record_folder.mkdir(exist_ok=True)
    (record_folder / 'record.json').write_text(record.to_json(), encoding='utf-8')
    if sealed:
        (target / 'bagit.txt').write_text("BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n")
    if not photo:
        (photos / 'a.png').unlink()
    return Shown(place, piece, record, record_folder, rgb)

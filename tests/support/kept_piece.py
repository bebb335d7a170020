"""A collection with one piece, two small examinations of it with their photos, and a comparison of the two."""

import hashlib
import io
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageDraw

from grader.collection.lock import locked
from grader.collection.piece_folder import StoredPiece
from grader.collection.place import CollectionPlace
from grader.collection.store_comparison import store_comparison
from grader.collection.store_examination import store_examination
from grader.commands.review_note import noted
from grader.commands.review_store import record_at
from grader.record import GradingRecord
from grader.review.acts import Act, Wish
from tests.support.collections import add, new_collection
from tests.support.reviewed import CENTRE_PX, RADIUS_PX, round_record, said
from tests.support.sample_comparison import change, comparison_folder, sample_comparison
from tests.support.sample_record import sample_record


@dataclass(frozen=True)
class KeptPiece:
    """The collection, and the piece in it."""

    place: CollectionPlace
    piece: StoredPiece

    @property
    def folder(self) -> Path:
        return self.piece.folder

    @property
    def address(self) -> str:
        return f'/pieces/{self.piece.piece.id}'


def drawn_photo(seed: int) -> bytes:
    """Photo of 1000 by 800 px with a disc where the round record has its piece."""
    rng = np.random.default_rng(seed)
    picture = Image.fromarray(rng.integers(200, 230, (800, 1000, 3), dtype=np.uint8))
    (x, y), r = CENTRE_PX, RADIUS_PX
    ImageDraw.Draw(picture).ellipse((x - r, y - r, x + r, y + r), fill=(40, 90 + 20 * seed, 120))
    data = io.BytesIO()
    picture.save(data, 'JPEG', quality=80)
    return data.getvalue()


def record_of(photo: bytes, made_at: str) -> GradingRecord:
    facts = sample_record().photos[0]
    digest = hashlib.sha256(photo).hexdigest()
    return round_record(
        photos=(facts.model_copy(update={'sha256': digest, 'n_bytes': len(photo)}),), made_at=made_at, card=CARD
    )


CARD = sample_record().card


def kept_piece(folder: Path, *, with_comparison: bool = True) -> KeptPiece:
    place = new_collection(folder, {'title': "Other"})
    piece = add(place, {'title': "Amber swirl", 'maker': "Glasshouse Nowhere"})
    records = []
    for k, made_at in enumerate(('2026-03-02T09:00:00', '2026-03-10T10:09:00')):
        source = folder / f'examined-{k}'
        source.mkdir()
        photo = drawn_photo(k)
        (folder / f'photo-{k}').mkdir()
        (folder / f'photo-{k}' / 'a.jpg').write_bytes(photo)
        records.append(record_of(photo, made_at))
        (source / 'record.json').write_text(records[-1].to_json(), encoding='utf-8')
        (source / 'a.marked.jpg').write_bytes(drawn_photo(k + 5))
        with locked(place, 'test'):
            store_examination(place, piece.folder, source, [folder / f'photo-{k}' / 'a.jpg'])
    kept = KeptPiece(place, piece)
    if with_comparison:
        mark = records[1].marks[0]
        told = change(
            outline_px=mark.outline_px, seen_in=({'side': 'after', 'photo': 'a.jpg', 'outline_px': mark.outline_px},)
        )
        comparison = sample_comparison(*records, changes=(told,))
        with locked(place, 'test'):
            store_comparison(place, piece.folder, comparison_folder(folder / 'compared', comparison))
    return kept


def examination_folder(kept: KeptPiece, number: int) -> Path:
    return next((kept.folder / 'examinations').glob(f'{number:04}*'))


def say(kept: KeptPiece, number: int, act: Act, reason: str = "looked at with a loupe") -> None:
    """Note an act in the review of an examination."""
    at_hand = record_at(examination_folder(kept, number) / 'record.json')
    noted(at_hand, [Wish(act=act)], [said(reason=reason)], [], lambda words: None)

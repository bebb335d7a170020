"""A draft of an invented piece, asked for as a browser does."""

import time
from collections.abc import Sequence
from io import BytesIO
from pathlib import Path
from typing import Any

import numpy as np
from PIL import Image

from grader.collection.index import index_for_reading
from grader.collection.place import CollectionPlace
from grader.collection.store import remove_piece
from grader.web.desk import Desk
from grader.web.draft import Draft
from grader.web.drafts import read_draft
from tests.support.collections import new_collection
from tests.support.page_client import PageClient

PHOTOS = Path(__file__).parents[2] / 'fixtures' / 'photos'
# Source: chosen: a process starts in a second or two, a photo is judged in one; a machine under load takes longer.
WAIT_S = 120.0
AS_SCRIPT = {'Accept': 'application/json'}


class DraftPage:
    """A piece of a collection of its own, a draft of it, and a client."""

    def __init__(self, folder: Path) -> None:
        self.place: CollectionPlace = new_collection(folder, {'title': "Blue swirl"})
        self.desk = Desk(self.place.root)
        self.client = PageClient(self.desk)
        with index_for_reading(self.place, 'test') as index:
            self.piece_id = next(iter(index.ids()))
            self.piece_folder = self.place.pieces / index.folder_names()[0]
        self.address = self.begin()

    def begin(self) -> str:
        """Begin a draft; return its address."""
        return str(self.client.post(f'/pieces/{self.piece_id}/drafts/new').headers['location'])

    @property
    def token(self) -> str:
        """The draft's token."""
        return self.address.rpartition('/')[2]

    @property
    def draft(self) -> Draft:
        """The draft as it lies on the disk."""
        return read_draft(self.place, self.piece_id, self.token)

    def send(self, *files: tuple[str, bytes], as_script: bool = True) -> Any:
        """Send files."""
        sent = [('photos', (name, data, 'image/jpeg')) for name, data in files]
        return self.client.post(f'{self.address}/photos', files=sent, headers=AS_SCRIPT if as_script else {})

    def tell(self, act: str = 'told', *, as_script: bool = False, **fields: Any) -> Any:
        """Send the form of what is known beforehand."""
        known = {'n_changes': '0', 'time_by': 'nobody', 'height': '', 'ruler': '', 'when': ''}
        return self.client.post(f'{self.address}/{act}', data=known | fields, headers=AS_SCRIPT if as_script else {})

    def wait_until_judged(self) -> Draft:
        """Wait until all photos are judged."""
        return wait_for(lambda: self.draft, lambda draft: all(photo.check is not None for photo in draft.photos))

    def wait_for_job(self, address: str) -> dict[str, Any]:
        """Wait until a job is over; return what is told of it."""
        return wait_for(lambda: self.client.get(f'{address}.json').json(), lambda facts: facts['is_over'])

    def files(self) -> list[str]:
        """All files of drafts and of what is coming in, as seen from the program's own folder."""
        own = self.place.own
        return sorted(
            str(path.relative_to(own))
            for part in ('drafts', 'incoming')
            for path in (own / part).rglob('*')
            if path.is_file()
        )

    def remove_piece(self) -> None:
        """Move the piece into the trash."""
        remove_piece(self.place, self.piece_folder, self.desk.now())


def wait_for(look: Any, is_it: Any) -> Any:
    """Look again and again until it is there."""
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        found = look()
        if is_it(found):
            return found
        time.sleep(0.05)
    raise AssertionError(f'still {found}')


def photo_bytes(name: str = 'swirl-clean') -> bytes:
    """A rendered example photo."""
    return (PHOTOS / f'{name}.jpg').read_bytes()


def plain_photo(seed: int = 1, size: tuple[int, int] = (240, 220), kind: str = 'JPEG', **settings: Any) -> bytes:
    """A small picture without any piece of glass; each seed gives another."""
    noise = np.random.default_rng(seed).integers(0, 255, (size[1], size[0], 3), dtype=np.uint8)
    target = BytesIO()
    Image.fromarray(noise).save(target, kind, **settings)
    return target.getvalue()


def form_body(parts: Sequence[tuple[str, str, bytes]], boundary: str = 'edge') -> bytes:
    """Body of a form with files: name of the field, name of the file, bytes."""
    body = b''
    for field, name, data in parts:
        head = f'--{boundary}\r\nContent-Disposition: form-data; name="{field}"; filename="{name}"\r\n\r\n'
        body += head.encode() + data + b'\r\n'
    return body + f'--{boundary}--\r\n'.encode()

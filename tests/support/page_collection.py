"""A collection in which each page has something to show."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from grader.collection.lock import locked
from grader.commands.seal_store import seal_stored, subject_in
from grader.review.acts import Reject
from grader.web.app import create_app
from grader.web.desk import Desk
from grader.web.security.addresses import home_addresses
from grader.web.security.patient_protocol import server_settings
from tests.support.collections import add
from tests.support.kept_piece import KeptPiece, drawn_photo, kept_piece, say
from tests.support.live_server import served
from tests.support.page_client import PageClient

# Words that break a layout which expects short and plain ones.
LONG = "Donaudampfschiffahrtsgesellschaftskapitänspatentbriefbeschwerer" * 2
WAIT_S = 60.0


@dataclass(frozen=True, slots=True)
class Prepared:
    """What pages can be asked for."""

    address: str
    """Of the page, such as ``http://127.0.0.1:40123``."""
    network_address: str
    """The same over the network, where one is not let in; where there is no network, as above."""
    empty_address: str
    """Of a page without a collection."""
    piece: str
    """Id of a piece with two examinations, the first sealed and the second reviewed, and a comparison of both."""
    plain_piece: str
    """Id of a piece without any, with long words."""
    schedule: str
    """Where a schedule is ready."""
    draft: str
    """Where photos wait."""
    empty_draft: str
    """Where photos are to be sent."""
    job: str
    """Token of a job that runs for long."""


def rest(progress: Any) -> None:
    """Job that runs until it is stopped."""
    progress.start(3)
    progress.step("a photo with a long name, IMG_20260412_101112_HDR_edited_final_2.jpg")
    time.sleep(3600)


@contextmanager
def prepared_page(folder: Path) -> Iterator[Prepared]:
    """The page of a new collection in a folder, served until the block is left."""
    kept = kept_piece(folder)
    key = folder / 'key.pem'
    sealed = subject_in(kept.folder, 'examination', 1)
    with locked(kept.place, 'test'):
        seal_stored(kept.place, kept.folder, sealed, key, None)
    say(kept, 2, Reject(mark=1), reason="only a reflection of the window")
    plain = add(kept.place, {'title': f"{LONG} & <b>bold</b>", 'maker': LONG, 'notes': f"One line\n{LONG}"})
    with _serving(folder / 'no-collection') as (empty_address, _), _serving(kept.place.root, key) as (address, desk):
        client = PageClient(desk)
        schedule = _done(client, client.post('/schedule', data={}))
        draft, empty_draft = _draft(client, kept), _draft(client, kept)
        for name, data in (("first look.jpg", drawn_photo(3)), (f"{LONG}.jpg", drawn_photo(4))):
            assert client.post(f'{draft}/photos', files={'photos': (name, data)}).status_code == 303
        desk.pairing.make_code()
        desk.sessions.start(is_phone=True, name="iPhone", address='192.168.178.31')
        job, _ = desk.jobs.submit('long', "Examining the photos", '/', rest)
        yield Prepared(
            address=address,
            network_address=address.replace('127.0.0.1', next(iter(home_addresses()), '127.0.0.1')),
            empty_address=empty_address,
            piece=kept.piece.piece.id,
            plain_piece=plain.piece.id,
            schedule=schedule,
            draft=draft,
            empty_draft=empty_draft,
            job=job,
        )


@contextmanager
def _serving(root: Path, key: Path | None = None) -> Iterator[tuple[str, Desk]]:
    desks: list[Desk] = []

    def make_app(port: int) -> Any:
        desks.append(Desk(root=root, key=key, port=port, addresses=(*home_addresses(), '10.0.0.7')))
        return create_app(desks[0])

    with served(make_app, host='0.0.0.0', **server_settings()) as address:
        yield address, desks[0]


def _draft(client: PageClient, kept: KeptPiece) -> str:
    return str(client.post(f'{kept.address}/drafts/new').headers['location'])


def _done(client: PageClient, answer: Any) -> str:
    """Where a job that was just begun leads to; waits until it is done."""
    assert answer.status_code == 303, answer.text
    until_s = time.monotonic() + WAIT_S
    while time.monotonic() < until_s:
        facts = client.get(f'{answer.headers["location"]}.json').json()
        if facts['is_over']:
            assert facts['state'] == 'done', facts
            return str(facts['goes_to'])
        time.sleep(0.1)
    raise AssertionError('the job did not end')

"""A collection in which each page has something to show."""

import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from grader.web.app import create_app
from grader.web.desk import Desk
from grader.web.security.patient_protocol import server_settings
from tests.support.kept_piece import kept_piece
from tests.support.live_server import served


@dataclass(frozen=True, slots=True)
class Prepared:
    """What pages can be asked for."""

    address: str
    """Of the page, such as ``http://127.0.0.1:40123``."""
    piece: str
    """Id of a piece with two examinations and a comparison."""
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
    desks: list[Desk] = []

    def make_app(port: int) -> Any:
        desks.append(Desk(root=kept.place.root, port=port, addresses=('192.168.178.20', '10.0.0.7')))
        return create_app(desks[0])

    with served(make_app, **server_settings()) as address:
        desk = desks[0]
        desk.pairing.make_code()
        desk.sessions.start(is_phone=True, name="iPhone", address='192.168.178.31')
        job, _ = desk.jobs.submit('long', "Examining the photos", '/', rest)
        yield Prepared(address=address, piece=kept.piece.piece.id, job=job)

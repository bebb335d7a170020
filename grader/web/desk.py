"""Desk: all that the routes need, made once when the server starts."""

import time
from collections.abc import Callable
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from starlette.requests import Request

from grader.collection.index import index_for_reading
from grader.collection.piece_folder import StoredPiece, read_piece
from grader.collection.place import CollectionPlace, open_place
from grader.errors import PieceNotFound
from grader.web.jobs import Jobs
from grader.web.security.pairing import Pairing
from grader.web.security.sessions import Sessions

PURPOSE = 'serve'
"""Name under which the page holds the collection's lock."""


def computer_clock() -> datetime:
    """Time of this computer, with its zone."""
    return datetime.now().astimezone()


@dataclass(frozen=True, slots=True)
class Desk:
    """What routes work with."""

    root: Path
    """Folder of the collection; there may be none in it yet."""
    jobs: Jobs = field(default_factory=Jobs)
    key: Path | None = None
    """Key to seal with; None for the usual one."""
    port: int = 0
    """Port that is served."""
    addresses: tuple[str, ...] = ()
    """This computer's addresses on the home network, where it is shared; empty where it is not."""
    now: Callable[[], datetime] = computer_clock
    """The clock: read for what is a statement at a time, never for a record."""
    ticks: Callable[[], float] = time.monotonic
    """Seconds that only ever grow: for what ends by itself."""
    sessions: Sessions = field(default_factory=lambda: Sessions(time.monotonic))
    """Browsers that are in."""
    pairing: Pairing = field(default_factory=lambda: Pairing(time.monotonic))
    """The code that lets a phone in."""

    @property
    def place(self) -> CollectionPlace:
        """The collection.

        Raises
        ------
        CollectionNotFound, CollectionUnreadable
            If there is none that can be used.
        """
        return open_place(self.root)

    def piece(self, piece_id: str) -> StoredPiece:
        """Piece of an id, as it lies on the disk now.

        Raises
        ------
        PieceNotFound
            If there is none, or several.
        """
        place = self.place
        with index_for_reading(place, PURPOSE) as index:
            folders = index.folders_where('id', piece_id)
        if len(folders) != 1:
            raise PieceNotFound(
                "There is no piece at this address." if not folders else "Several folders have this piece's id.",
                "Go to the collection: it may have been removed, or its folder copied.",
            )
        return read_piece(place.pieces / folders[0])


def desk_of(request: Request) -> Desk:
    """Desk of a request."""
    desk: Desk = request.app.state.desk
    return desk

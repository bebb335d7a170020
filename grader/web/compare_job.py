"""The work of comparing two examinations of a piece, done in a process of its own."""

import tempfile
from pathlib import Path

from grader.collection.examinations import examinations_of
from grader.collection.lock import locked
from grader.collection.place import CollectionPlace
from grader.collection.store_comparison import store_comparison
from grader.commands.compare import write_comparison
from grader.commands.seal_store import photo_folders
from grader.compare.sides import Side
from grader.compare.stated_size import read_stated_size
from grader.compare_sides import compare_sides
from grader.errors import PieceNotFound
from grader.progress import Progress
from grader.side_photos import SideGiven, side_of_record

PURPOSE = 'serve: compare'


def compare_examinations(
    progress: Progress, root: Path, piece_folder: Path, piece_id: str, before: int, after: int, stated: tuple[str, ...]
) -> str:
    """Compare two examinations and store the comparison; return the address of its page.

    The very same comparison is stored once: comparing the same again leads to the one that is there.

    Parameters
    ----------
    progress
        Takes the steps.
    root, piece_folder, piece_id
        The collection, and the piece in it.
    before, after
        Numbers of the examinations.
    stated
        Sizes that a seller states.

    Raises
    ------
    ActionableError
        If they cannot be compared, or the comparison cannot be stored.
    """
    sides = (_side(piece_folder, 'before', before), _side(piece_folder, 'after', after))
    sizes = [read_stated_size(text) for text in stated]
    compared = compare_sides(*sides, sizes, now=None, progress=progress)
    place = CollectionPlace(root)
    with tempfile.TemporaryDirectory(prefix='grader-compare-') as work:
        progress.begin("drawing the pictures")
        write_comparison(compared, Path(work))
        with locked(place, PURPOSE):
            if not piece_folder.is_dir():
                raise _gone()
            done = store_comparison(place, piece_folder, Path(work))
    return f'/pieces/{piece_id}/comparisons/{done.comparison.number}'


def _side(piece_folder: Path, side: Side, number: int) -> SideGiven:
    for one in examinations_of(piece_folder):
        path = one.record_file() if one.number == number else None
        if path is not None:
            # Its own photos first: those of other examinations may have the same names.
            own = (one.folder / 'photos', one.folder / 'data' / 'photos')
            return side_of_record(side, path, (*own, *photo_folders(piece_folder)))
    raise _gone()


def _gone() -> PieceNotFound:
    return PieceNotFound(
        "The piece or its examination is no longer there.", "Go to the collection and look for it there."
    )

"""Sealing from the page."""

from pathlib import Path

from grader.collection.lock import locked
from grader.collection.place import CollectionPlace
from grader.commands.options import time_from
from grader.commands.seal_store import Sealing, Subject, seal_stored
from grader.errors import ChangedMeanwhile, SettingsInvalid

PURPOSE = 'serve: seal'


def seal_now(place: CollectionPlace, piece_folder: Path, subject: Subject, key: Path, when: str, shown: str) -> Sealing:
    """Seal an examination or a comparison as the page showed it.

    Parameters
    ----------
    place, piece_folder, subject
        The piece, and what of it is sealed.
    key
        File of the key.
    when
        Date and time to state, as typed; '' for none.
    shown
        State that the page showed.

    Raises
    ------
    ChangedMeanwhile
        If it is not as the page showed it.
    ActionableError
        If it cannot be sealed.
    """
    if not shown:
        raise ChangedMeanwhile("The page did not say what it showed. Nothing was sealed.", "Load this page anew.")
    try:
        time = time_from(when.strip())
    except SettingsInvalid as err:
        # The name of the command's option means nothing on a page.
        raise SettingsInvalid(err.problem.removeprefix("--when: "), err.remedy) from err
    with locked(place, PURPOSE):
        return seal_stored(place, piece_folder, subject, key, time, shown)

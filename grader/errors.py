"""Errors that the owner can mend.

Each tells which file, what was seen against what is needed, and what to do now. The tree::

    calib.errors.ActionableError          problem, remedy
    ├── calib.errors.CardNotFound         no card, or too little of it, in the picture
    ├── calib.errors.CardUnfit            the card is bent or printed wrong
    ├── calib.errors.ViewsUnfit           photos that cannot calibrate a camera
    ├── calib.errors.ProfileUnfit         a camera profile that does not fit
    ├── PhotoUnreadable                   not a photo, cut short, too large
    ├── RecordUnreadable                  not a record, or of an unknown version
    ├── OutlineNotFound                   no piece of glass to be told from its ground
    ├── MemoryShort                       too little free memory for these photos
    ├── PhotoSetUnusable                  no photo, or some photos, of a folder or set could not be used
    ├── SetsNotComparable                 two sides that show nothing in common to compare
    ├── OutputNotWritable                 the folder exists, is read-only or full
    │   └── ReviewGrown                   a review was changed since the person looked at it
    ├── BagInvalid                        a sealed bag, or a chain of bags, is not as it was sealed
    ├── SettingsInvalid                   an option or profile that does not fit
    ├── CollectionUnreadable              a file of a collection that is damaged, or of an unknown version
    ├── CollectionNotFound                no such collection
    ├── PieceNotFound                     no such piece in it, or several that fit
    ├── CollectionBusy                    another program is changing it
    ├── ChangedMeanwhile                  it is not as it was when the user looked at it, so nothing was done
    ├── ImportFaulty                      a file to import has faults, all of which are listed
    ├── JobNotFound                       the page is asked for work that it does not know
    ├── DraftNotFound                     the page is asked for photos that do not wait
    ├── UploadRefused                     what was sent to the page cannot be taken in
    │   └── UploadTooLarge                it is larger than what is taken in
    └── PortTaken                         the page cannot listen where it is to

``exit_codes.py`` gives each class its exit code.
"""

import json
from collections.abc import Sequence

from calib.errors import ActionableError
from grader.constants import MAX_FAULT_LETTERS, MAX_REPEATED_LETTERS


def repeated(value: object) -> str:
    """A wrong value as a message repeats it: its start, without signs that write over a screen."""
    if isinstance(value, dict | list):
        return "\"a list\"" if isinstance(value, list) else "\"fields in braces\""
    text = json.dumps(value) if isinstance(value, str) else ascii(value)
    return text if len(text) <= MAX_REPEATED_LETTERS else f'{text[:MAX_REPEATED_LETTERS]}...'


def cut_short(words: str) -> str:
    """Words of a fault, cut where a file has very long names or values."""
    return words if len(words) <= MAX_FAULT_LETTERS else f'{words[:MAX_FAULT_LETTERS]}...'


class PhotoUnreadable(ActionableError):
    """A file that should be a photo cannot be read as one."""


class RecordUnreadable(ActionableError):
    """A file that should be a record is none, or is of a version that this program does not know."""


class OutlineNotFound(ActionableError):
    """No piece could be told from its ground."""


class MemoryShort(ActionableError):
    """The computer has too little free memory for these photos."""


class PhotoSetUnusable(ActionableError):
    """A folder or a set holds no photo, or some of its photos could not be used."""


class SetsNotComparable(ActionableError):
    """Two sides of a comparison show nothing that could be compared."""


class OutputNotWritable(ActionableError):
    """The result cannot be written where it was asked for."""


class ReviewGrown(OutputNotWritable):
    """A review has other entries than the person had before her when she spoke."""


class BagInvalid(ActionableError):
    """A bag, or a chain of bags, is not as it was.

    Parameters
    ----------
    place : str
        The bag, or the folder of bags.
    faults : Sequence[str]
        All that is wrong, a line each.
    """

    def __init__(self, place: str, faults: Sequence[str]) -> None:
        count = "1 fault was found" if len(faults) == 1 else f"{len(faults)} faults were found"
        super().__init__(
            f"{place}: {count}. It is not as it was sealed, or it was never whole:\n"
            + ''.join(f"- {fault}\n" for fault in faults),
            "Leave it as it is, and compare it with another copy of yours. Do not seal it anew.",
        )
        self.faults = tuple(faults)


class SettingsInvalid(ActionableError):
    """An option, or a file of settings, does not fit."""


class CollectionUnreadable(ActionableError):
    """A file of a collection is damaged, or of a version that this program does not know."""


class CollectionNotFound(ActionableError):
    """There is no collection in the folder."""


class PieceNotFound(ActionableError):
    """No piece of the collection fits what was asked for, or several do."""


class CollectionBusy(ActionableError):
    """Another program is changing the collection."""


class ChangedMeanwhile(ActionableError):
    """Something is not as it was when the user looked at it, in another window for instance; nothing was done."""


class ImportFaulty(ActionableError):
    """A file to import has faults; all are listed, and nothing was imported."""


class JobNotFound(ActionableError):
    """The page is asked for work that it does not know."""


class DraftNotFound(ActionableError):
    """The page is asked for photos that do not wait to be examined."""


class UploadRefused(ActionableError):
    """What was sent to the page cannot be taken in."""


class UploadTooLarge(UploadRefused):
    """What was sent to the page is larger than what it takes in."""


class PortTaken(ActionableError):
    """The page cannot listen on the port that it is to use."""

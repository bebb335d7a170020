"""Sealing in a piece's folder of a collection: what is sealed, what it was then, and what has changed since."""

import hashlib
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from grader.collection.change import change_of
from grader.collection.comparisons import COMPARISON_FILE_NAME, comparisons_of
from grader.collection.examinations import RECORD_FILE, examinations_of, is_sealed
from grader.collection.piece_folder import PHOTOS_FOLDER
from grader.collection.place import CollectionPlace
from grader.collection.sealed import SealedKind, StoredBag, bags_of, next_bag
from grader.commands.seal_options import sealed_bag_at
from grader.errors import ChangedMeanwhile, PieceNotFound, SettingsInvalid
from grader.evidence.bag_text import parse_manifest
from grader.evidence.bag_write import write_bag
from grader.evidence.hashing import sha256_of
from grader.evidence.layout import EXAMINATION, MANIFEST, SEAL, TAG_MANIFEST
from grader.evidence.packing import plan_packing
from grader.evidence.seal_key import key_from
from grader.evidence.seal_text import BagLink, SealFacts, SealUnreadable, parse_seal

REVIEW_FILE_NAME = 'review.json'
TOLD_FILES = (RECORD_FILE, COMPARISON_FILE_NAME, REVIEW_FILE_NAME)
"""Files that say what was found and what a person says of it; by them it is told whether a seal is still up to date."""


@dataclass(frozen=True, slots=True)
class Subject:
    """What is to be sealed: an examination or a comparison of a piece."""

    kind: SealedKind
    number: int
    folder: Path


@dataclass(frozen=True, slots=True)
class ListedBag:
    """A sealed bag of a piece, by what it says itself: nothing of it is checked."""

    bag: StoredBag
    facts: SealFacts | None
    """What its seal says; None where that cannot be read."""
    told: Mapping[str, str]
    """SHA-256 of the told files in it, by name."""
    manifest_sha256: str
    """Of the signed manifest; '' where there is none."""


@dataclass(frozen=True, slots=True)
class Sealing:
    """What was sealed."""

    bag: StoredBag
    link: BagLink
    fingerprint: str
    is_new_key: bool
    """Whether the key was made for it."""
    is_other_key: bool
    """Whether the bag before was sealed with another key."""


def subject_in(piece_folder: Path, kind: SealedKind, number: int) -> Subject:
    """Examination or comparison of a piece by its number.

    Raises
    ------
    PieceNotFound
        If there is none.
    """
    stored = examinations_of(piece_folder) if kind == 'examination' else comparisons_of(piece_folder)
    for one in stored:
        if one.number == number:
            return Subject(kind, number, one.folder)
    raise PieceNotFound(
        f"This piece has no {kind} {number}.", "Go back to the piece and choose one that is listed there."
    )


def subjects_in(piece_folder: Path) -> dict[tuple[SealedKind, int], Subject]:
    """All examinations and comparisons of a piece, by kind and number."""
    found: list[Subject] = [Subject('examination', one.number, one.folder) for one in examinations_of(piece_folder)]
    found += [Subject('comparison', one.number, one.folder) for one in comparisons_of(piece_folder)]
    return {(one.kind, one.number): one for one in found}


def told_in(folder: Path) -> dict[str, str]:
    """SHA-256 of the told files in the folder of an examination or a comparison, by name."""
    return {
        name: hashlib.sha256((folder / name).read_bytes()).hexdigest()
        for name in TOLD_FILES
        if (folder / name).is_file()
    }


def state_of(piece_folder: Path, subject: Subject) -> str:
    """Text that differs once what is to be sealed has changed, or something more was sealed of the piece."""
    told = sorted(told_in(subject.folder).items())
    return sha256_of(repr((told, [one.folder.name for one in bags_of(piece_folder)])).encode())


def listed_bags(piece_folder: Path) -> tuple[ListedBag, ...]:
    """Sealed bags of a piece, in the order in which they were sealed."""
    return tuple(_listed(one) for one in bags_of(piece_folder))


def seal_stored(
    place: CollectionPlace, piece_folder: Path, subject: Subject, key: Path, when: datetime | None, shown: str = ''
) -> Sealing:
    """Seal an examination or a comparison into a new bag, tied to the piece's last one; to be called under the lock.

    Parameters
    ----------
    place, piece_folder
        Collection and folder of the piece.
    subject
        What to seal.
    key
        File of the key to sign with, which is made where there is none.
    when
        Time to state; None for none.
    shown
        :func:`state_of` as the user saw it; '' to seal whatever there is.

    Raises
    ------
    ChangedMeanwhile
        If it is not as the user saw it, or is sealed already as it is.
    PhotoSetUnusable
        If photos are missing or changed.
    BagInvalid
        If the bag before has faults: nothing is tied to what may have been changed.
    """
    _check_open(subject)
    told = told_in(subject.folder)
    if shown and shown != state_of(piece_folder, subject):
        raise _changed(subject)
    listed = listed_bags(piece_folder)
    before = _last(listed)
    previous = None if before is None else sealed_bag_at(before.bag.folder)
    packing = plan_packing(subject.folder, photo_folders(piece_folder))
    seal_key = key_from(key)
    target = next_bag(piece_folder, subject.kind, subject.folder)
    with change_of(place) as change:
        staged = change.new_folder(target)
        link = write_bag(packing, staged, seal_key, None if previous is None else previous.link, when)
        _check_not_sealed(link, listed, subject)
        if told != told_in(staged / EXAMINATION):
            raise _changed(subject)
    bag = StoredBag(int(target.name[:4]), target)
    is_other_key = previous is not None and previous.fingerprint != seal_key.fingerprint
    return Sealing(bag, link, seal_key.fingerprint, seal_key.is_new, is_other_key)


def photo_folders(piece_folder: Path) -> tuple[Path, ...]:
    """Folders in which photos of a piece may lie: those of all its examinations, and its own."""
    found: list[Path] = []
    for one in examinations_of(piece_folder):
        found += [one.folder / PHOTOS_FOLDER, one.folder, one.folder / 'data' / PHOTOS_FOLDER]
    return (*found, piece_folder / PHOTOS_FOLDER)


def _check_open(subject: Subject) -> None:
    if is_sealed(subject.folder):
        raise SettingsInvalid(
            f"{subject.folder.name}: this {subject.kind} is itself a sealed bag.",
            "Check it as it is; there is nothing to seal anew.",
        )


def _changed(subject: Subject) -> ChangedMeanwhile:
    return ChangedMeanwhile(
        f"The {subject.kind} is not as it was when you looked at it: its review has changed, or the piece was sealed "
        "in another window. Nothing was sealed.",
        "Look at it as it is now, then seal it.",
    )


def _check_not_sealed(link: BagLink, listed: Sequence[ListedBag], subject: Subject) -> None:
    for one in listed:
        if one.facts is not None and one.facts.identifier == link.identifier:
            raise ChangedMeanwhile(
                f"This {subject.kind} is sealed already, just as it is now, as {one.bag.folder.name}. No second "
                "bag was made.",
                "There is nothing to do.",
            )


def _last(listed: Sequence[ListedBag]) -> ListedBag | None:
    """Bag that the next one follows: the one of the highest number in the chain."""
    return max(listed, key=lambda one: (0 if one.facts is None else one.facts.number, one.bag.number), default=None)


def _listed(bag: StoredBag) -> ListedBag:
    try:
        manifest_sha256 = sha256_of((bag.folder / TAG_MANIFEST).read_bytes())
    except OSError:
        manifest_sha256 = ''
    return ListedBag(bag, _facts_in(bag.folder), _told_in_bag(bag.folder), manifest_sha256)


def _facts_in(folder: Path) -> SealFacts | None:
    try:
        return parse_seal((folder / SEAL).read_text(encoding='utf-8'))
    except (OSError, UnicodeDecodeError, SealUnreadable):
        return None


def _told_in_bag(folder: Path) -> dict[str, str]:
    try:
        text = (folder / MANIFEST).read_text(encoding='utf-8')
    except (OSError, UnicodeDecodeError):
        return {}
    lines = {line.path: line.digest for line in parse_manifest(text, (1, 0)).lines}
    return {name: lines[EXAMINATION + name] for name in TOLD_FILES if EXAMINATION + name in lines}

"""What the pages of seals show: what would be sealed, what is sealed already, and with which key."""

from dataclasses import dataclass
from pathlib import Path

from grader.collection.examinations import is_sealed
from grader.collection.sealed import SEALED_FOLDER, SealedKind, StoredBag, bags_of
from grader.commands.seal_options import usual_key
from grader.commands.seal_store import ListedBag, Subject, listed_bags, state_of, told_in
from grader.errors import PieceNotFound
from grader.evidence.seal_key import fingerprint_at, grouped

_KIND_WORDS: dict[SealedKind, str] = {'examination': "Examination", 'comparison': "Comparison"}


@dataclass(frozen=True, slots=True)
class BagRow:
    """One sealed bag in a list; by what it says itself."""

    number: int
    """Counted from 1 in the order in which they were stored."""
    name: str
    title: str
    """What is sealed, such as "Examination 2"."""
    address: str
    """Below the piece's own: the page of what is sealed; '' where the name does not tell."""
    chain_words: str
    sealed_at: str
    """As the sealer typed it, '' for nothing."""
    manifest_sha256: str
    state_words: str
    """Whether what is sealed is still as it was."""


@dataclass(frozen=True, slots=True)
class KeyFacts:
    """The key with which this computer seals."""

    path: Path
    fingerprint: str
    """In groups of four; '' where there is none yet."""


@dataclass(frozen=True, slots=True)
class SealOffer:
    """What the page that seals shows."""

    title: str
    kind: SealedKind
    number: int
    is_bag: bool
    """Whether it is itself a sealed bag, and there is nothing to seal."""
    shown: str
    """State as it is shown; sent back with the form."""
    rows: tuple[BagRow, ...]
    """Bags of it so far."""
    is_up_to_date: bool
    """Whether one of them holds just what is there now."""
    n_before: int
    """Bags of the piece so far."""


def key_facts(given: Path | None) -> KeyFacts:
    """The key that is used: the one given, else the usual one."""
    path = usual_key() if given is None else given
    fingerprint = fingerprint_at(path)
    return KeyFacts(path, grouped(fingerprint) if fingerprint else '')


def seal_offer(piece_folder: Path, subject: Subject) -> SealOffer:
    """What is to be told before an examination or a comparison is sealed."""
    listed = listed_bags(piece_folder)
    of_it = [one for one in listed if one.bag.subject == (subject.kind, subject.number)]
    told = told_in(subject.folder)
    return SealOffer(
        title=_title(subject.kind, subject.number),
        kind=subject.kind,
        number=subject.number,
        is_bag=is_sealed(subject.folder),
        shown=state_of(piece_folder, subject),
        rows=tuple(_row(one, told) for one in of_it),
        is_up_to_date=any(dict(one.told) == told for one in of_it),
        n_before=len(listed),
    )


def bag_rows(piece_folder: Path, subjects: dict[tuple[SealedKind, int], Subject]) -> tuple[BagRow, ...]:
    """All sealed bags of a piece, the newest first.

    Parameters
    ----------
    piece_folder
        Folder of the piece.
    subjects
        Examinations and comparisons that are still there.
    """
    rows = []
    for one in listed_bags(piece_folder):
        subject = None if one.bag.subject is None else subjects.get(one.bag.subject)
        rows.append(_row(one, None if subject is None else told_in(subject.folder)))
    return tuple(reversed(rows))


def bag_of(piece_folder: Path, number: int) -> StoredBag:
    """Sealed bag of a piece by its number.

    Raises
    ------
    PieceNotFound
        If there is none.
    """
    for one in bags_of(piece_folder):
        if one.number == number:
            return one
    raise PieceNotFound(f"This piece has no sealed bag {number}.", "Go back to the piece, and look at its seals.")


def latest_bag_of(piece_folder: Path, subject: Subject) -> StoredBag:
    """Newest bag of an examination or a comparison.

    Raises
    ------
    PieceNotFound
        If it was never sealed.
    """
    found = [one for one in bags_of(piece_folder) if one.subject == (subject.kind, subject.number)]
    if not found:
        raise PieceNotFound(
            f"{_title(subject.kind, subject.number)} of this piece is not sealed.", "Seal it first, then fetch it."
        )
    return found[-1]


def folder_of_bags(piece_folder: Path) -> Path:
    """Folder of all sealed bags of a piece.

    Raises
    ------
    PieceNotFound
        If there are none.
    """
    if not bags_of(piece_folder):
        raise PieceNotFound("Nothing of this piece is sealed yet.", "Go to an examination or a comparison and seal it.")
    return piece_folder / SEALED_FOLDER


def _row(one: ListedBag, told: dict[str, str] | None) -> BagRow:
    subject, facts = one.bag.subject, one.facts
    return BagRow(
        number=one.bag.number,
        name=one.bag.folder.name,
        title=one.bag.folder.name if subject is None else _title(*subject),
        address='' if subject is None or told is None else f'/{subject[0]}s/{subject[1]}',
        chain_words="its seal cannot be read" if facts is None else f"number {facts.number} of the chain",
        sealed_at='' if facts is None else facts.sealed_at,
        manifest_sha256=one.manifest_sha256,
        state_words=_state_words(one, told),
    )


def _state_words(one: ListedBag, told: dict[str, str] | None) -> str:
    if told is None:
        return "what was sealed is no longer in the collection, only here"
    if dict(one.told) == told:
        return "what was found and said is the same in the collection today"
    if 'review.json' in told and one.told.get('review.json') != told['review.json']:
        return "the review has changed since; what was said since is not in it"
    return "what was found or said is not the same in the collection today"


def _title(kind: SealedKind, number: int) -> str:
    return f"{_KIND_WORDS[kind]} {number}"

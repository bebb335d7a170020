"""The log of a review: what still counts, and how it grows. Nothing is ever taken out of it."""

from collections.abc import Sequence

from grader.errors import RecordUnreadable, SettingsInvalid
from grader.review.acts import Act, AddMark, Redraw, Undo
from grader.review.review import DrawnFacts, Entry, Statement
from grader.version import __version__


def living(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Entries that count: those that no later living entry undoes. An undo may be undone too."""
    undone: set[int] = set()
    alive = []
    for entry in reversed(entries):
        if entry.number in undone:
            continue
        alive.append(entry)
        if isinstance(entry.act, Undo) and entry.act.entry is not None:
            undone.add(entry.act.entry)
    return tuple(reversed(alive))


def acts_of_marks(entries: Sequence[Entry]) -> tuple[Entry, ...]:
    """Living entries that say something of a mark."""
    return tuple(entry for entry in living(entries) if not isinstance(entry.act, Undo))


def mark_numbers(n_found: int, entries: Sequence[Entry]) -> tuple[int, ...]:
    """Numbers of all marks: those of the record, and the added ones that were not undone."""
    added = [entry.mark for entry in acts_of_marks(entries) if isinstance(entry.act, AddMark)]
    return (*range(1, n_found + 1), *(number for number in added if number is not None))


def appended(
    entries: Sequence[Entry], act: Act, statement: Statement, drawn: DrawnFacts | None, n_found: int
) -> tuple[Entry, ...]:
    """Log with one more entry.

    Parameters
    ----------
    entries
        The log so far.
    act
        What is said.
    statement
        By whom, when and why.
    drawn
        The drawing that belongs to the act, measured; None for an act without one.
    n_found
        Number of marks in the record.

    Raises
    ------
    SettingsInvalid
        If the act is about a mark or an entry that is not there.
    """
    mark: int | None
    if isinstance(act, Undo):
        act, mark = _aimed(act, entries), None
    elif isinstance(act, AddMark):
        mark = n_found + 1 + sum(isinstance(entry.act, AddMark) for entry in entries)
    else:
        mark = act.mark
        check_mark(mark, n_found, entries)
    entry = Entry(**dict(statement), number=len(entries) + 1, act=act, mark=mark, drawn=drawn, grader=__version__)
    return (*entries, entry)


def check_log(entries: Sequence[Entry], n_found: int, name: str) -> None:
    """Check that a log from a file is one that this program could have kept: each entry fits those before it.

    Raises
    ------
    RecordUnreadable
        If it is not; `name` is that of the file.
    """
    kept: tuple[Entry, ...] = ()
    for entry in entries:
        try:
            kept = appended(kept, entry.act, _statement_in(entry), entry.drawn, n_found)
            again = kept[-1].model_copy(update={'grader': entry.grader})
            fits = again == entry and (entry.drawn is not None) == isinstance(entry.act, AddMark | Redraw)
        except SettingsInvalid:
            fits = False
        if not fits:
            raise RecordUnreadable(
                f"{name}: entry {entry.number} of the review does not fit the record or the entries before it.",
                "Bring back the review as \"grader review\" wrote it, from a sealed bag or another copy.",
            )


def check_mark(number: int, n_found: int, entries: Sequence[Entry]) -> None:
    """Check that there is a mark of this number.

    Raises
    ------
    SettingsInvalid
        If there is none.
    """
    numbers = mark_numbers(n_found, entries)
    if number in numbers:
        return
    known = ', '.join(str(one) for one in numbers) if len(numbers) <= 8 else f"1 to {numbers[-1]}"
    there = f"there are only the marks {known}" if len(numbers) > 1 else f"there is only mark {known}"
    raise SettingsInvalid(
        f"There is no mark {number}: {there if numbers else 'no mark was found, and none is added'}.",
        "Look the number up with \"grader review RECORD\" or in the annotated picture; \"add\" notes a new mark.",
    )


def _statement_in(entry: Entry) -> Statement:
    return Statement(initials=entry.initials, reason=entry.reason, at=entry.at, clock=entry.clock)


def _aimed(act: Undo, entries: Sequence[Entry]) -> Undo:
    """Undo that names its entry, checked."""
    number = act.entry
    if number is None:
        told = acts_of_marks(entries)
        if not told:
            raise SettingsInvalid("There is nothing to undo: no entry of this review counts.", "Leave \"undo\" out.")
        number = told[-1].number
    alive = {entry.number: entry for entry in living(entries)}
    if number not in alive:
        why = "it is undone already" if number <= len(entries) else f"the review has {len(entries)} entries"
        raise SettingsInvalid(
            f"Entry {number} cannot be undone: {why}.", "Look the entry's number up with \"grader review RECORD\"."
        )
    _check_not_leaned_on(alive[number], entries)
    return Undo(entry=number)


def _check_not_leaned_on(entry: Entry, entries: Sequence[Entry]) -> None:
    """Check that no later entry speaks of the mark that an entry added."""
    if not isinstance(entry.act, AddMark):
        return
    later = [one.number for one in acts_of_marks(entries) if one.mark == entry.mark and one.number != entry.number]
    if later:
        raise SettingsInvalid(
            f"Entry {entry.number} cannot be undone: it added mark {entry.mark}, of which entry {later[-1]} speaks.",
            f"Undo entry {later[-1]} first.",
        )

"""What a comparison says in plain sentences, and never more than the evidence carries."""

from collections.abc import Sequence

from calib.measured import Measured, format_measured
from grader.compare.change import ChangeName, CouldShow
from grader.compare.judgement import DesignWeight, SameVerdict
from grader.compare.sides import Side
from grader.compare.stated_size import SizeCheck, StatedSize
from grader.comparison import ChangeFacts, SamePieceFacts, ScaleFacts, SharedView, StatedSizeFacts
from grader.constants import COVERAGE_FACTOR
from grader.grade.words import KIND_WORDS, count_words, percent_words
from grader.marks.mark import MarkKind, is_damage

SIDES: tuple[Side, Side] = ('before', 'after')
"""Both sides, the earlier one first."""

SIDE_WORDS: dict[Side, str] = {'before': "earlier", 'after': "later"}
"""What the sides are called."""

NOT_BLAME = "This says nothing about who or what caused a change, nor about when between the photos it came about."
NOT_PLACED = (
    "How the piece is turned between the photos cannot be told surely, so marks were sought all round the dome and not "
    "place by place."
)
ONLY_IF_SAME = "What follows holds only if it is the same piece."
NO_CHANGE_TOLD = "So no change is told: only what becomes of one piece can be compared."
_NAMED_MOST = 3
_ROUGH_MM = 1.0  # Source: a size to whole millimetres, as is usual, is rounded by half a millimetre.

_DESIGN_WORDS: dict[DesignWeight, str] = {
    'rich': "",
    'little': "The photos show little design, so this rests much on its marks, bubbles and shape.",
    'none': "The photos show no design: this rests on its marks, bubbles and shape alone, which is weak.",
}

CHANGE_WORDS: dict[ChangeName, str] = {
    'new': "new",
    'grown': "grown",
    'unchanged': "there before and now",
    'gone': "not there now",
    'not visible then': "not to be told",
    'not visible now': "not visible now",
}
"""What became of a mark, in a few words."""

PROBABLY_NEW = "probably new"

CHANGE_MEANINGS: dict[ChangeName, str] = {
    'new': "the earlier side shows the place, and it was not there",
    'grown': "it was there, and is larger now",
    'unchanged': "both sides show it",
    'gone': "the later side shows the place, and it is not there: wiped off or mended",
    'not visible then': "whether it was there before cannot be told",
    'not visible now': "the earlier side shows it, the later one cannot show its place",
}
"""The same as an explanation."""


def photos_words(side: Side, n_photos: int) -> str:
    """Return how the photos of a side are called."""
    return f"the {SIDE_WORDS[side]} {'photo' if n_photos == 1 else 'photos'}"


def same_piece_words(verdict: SameVerdict, probability: float, design: DesignWeight) -> str:
    """Return the verdict in a sentence or two."""
    chance = percent_words(probability)
    told = {
        'same piece': f"Both sides show the same piece (probability {chance}).",
        'another piece': f"The sides show two different pieces (probability that it is one: {chance}).",
        'cannot tell': f"Whether both sides show the same piece cannot be told (probability that they do: {chance}).",
    }
    weak = _DESIGN_WORDS[design] if verdict != 'another piece' else ""
    return f"{told[verdict]} {weak}".strip()


def look_words(
    verdict: CouldShow,
    side: Side,
    n_photos: int,
    *,
    kind: MarkKind,
    size: tuple[float, float] | None,
    unit: str,
    reasons: Sequence[str],
) -> str:
    """Return what the photos of the other side could show of a mark.

    Parameters
    ----------
    verdict : CouldShow
    side : Side
        Of the photos that are told of.
    n_photos : int
        How many they are.
    kind : MarkKind
    size : tuple or None
        Size of the mark, and the smallest that shows at its place, both in `unit`; None where that is not known.
    unit : str
        'mm' or 'px'.
    reasons : sequence of str
        Why it could not be seen, or what limits the view.
    """
    photos = photos_words(side, n_photos)
    shows = "shows" if n_photos == 1 else "show"
    then = "then" if side == 'before' else "now"
    limits = "" if size is None else _limit_words(kind, size, unit, is_seen=verdict != 'could not be seen')
    because = '; '.join(reason.rstrip('.') for reason in reasons)
    if verdict == 'was seen':
        return f"Visible {then}: {photos} {shows} it."
    if verdict == 'would have been seen':
        was = "it was not there" if side == 'before' else "it is not there"
        return f"Would show in {photos}, and {was}{f': {limits}' if limits else ''}."
    if verdict == 'could not be seen':
        why = '; '.join(part for part in (limits, because) if part)
        return f"Could not be seen {then}{f': {why}' if why else ''}."
    return f"Cannot be told from {photos}{f': {because}' if because else ''}."


def change_words(change: ChangeName, look: CouldShow) -> str:
    """Return what became of a mark; a new one is only probably so unless the other side would have shown it."""
    return PROBABLY_NEW if change == 'new' and look != 'would have been seen' else CHANGE_WORDS[change]


def scale_words(scale: ScaleFacts, side: Side) -> str:
    """Return where the millimetres of a side come from; '' where there is nothing to say."""
    if scale.source == 'card':
        return ""
    if scale.source == 'none':
        return f"Of the {SIDE_WORDS[side]} side no millimetres are told: {scale.words}."
    return f"Sizes on the {SIDE_WORDS[side]} side rest on the piece itself: {scale.words}."


def summary_of(
    same: SamePieceFacts,
    changes: Sequence[ChangeFacts],
    shared: SharedView | None,
    n_photos: tuple[int, int],
    scales: tuple[ScaleFacts, ScaleFacts],
    stated: Sequence[StatedSizeFacts],
) -> tuple[str, ...]:
    """Return the outcome in sentences.

    Parameters
    ----------
    same, changes, shared, stated
        What was found.
    n_photos, scales
        Of the earlier and the later side.
    """
    sizes = [one.words for one in stated]
    if same.verdict == 'another piece':
        return (same.words, *_strongest(same), NO_CHANGE_TOLD, *sizes)
    told = [*_damage_sentences(changes, shared, n_photos), *_other_sentences(changes, n_photos)]
    whence = [scale_words(scale, side) for scale, side in zip(scales, SIDES, strict=True)]
    whence = [words for words in whence if words]
    if same.verdict == 'cannot tell':
        told = [*_strongest(same), ONLY_IF_SAME, *told]
    return (same.words, *told, *whence, *sizes, NOT_BLAME)


def stated_size_words(stated: StatedSize, measured: Measured | None, side: Side | None, check: SizeCheck | None) -> str:
    """Return what a stated size is worth."""
    name = f"The stated {stated.of} of {stated.length}"
    if measured is None or check is None or side is None:
        needed = "a photo on the card" if stated.of == 'width' else "photos from the side on the card"
        return f"{name} cannot be checked: that needs {needed}."
    found = f"the {SIDE_WORDS[side]} side measures {format_measured(measured, COVERAGE_FACTOR)}"
    if check.agrees:
        low, high = stated.mm - stated.half_step_mm, stated.mm + stated.half_step_mm
        rough = (
            f"; given so roughly, it stands for {low:.0f} mm to {high:.0f} mm"
            if stated.half_step_mm > _ROUGH_MM
            else ""
        )
        return f"{name} agrees with the measured one: {found}{rough}."
    more = "more" if check.apart_mm > 0 else "less"
    return f"{name} does not fit: {found}; the stated one is {abs(check.apart_mm):.1f} mm {more}."


def _strongest(same: SamePieceFacts) -> list[str]:
    """The one finding that weighs most, where there is one."""
    return [f"{same.grounds[0].words.rstrip('.')}."] if same.grounds else []


def _damage_sentences(
    changes: Sequence[ChangeFacts], shared: SharedView | None, n_photos: tuple[int, int]
) -> list[str]:
    """New and grown damage; where there is none, how far that goes."""
    new = [one for one in changes if one.is_new_damage and one.change == 'new']
    grown = [one for one in changes if one.is_new_damage and one.change == 'grown']
    sentences = [*_new_sentences(new, n_photos[0]), *(_grown_sentence(one) for one in grown)]
    if shared is None or shared.both_ratio == 0.0:
        return [*(sentences or ["No new damage was found."]), NOT_PLACED]
    both = percent_words(shared.both_ratio)
    if not sentences:
        return [
            f"No new damage was found where both sides show the glass clearly, {both} of the dome's surface; "
            "nothing is said of the rest."
        ]
    return [*sentences, f"Only what both sides show clearly could be compared, {both} of the dome's surface."]


def _new_sentences(new: Sequence[ChangeFacts], n_earlier: int) -> list[str]:
    """New damage by how much the earlier photos bear it out."""
    would = [one for one in new if one.is_borne_out]
    clear = [one for one in would if one.earlier is not None and one.earlier.photo is not None]
    ring = [one for one in would if one not in clear]
    less = [one for one in new if one not in would]
    photos = photos_words('before', n_earlier)
    shows = "shows" if n_earlier == 1 else "show"
    sentences = []
    if clear:
        place, none = ("its place", "it was not there") if len(clear) == 1 else ("their places", "none was there")
        sentences.append(f"{_counted(clear, 'new')}; {photos} {shows} {place} clearly and {none}.")
    if ring:
        sentences.append(f"{_counted(ring, 'new')}; {photos} {shows} no such mark anywhere round the dome.")
    if less:
        sentences.append(f"{_counted(less, PROBABLY_NEW)}; {photos} {shows} nothing there, but not clearly.")
    return sentences


def _grown_sentence(one: ChangeFacts) -> str:
    grown = f": {one.grown_words.rstrip('.')}" if one.grown_words else ""
    return f"The {_kind(one)} with number {one.number} has grown{grown}."


def _other_sentences(changes: Sequence[ChangeFacts], n_photos: tuple[int, int]) -> list[str]:
    """Marks that could not have been seen, that are gone or unchanged, and those that stay doubtful."""
    reported = [one for one in changes if one.is_reported and not one.is_new_damage]
    hidden = [one for one in reported if one.change == 'not visible then']
    sentences = [_hidden_sentence(one, n_photos[0]) for one in hidden[:_NAMED_MOST]]
    if len(hidden) > _NAMED_MOST:
        more = len(hidden) - _NAMED_MOST
        sentences.append(f"Of {more} more {_marks(more)} it cannot be told either whether they were there before.")
    sentences += _group_sentences(reported, n_photos)
    doubtful = sum(not one.is_reported for one in changes)
    if doubtful:
        sentences.append(
            f"{doubtful} more {_marks(doubtful)} of the list {'is' if doubtful == 1 else 'are'} less likely than not."
        )
    return sentences


def _hidden_sentence(one: ChangeFacts, n_earlier: int) -> str:
    photos = photos_words('before', n_earlier)
    if one.earlier is not None and one.earlier.verdict == 'could not be seen':
        why = one.earlier.words.partition(': ')[2]
        told = f"The {_kind(one)} with number {one.number} could not have been seen in {photos}"
        return f"{told}: {why}" if why else f"{told}."
    return f"Whether the {_kind(one)} with number {one.number} was there before cannot be told from {photos}."


def _group_sentences(reported: Sequence[ChangeFacts], n_photos: tuple[int, int]) -> list[str]:
    sentences = []
    added = [one for one in reported if one.change in ('new', 'grown') and not is_damage(MarkKind(one.kind))]
    if added:
        sentences.append(f"{_counted(added, 'on the later side only')}; that is no damage, and dust wipes off.")
    kept = [one for one in reported if one.change == 'unchanged']
    if kept:
        sentences.append(f"{_counted(kept, 'there before and now')}.")
    gone = [one for one in reported if one.change == 'gone']
    if gone:
        sentences.append(f"{_counted(gone, 'on the earlier side only')}: wiped off, mended, or never a mark.")
    unseen = [one for one in reported if one.change == 'not visible now']
    if unseen:
        photos = photos_words('after', n_photos[1])
        verb = "does" if n_photos[1] == 1 else "do"
        sentences.append(f"{_counted(unseen, 'on the earlier side')}, whose place {photos} {verb} not show clearly.")
    return sentences


def _counted(marks: Sequence[ChangeFacts], what: str) -> str:
    """Return such as "3 marks are new: 2 chips and 1 scratch (numbers 1, 2 and 4)"."""
    kinds = [kind for kind in MarkKind if any(one.kind == kind.value for one in marks)]
    parts = [count_words(kind, sum(one.kind == kind.value for one in marks)) for kind in kinds]
    verb = "is" if len(marks) == 1 else "are"
    numbers = _joined([str(one.number) for one in marks])
    name = "number" if len(marks) == 1 else "numbers"
    return f"{len(marks)} {_marks(len(marks))} {verb} {what}: {_joined(parts)} ({name} {numbers})"


def _limit_words(kind: MarkKind, size: tuple[float, float], unit: str, *, is_seen: bool) -> str:
    """Return size and limit, if they bear the verdict out; '' if they do not."""
    own, smallest = size
    way = "wide" if kind in (MarkKind.SCRATCH, MarkKind.DUST) else "across"
    if is_seen:
        return f"it is {_sized(own, unit)} {way}, and {_sized(smallest, unit)} shows there" if own >= smallest else ""
    if own >= smallest:
        return ""
    return f"it is {_sized(own, unit)} {way}, and nothing under {_sized(smallest, unit)} shows there"


def _sized(size: float, unit: str) -> str:
    return f"{size:.2f} {unit}" if unit == 'mm' and size < 1 else f"{size:.1f} {unit}"


def _kind(one: ChangeFacts) -> str:
    return KIND_WORDS[MarkKind(one.kind)]


def _marks(n: int) -> str:
    return "mark" if n == 1 else "marks"


def _joined(parts: Sequence[str]) -> str:
    return parts[0] if len(parts) == 1 else f"{', '.join(parts[:-1])} and {parts[-1]}"

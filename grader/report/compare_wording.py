"""Words of the picture and the page of a comparison."""

from grader.compare.change import ChangeName
from grader.compare.judgement import SameVerdict
from grader.compare.sides import Side
from grader.comparison import ChangeFacts, ComparedPhoto, Comparison
from grader.comparison_words import CHANGE_MEANINGS, CHANGE_WORDS, PROBABLY_NEW, SIDE_WORDS
from grader.grade.words import KIND_WORDS, percent_words
from grader.marks.mark import MarkKind
from grader.report.compare_constants import LEAST_LOG_ODDS
from grader.report.wording import shortened

CHANGES_HEADING = "Changes"
POSSIBLE_HEADING = "Less likely than not (dashed)"
SIGNS_HEADING = "Signs"
NOTHING_LISTED = "No mark was found on either side where the photos show the glass."
NOT_LISTED = "Two pieces: no change is told."
EMPTY_PLACE = "A dotted circle is the place of a mark in a photo that does not show it."
CLOCK_NOTE = "Both photos are turned to one clock and drawn at one width; 12 is that of the later photo."
DETAILS_NOTE = (
    "Left from the earlier photo, made as light as the later one on the right. The letters stand in the pictures."
)

_HEADLINES: dict[SameVerdict, str] = {
    'same piece': "The same piece",
    'another piece': "Two different pieces",
    'cannot tell': "Cannot tell whether it is the same piece",
}


def headline_of(comparison: Comparison) -> str:
    """Return the outcome in a few words, such as "The same piece; 3 new marks of damage"."""
    verdict = comparison.same_piece.verdict
    if verdict == 'another piece':
        return _HEADLINES[verdict]
    new = [one for one in comparison.changes if one.is_new_damage]
    n_sure = sum(one.is_borne_out for one in new)
    parts = [
        f"{n} {word} {'mark' if n == 1 else 'marks'} of damage"
        for n, word in ((n_sure, "new"), (len(new) - n_sure, PROBABLY_NEW))
        if n
    ]
    told = " and ".join(parts) or "no new damage found"
    return f"{_HEADLINES[verdict]}; {'if it is, ' if verdict == 'cannot tell' else ''}{told}"


def caption_of(side: Side, photo: ComparedPhoto, is_main: bool) -> str:
    """Return what stands above a picture."""
    name = f"{SIDE_WORDS[side].capitalize()}: {shortened(photo.photo.name)}"
    degrees = abs(round(photo.turn_deg))
    return name if is_main or degrees == 0 else f"{name}, turned by {degrees} degrees for this picture"


def details_heading(verdict: SameVerdict) -> str:
    """Return what stands above the details."""
    if verdict == 'another piece':
        return "Why these are two pieces"
    return "Why it is the same piece" if verdict == 'same piece' else "What agrees, and what does not"


def detail_line(letter: str, is_alike: bool, likeness: float) -> str:
    """Return what stands below a pair of details."""
    return f"{letter}: {'alike' if is_alike else 'not alike'} ({likeness:.2f})"


def ground_words(log_odds: float) -> str:
    """Return which way a finding speaks, and whether it weighs at all."""
    if abs(log_odds) < LEAST_LOG_ODDS:
        return "weighs little"
    return "speaks for one piece" if log_odds > 0 else "speaks against one piece"


def change_title(one: ChangeFacts) -> str:
    """Return what became of a mark, and which, such as "new: chip, 2.4 mm across"."""
    return f"{one.change_words}: {KIND_WORDS[MarkKind(one.kind)]}, {one.size_words}"


def change_details(one: ChangeFacts) -> str:
    """Return place, sureness and what the other side could show of a mark."""
    look = one.earlier or one.later
    grown = one.grown_words.rstrip('.')
    parts = [part for part in (one.place_words, f"probability {percent_words(one.confidence)}", grown) if part]
    return f"{'; '.join(parts)}. {look.words if look is not None else ''}".strip()


def sign_line(change: ChangeName) -> str:
    """Return a change and what it means."""
    return f"{CHANGE_WORDS[change]}: {CHANGE_MEANINGS[change]}"

"""Words of the annotated picture."""

import math
from collections.abc import Sequence

from calib.measured import Measured
from grader.grade.grade import Grade
from grader.grade.words import (
    KIND_MEANINGS,
    KIND_WORDS,
    confidence_words,
    length_words,
    percent_words,
    place_words,
    points_words,
)
from grader.marks.mark import Mark, MarkKind

FOUND_HEADING = "Marks found"
POSSIBLE_HEADING = "Possible marks (dashed)"
POSSIBLE_NOTE = "Less likely than not; each counts in part."
NOTHING_FOUND = "No marks found on the glass that this photo shows."
REJECTED_HEADING = "Rejected in the review (crossed out)"
REJECTED_NOTE = "The program took them for marks; they cost nothing."
UNSEEN_HEADING = "Could not be seen here (hatched)"
UNSEEN_NOTE = "Marks may hide there."
SHAPES_HEADING = "Shapes"
LARGEST_WIDTH = "largest width"
SMALLEST_WIDTH = "smallest width"
CLOCK_BY_CARD = "Clock positions: 12 is towards the card's top edge."
CLOCK_BY_PHOTO = "Clock positions: 12 is towards the top of the photo."
NO_CARD = "No card in the photo, so no millimetres: sizes are shares of the largest width."


def close_up_line(whole_name: str) -> str:
    """Return what is said below the list of a close-up that was laid over a photo of the whole piece."""
    return f"A close-up, laid over {whole_name}: places, clock positions and sizes are those of that photo."


def score_line(grade: Grade) -> str:
    """Return score and interval, such as "86 of 100, at 95 % between 80 and 90"."""
    low, high = grade.interval
    return f"Score {grade.score:.0f} of 100; with 95 % confidence between {math.floor(low)} and {math.ceil(high)}"


def mark_title(mark: Mark, piece_px: float) -> str:
    """Return kind and size, such as "chip, 2.4 ± 0.3 mm across"."""
    return f"{KIND_WORDS[mark.kind]}, {sized(mark, piece_px)}"


def sized(mark: Mark, piece_px: float) -> str:
    """Return a mark's size with its expanded uncertainty (k = 2) where there is one."""
    if mark.kind not in (MarkKind.SCRATCH, MarkKind.DUST):
        return f"{_length(mark.diameter_mm, mark.diameter_px, piece_px)} across"
    long = f"{_length(mark.length_mm, mark.length_px, piece_px)} long"
    return long if mark.width_mm is None else f"{long}, {length_words(mark.width_mm, mark.width_px, piece_px)} wide"


def mark_details(mark: Mark, cost_points: float, said: str = '') -> str:
    """Return place, likelihood and cost, such as "on the crown near 2 o'clock; very likely (88 %); about 6 points".

    What a person said of the mark stands in place of its likelihood.
    """
    cost = "costs nothing" if cost_points <= 0.0 else f"costs {points_words(cost_points)}"
    likely = said or f"{confidence_words(mark.confidence)} ({percent_words(mark.confidence)})"
    return '; '.join(part for part in (place_words(mark), likely, cost) if part)


def kind_line(kind: MarkKind) -> str:
    """Return a kind and what it is."""
    return f"{KIND_WORDS[kind]}: {KIND_MEANINGS[kind]}"


def unseen_line(reason: str, area_ratio: float, n_places: int) -> str:
    """Return why a part could not be seen and how much of the glass it is."""
    places = f", in {n_places} places" if n_places > 1 else ""
    return f"{reason}: {percent_words(area_ratio)} of the glass{places}"


def width_lines(words: str, width_mm: Measured | None, width_px: float) -> Sequence[str]:
    """Return the lines beside the arrows of a width."""
    if width_mm is None:
        return (words, f"{width_px:.0f} px")
    return (words, plus_minus(width_mm))


def scale_bar_words(length_mm: float | None, ratio: float) -> str:
    """Return the length that a scale bar stands for."""
    return f"{length_mm:g} mm" if length_mm is not None else f"{percent_words(ratio)} of the width"


def plus_minus(size: Measured, k: float = 2.0) -> str:
    """Return a length with its expanded uncertainty, one digit of it (two below 20), as JCGM 100:2008, 7.2.6 allows."""
    expanded = size.expanded(k)
    if expanded <= 0.0 or not math.isfinite(expanded):
        return f"{size.value:.2g} {size.unit}"
    place = math.floor(math.log10(expanded))
    decimals = max(1 - place if expanded / 10.0**place < 2.0 else -place, 0)
    return f"{size.value:.{decimals}f} ± {expanded:.{decimals}f} {size.unit}"


def _length(size_mm: Measured | None, size_px: float, piece_px: float) -> str:
    return length_words(None, size_px, piece_px) if size_mm is None else plus_minus(size_mm)


def shortened(name: str, most: int = 48) -> str:
    """Return a name of at most `most` letters, with its middle left out where it is longer."""
    if len(name) <= most:
        return name
    half = (most - 3) // 2
    return f"{name[:half]}...{name[-half:]}"

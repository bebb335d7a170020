"""Words for marks, their sizes, places and likelihood, as owners read them."""

import math

from calib.measured import Measured
from grader.marks.mark import Mark, MarkKind

KIND_WORDS = {
    MarkKind.SCRATCH: "scratch",
    MarkKind.CHIP: "chip",
    MarkKind.BUBBLE: "bubble",
    MarkKind.BRUISE: "bruise",
    MarkKind.DUST: "speck of dust",
}
"""One mark of each kind."""

KIND_WORDS_MANY = {
    MarkKind.SCRATCH: "scratches",
    MarkKind.CHIP: "chips",
    MarkKind.BUBBLE: "bubbles",
    MarkKind.BRUISE: "bruises",
    MarkKind.DUST: "specks of dust",
}
"""Several marks of each kind."""

KIND_MEANINGS = {
    MarkKind.SCRATCH: "a line cut into the surface",
    MarkKind.CHIP: "a flake broken out of the surface",
    MarkKind.BUBBLE: "air in the glass, from its making",
    MarkKind.BRUISE: "a crescent-shaped crack under the surface, from a knock",
    MarkKind.DUST: "lies on the glass and wipes off",
}
"""What each kind is."""

_CONFIDENCE_WORDS = (
    (0.95, "almost certain"),
    (0.80, "very likely"),
    (0.65, "likely"),
    (0.50, "more likely than not"),
    (0.25, "possible"),
    (0.00, "doubtful"),
)


def confidence_words(confidence: float) -> str:
    """Return a probability 0 to 1 in words."""
    return next(words for least, words in _CONFIDENCE_WORDS if confidence >= least)


def percent_words(ratio: float) -> str:
    """Return a share 0 to 1 in whole percent; what is there never reads as nothing, nor a part as the whole."""
    percent = round(100.0 * ratio)
    if percent == 0 and ratio > 0.0:
        return "less than 1 %"
    if percent == 100 and ratio < 1.0:
        return "more than 99 %"
    return f"{percent} %"


def length_words(size_mm: Measured | None, size_px: float, piece_px: float) -> str:
    """Return a length with its unit: mm with a card, a share of the piece's width without."""
    if size_mm is None:
        return f"{_significant(100.0 * size_px / piece_px)} % of the width"
    return f"{_significant(size_mm.value)} mm"


def size_words(mark: Mark, piece_px: float) -> str:
    """Return a mark's size: a line by length and width, a spot by the diameter of the disc of equal area."""
    if mark.kind == MarkKind.SCRATCH:
        long = length_words(mark.length_mm, mark.length_px, piece_px)
        wide = length_words(mark.width_mm, mark.width_px, piece_px)
        if mark.length_mm is None:
            return f"{long} long"
        return f"{long} long, {wide} wide"
    return f"{length_words(mark.diameter_mm, mark.diameter_px, piece_px)} across"


def place_words(mark: Mark) -> str:
    """Return zone and clock position, such as "on the crown near 2 o'clock"; '' where neither is known."""
    zone = f"on the {mark.zone}" if mark.zone else ""
    if mark.clock_h is None:
        return zone
    clock = f"near {clock_number(mark.clock_h)} o'clock"
    return f"{zone} {clock}" if zone else clock


def clock_number(clock_h: float) -> int:
    """Return the nearest full hour, 1 to 12, of a clock position 0 to 12."""
    return (math.floor(clock_h + 0.5) - 1) % 12 + 1


def points_words(points: float) -> str:
    """Return a cost in whole points."""
    whole = round(points)
    if points <= 0.0:
        return "nothing"
    if whole == 0:
        return "less than a point"
    return "about 1 point" if whole == 1 else f"about {whole} points"


def count_words(kind: MarkKind, n: int) -> str:
    """Return a number of marks of a kind, such as "3 chips"."""
    return f"{n} {KIND_WORDS[kind] if n == 1 else KIND_WORDS_MANY[kind]}"


def _significant(value: float) -> str:
    """Two significant digits, three from 10 on, and no more than two decimals."""
    if value >= 100.0:
        return f"{value:.0f}"
    return f"{value:.1f}" if value >= 1.0 else f"{value:.2f}"

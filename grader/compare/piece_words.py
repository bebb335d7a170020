"""What speaks for one piece or against it, in plain sentences."""

from calib.measured import Measured
from grader.compare.design_evidence import DesignEvidence
from grader.compare.judgement import DesignWeight
from grader.compare.piece_colours import ColourMatch
from grader.compare.piece_size import NoSize, SizeMatch
from grader.compare.same_constants import BALANCE_LARGE, COLOURS_DIFFER


def design_words(evidence: DesignEvidence | None, weight: DesignWeight, n_turns: int) -> str:
    """How the designs agree; at `n_turns` turns about as well as at the best."""
    if evidence is None:
        return "No photo from above on one of the sides, so the designs were not compared."
    if weight == 'none':
        return "The piece shows hardly any design in these photos, so that its design tells nothing."
    n_agree, n_details = count_agreeing(evidence)
    little = "There is little design to go by. " if weight == 'little' else ""
    if evidence.log_odds > 1:
        turns = "at one turn only" if n_turns == 1 else f"at {n_turns} turns alike, since it repeats"
        return f"{little}The pattern agrees {turns}: {n_agree} of {n_details} details lie where they should."
    if evidence.log_odds < -1:
        return f"{little}The pattern differs: only {n_agree} of {n_details} details lie where they should."
    return f"{little}The pattern agrees in part: {n_agree} of {n_details} details lie where they should."


def count_agreeing(evidence: DesignEvidence) -> tuple[int, int]:
    """How many details speak for one piece, and how many there are."""
    return int((evidence.details > 0).sum()), len(evidence.details)


def size_words(sizes: SizeMatch | NoSize) -> str:
    """How the widths agree."""
    if isinstance(sizes, NoSize):
        return "One side has no card, so that sizes were not compared."
    before, after = (_width(one) for one in (sizes.before, sizes.after))
    if sizes.agree:
        return f"The widths agree: {before} before and {after} after."
    return f"The widths differ by more than both doubts: {before} before and {after} after."


def colour_words(colours: ColourMatch) -> str:
    """How the colours agree."""
    if colours.left > COLOURS_DIFFER:
        return "The colours differ by more than light and camera explain."
    if colours.offset > BALANCE_LARGE:
        return "The colours agree only if the two cameras balanced white very differently."
    return "The colours agree, light and camera allowed for."


def marks_words(log_odds: float) -> str:
    """What the marks say."""
    if log_odds > 0:
        return "Marks that one side shows are seen at the same places on the other."
    return "Marks that one side shows are not seen at the same places on the other."


def _width(width: Measured) -> str:
    return f"{width.value:.1f} mm (to {max(width.expanded(), 0.1):.1f} mm)"

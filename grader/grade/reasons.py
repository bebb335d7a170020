"""Why a piece got its grade, in plain sentences, the largest costs first."""

from collections.abc import Sequence
from dataclasses import dataclass

from grader.grade.band_choice import BandChoice
from grader.grade.constants import (
    MANY_REASONS,
    REPORTED_CONFIDENCE,
    UNSEEN_WORTH_TELLING_RATIO,
    WORTH_NAMING_POINTS,
)
from grader.grade.rules import GradeRules
from grader.grade.words import KIND_WORDS, count_words, percent_words, place_words, points_words, size_words
from grader.marks.mark import Mark, MarkKind


@dataclass(frozen=True, slots=True)
class MarkCost:
    """What one mark takes from the score."""

    mark: Mark
    points: float
    """Its part of what is missing to 100; the parts of all marks sum to that."""


def grade_reasons(
    costs: Sequence[MarkCost], choice: BandChoice, unseen_ratio: float, piece_px: float, rules: GradeRules
) -> tuple[str, ...]:
    """Return the sentences that explain a grade."""
    return (
        *_cost_reasons(costs, piece_px),
        *_harmless_reasons(costs),
        *_doubt_reasons(choice, unseen_ratio),
        *([f"{headline_words(choice, rules)}."] if choice.is_borderline else []),
    )


def headline_words(choice: BandChoice, rules: GradeRules) -> str:
    """Return the condition in a few words, such as "Light wear" or "Borderline: light wear or worn"."""
    name = rules.bands[choice.index].name
    if not choice.is_borderline:
        return name[:1].upper() + name[1:]
    better, worse = sorted((choice.index, choice.other_index))
    return f"Borderline: {rules.bands[better].name} or {rules.bands[worse].name}"


def borderline_note(choice: BandChoice, rules: GradeRules) -> str:
    """Return in a sentence why a grade is borderline, '' if it is not."""
    name = rules.bands[choice.index].name
    if choice.is_withheld:
        return f"Too little of the glass could be seen to call it {rules.bands[choice.other_index].name}."
    return f"Too near a limit to be sure; the score itself says \"{name}\"." if choice.is_borderline else ""


def _cost_reasons(costs: Sequence[MarkCost], piece_px: float) -> list[str]:
    damage = [cost for cost in costs if cost.mark.kind not in (MarkKind.BUBBLE, MarkKind.DUST)]
    ranked = sorted(damage, key=lambda cost: -cost.points)
    named = [cost for cost in ranked[:MANY_REASONS] if cost.points >= WORTH_NAMING_POINTS]
    rest = ranked[len(named) :]
    sentences = [_cost_sentence(cost, piece_px) for cost in named]
    points = points_words(sum(cost.points for cost in rest))
    if rest and named:
        subject = "1 smaller mark costs" if len(rest) == 1 else f"{len(rest)} smaller marks together cost"
        sentences.append(f"{subject} {points}.")
    elif rest:
        subject = "1 slight or doubtful mark costs" if len(rest) == 1 else f"{len(rest)} slight or doubtful marks cost"
        sentences.append(f"{subject} {points}.")
    else:
        sentences += [] if named else ["No damage was found on the glass that the photo shows."]
    return sentences


def _cost_sentence(cost: MarkCost, piece_px: float) -> str:
    mark = cost.mark
    is_found = mark.confidence >= REPORTED_CONFIDENCE
    subject = f"{'A' if is_found else 'A possible'} {KIND_WORDS[mark.kind]}"
    place = place_words(mark)
    middle = f", {size_words(mark, piece_px)}{', ' + place if place else ''},"
    verb = "costs" if is_found else "counts for"
    return f"{subject}{middle} {verb} {points_words(cost.points)}."


def _harmless_reasons(costs: Sequence[MarkCost]) -> list[str]:
    sentences = []
    bubbles = [cost for cost in costs if _is_reported(cost.mark, MarkKind.BUBBLE)]
    if bubbles:
        points = points_words(sum(cost.points for cost in bubbles))
        verb = "is a feature of its making and costs" if len(bubbles) == 1 else "are features of its making and cost"
        sentences.append(f"{count_words(MarkKind.BUBBLE, len(bubbles))} in the glass {verb} {points}.")
    n_dust = sum(_is_reported(cost.mark, MarkKind.DUST) for cost in costs)
    if n_dust:
        dust = f"{count_words(MarkKind.DUST, n_dust)} {'costs' if n_dust == 1 else 'cost'} nothing"
        sentences.append(f"{dust}; wipe the glass and photograph it again.")
    return sentences


def _is_reported(mark: Mark, kind: MarkKind) -> bool:
    return mark.kind == kind and mark.confidence >= REPORTED_CONFIDENCE


def _doubt_reasons(choice: BandChoice, unseen_ratio: float) -> list[str]:
    if unseen_ratio < UNSEEN_WORTH_TELLING_RATIO:
        return []
    seen = f"{percent_words(unseen_ratio)} of the glass could not be seen; damage may hide there"
    if choice.is_withheld:
        return [f"{seen}, too much to call the piece clean."]
    return [f"{seen}, so the score may be lower."]

"""How a review changed the grade, in sentences."""

from collections.abc import Sequence

from grader.grade.words import KIND_WORDS, percent_words
from grader.marks.mark import MarkKind
from grader.record import GradeFacts, GradingRecord
from grader.review.constants import SAME_SCORE_POINTS, WORTH_TELLING_POINTS
from grader.review.review import ReviewedMark


def change_sentences(record: GradingRecord, marks: Sequence[ReviewedMark], grade: GradeFacts) -> tuple[str, ...]:
    """Return how the review changed the grade: the whole first, then mark by mark, the largest change first."""
    spoken = [mark for mark in marks if mark.status != 'not reviewed']
    if not spoken:
        return ("Nothing is reviewed yet; the grade is that of the record.",)
    ranked = sorted(spoken, key=lambda mark: (-abs(_change(mark)), mark.number))
    n_open = len(marks) - len(spoken)
    sentences = [_whole_sentence(record.grade, grade), *(_mark_sentence(mark) for mark in ranked)]
    if n_open:
        verb = "mark was not reviewed and counts" if n_open == 1 else "marks were not reviewed and count"
        sentences.append(f"{n_open} {verb} as the program found {'it' if n_open == 1 else 'them'}.")
    if record.unseen_ratio > 0.0:
        unseen = percent_words(record.unseen_ratio)
        sentences.append(f"The review does not change that {unseen} of the glass could not be seen.")
    return tuple(sentences)


def score_words(score: float) -> str:
    """Return a score as the review tells it, with one decimal, since small changes are what it is about."""
    return f"{score:.1f}"


def _whole_sentence(before: GradeFacts, after: GradeFacts) -> str:
    step = after.score - before.score
    if abs(step) < SAME_SCORE_POINTS:
        score = f"leaves the score at {score_words(before.score)}"
    else:
        verb = "raises" if step > 0 else "lowers"
        score = f"{verb} the score from {score_words(before.score)} to {score_words(after.score)}"
    if after.headline == before.headline:
        return f"The review {score}; the condition stays \"{before.headline}\"."
    return f"The review {score}; the condition becomes \"{after.headline}\" instead of \"{before.headline}\"."


def _mark_sentence(mark: ReviewedMark) -> str:
    facts = mark.mark
    place = f", {facts.place_words}" if facts.place_words else ""
    kind = KIND_WORDS[MarkKind(facts.kind)]
    if mark.status == 'added':
        return f"Mark {mark.number}, a {kind} {facts.size_words}{place}, is added: {_cost(facts.cost_points)}."
    subject = f"Mark {mark.number} ({kind}{place})"
    before = mark.found_cost_points or 0.0
    if mark.status == 'rejected':
        given = f"{_points(before)} no longer counted" if before >= WORTH_TELLING_POINTS else "it cost nothing anyway"
        return f"{subject} is rejected: {given}."
    is_as_found = mark.found_kind is None or mark.found_kind == facts.kind
    said = "is confirmed" if is_as_found else f"is a {kind} and no {KIND_WORDS[MarkKind(str(mark.found_kind))]}"
    if abs(_change(mark)) < WORTH_TELLING_POINTS:
        return f"{subject} {said}: {_cost(facts.cost_points)}, as before."
    return f"{subject} {said}: {_cost(facts.cost_points)} instead of {_number(before)}."


def _change(mark: ReviewedMark) -> float:
    return mark.mark.cost_points - (mark.found_cost_points or 0.0)


def _cost(points: float) -> str:
    return "it costs nothing" if points < WORTH_TELLING_POINTS else f"it costs {_points(points)}"


def _points(points: float) -> str:
    number = _number(points)
    return number if number == "nothing" else f"{number} {'point' if number == '1.0' else 'points'}"


def _number(points: float) -> str:
    return "nothing" if points < WORTH_TELLING_POINTS else f"{points:.1f}"

"""A study in sentences, which go only as far as its data."""

import math
from collections.abc import Sequence

from grader.study.constants import (
    ENOUGH_CATEGORIES,
    FEW_DOF,
    FEW_PIECES,
    GAUGE_FAIR_PERCENT,
    GAUGE_GOOD_PERCENT,
    PHOTOS_OF_MEAN,
    WANTED_RATIO,
)
from grader.study.intervals import dof_wanted
from grader.study.reading import Reading
from grader.study.study import FleissFacts, KappaFacts, LimitFacts, MarksAgain, NotStudied, QuantityStudy

SOURCE_WORDS = {
    'piece': "between pieces",
    'setup': "between set-ups",
    'interaction': "set-ups with pieces",
    'repeat': "between photos by one set-up",
    'reproducibility': "set-ups in all",
    'gauge': "grader and photos in all",
    'total': "in all",
}
_LEADS = {'score': "scores", 'width': "largest widths", 'marks': "numbers of marks"}
_PHOTOS_A_PIECE = 4


def summary_of(
    quantities: Sequence[QuantityStudy],
    not_studied: Sequence[NotStudied],
    kappas: Sequence[KappaFacts],
    all_setups: FleissFacts | None,
    again: MarksAgain | None,
) -> tuple[str, ...]:
    """The study in sentences, the weightiest first; what each quantity's spread comes from stands with it."""
    sentences = []
    for one in quantities:
        sentences.append(limit_words(one, one.repeat, is_other=False))
        if one.between_setups is not None:
            sentences.append(limit_words(one, one.between_setups, is_other=True))
    sentences += spread_words(quantities[0])[:1] if quantities else []
    sentences += [kappa_words(one) for one in kappas]
    sentences += [*fleiss_words(all_setups), *again_words(again)]
    sentences += [not_studied_words(one) for one in not_studied]
    if quantities and quantities[0].repeat.limit > 0:
        sentences += [mean_words(quantities[0]), needs_words(quantities[0])]
    return tuple(sentences)


def quantity_words(one: QuantityStudy) -> tuple[str, ...]:
    """What is to be said of a quantity beside its limits."""
    return (*spread_words(one), *bias_words(one))


def doubts_of(quantities: Sequence[QuantityStudy], readings: Sequence[Reading], n_left_out: int) -> tuple[str, ...]:
    """What the study cannot tell."""
    doubts = []
    few = [one for one in quantities if one.repeat.degrees_of_freedom < FEW_DOF]
    if few:
        dof = min(one.repeat.degrees_of_freedom for one in few)
        doubts.append(
            f"The figures rest on as few as {number(dof)} degrees of freedom (photos beyond those it takes to know "
            "each mean), so they are rough: mind the intervals."
        )
    n_pieces = len({one.piece for one in readings})
    if n_pieces < FEW_PIECES:
        doubts.append(
            f"There are only {count(n_pieces, 'piece')}. Shares of the spread, correlations and distinct categories "
            "depend on which pieces they are: pieces that differ more make any gauge look better."
        )
    doubts.append(
        "Limits and intervals take the differences for normal ones. Scores leap where a mark is just found, just "
        "missed or taken for another kind, so large differences are more frequent than in a normal distribution; the "
        "number of pairs within the limit tells how it was here."
    )
    doubts.append("A study tells how well photos repeat, not how near they come to the truth.")
    if n_left_out:
        doubts.append(f"{count(n_left_out, 'photo')} took no part; why stands in the list of photos.")
    return tuple(doubts)


def limit_words(one: QuantityStudy, limit: LimitFacts, *, is_other: bool) -> str:
    """How far two photos of the same piece differ."""
    by = "by different set-ups " if is_other else "by the same set-up " if one.between_setups is not None else ""
    if limit.limit_low is None or limit.limit_high is None:
        pairs = count(limit.n_pairs, 'pair')
        return (
            f"The {_LEADS[one.name]} of two photos of the same piece {by}never differed here ({pairs}). That does not "
            "show that they never will."
        )
    interval = f"{short(limit.limit_low)} to {short(limit.limit_high)}"
    within = f" Here {limit.n_pairs_within} of {count(limit.n_pairs, 'pair')} did." if limit.n_pairs else ""
    return (
        f"The {_LEADS[one.name]} of two photos of the same piece {by}differ by less than "
        f"{amount(limit.limit, one.unit)} in 95 of 100 cases; by these data that figure may be anything from "
        f"{interval} (95 % interval, {number(limit.degrees_of_freedom)} degrees of freedom).{within}"
    )


def spread_words(one: QuantityStudy) -> list[str]:
    """What dominates the spread, and how many classes of pieces can be told apart."""
    parts = {part.source: part for part in one.components}
    if parts['total'].variance <= 0:
        return []
    told = [source for source in ('piece', 'repeat', 'setup', 'interaction') if source in parts]
    told.sort(key=lambda source: -parts[source].variance)
    shares = ", ".join(f"{percent(parts[source].percent_contribution)} {source_words(one, source)}" for source in told)
    sentences = [f"Of all variance of the {one.words} here {shares}."]
    if 'setup' in parts and parts['gauge'].variance > 0:
        main = max(('repeat', 'setup', 'interaction'), key=lambda name: parts[name].variance if name in parts else -1.0)
        sentences[0] += f" Of what is not the pieces' own, most is {SOURCE_WORDS[main]}."
    if 'piece' in parts and one.distinct_categories is not None:
        gauge = parts.get('gauge', parts['repeat']).percent_study
        verdict = "good" if gauge <= GAUGE_GOOD_PERCENT else "fair" if gauge <= GAUGE_FAIR_PERCENT else "poor"
        enough = "" if one.distinct_categories >= ENOUGH_CATEGORIES else f", where {ENOUGH_CATEGORIES} are wished for"
        classes = f"{one.distinct_categories} class" + ("" if one.distinct_categories == 1 else "es")
        sentences.append(
            f"As a gauge that tells these pieces apart by {one.words} it is {verdict}: {gauge:.0f} % of the study "
            f"variation is its own, and {classes} of pieces can be told apart{enough}."
        )
    return sentences


def source_words(one: QuantityStudy, source: str) -> str:
    """Name of a source of the spread of a quantity."""
    if source == 'repeat' and one.between_setups is None:
        return "between photos of a piece"
    return SOURCE_WORDS[source]


def bias_words(one: QuantityStudy) -> list[str]:
    """By how much set-ups differ on the same pieces."""
    found = []
    for pair in one.agreements:
        low, high = pair.bias.low, pair.bias.high
        sure = "which chance may give" if low <= 0 <= high else "which is hardly chance"
        higher = "higher" if pair.bias.value >= 0 else "lower"
        found.append(
            f"{_LEADS[one.name].capitalize()} by {name(pair.first)} are {amount(abs(pair.bias.value), one.unit)} "
            f"{higher} than by {name(pair.second)} on the same {count(pair.n_pieces, 'piece')}, {sure} (95 % interval "
            f"{signed(low)} to {signed(high)}); single differences lie between {signed(pair.lower_limit.value)} and "
            f"{signed(pair.upper_limit.value)} in 95 of 100 cases."
        )
    return found


def kappa_words(one: KappaFacts) -> str:
    """How far two set-ups agree in the word."""
    start = (
        f"{name(one.first).capitalize()} and {name(one.second)} give the same word for {one.n_same} of "
        f"{count(one.n_pieces, 'piece')}"
    )
    if one.linear is None or one.quadratic is None:
        return f"{start}. All pieces have the same word, so kappa tells nothing."
    if one.n_same == one.n_pieces:
        return f"{start}. So kappa is 1, and its interval cannot be told: that they never disagreed here is no promise."
    few = "; with so few pieces the interval is not to be trusted" if one.n_pieces < FEW_PIECES else ""
    return (
        f"{start}; weighted kappa {one.quadratic.value:.2f} with squared weights (95 % interval "
        f"{one.quadratic.low:.2f} to {one.quadratic.high:.2f}), {one.linear.value:.2f} with linear ones{few}."
    )


def fleiss_words(all_setups: FleissFacts | None) -> list[str]:
    """How far all set-ups agree in the word."""
    if all_setups is None:
        return []
    return [
        f"All {all_setups.n_setups} set-ups together: Fleiss' kappa {all_setups.kappa:.2f} for the word, on "
        f"{count(all_setups.n_pieces, 'piece')}; it takes all differences of words for equally bad."
    ]


def again_words(again: MarksAgain | None) -> list[str]:
    """How often the same mark is found again."""
    if again is None:
        return []
    found = []
    for facts, by in ((again.same_setup, "by the same set-up"), (again.other_setup, "by another set-up")):
        if facts is not None:
            low, high = 100 * facts.ratio.low, 100 * facts.ratio.high
            alike = 100 * facts.n_same_kind / max(facts.n_again, 1)
            kinds = f" Of these, {alike:.0f} of 100 call it the same kind of mark." if facts.n_again else ""
            found.append(
                f"A mark that one photo reports is reported by another photo {by} that sees its place well in "
                f"{100 * facts.ratio.value:.0f} of 100 cases (95 % interval {low:.0f} to {high:.0f}; "
                f"{count(facts.n_marks, 'mark')}, {count(facts.n_looks, 'second look')}, matched by their place on the "
                f"dome).{kinds}"
            )
    return found or ["No mark was reported where a second photo could have shown it, so none could be found again."]


def not_studied_words(one: NotStudied) -> str:
    """Why a quantity is not studied."""
    return f"Of the {_LEADS[one.name]} nothing can be told. {one.reason}"


def mean_words(one: QuantityStudy) -> str:
    """What more photos would bring."""
    shares = ", ".join(
        f"{short(one.repeat.limit / math.sqrt(n))} with {n}" for n in PHOTOS_OF_MEAN[1:]
    )  # fmt: skip
    but = "" if one.between_setups is None else " What set-ups differ by is not made smaller so."
    return (
        f"Means of several photos of a piece differ by less: the {one.words} by {amount(one.repeat.limit, one.unit)} "
        f"with 1 photo, {shares}.{but}"
    )


def needs_words(one: QuantityStudy) -> str:
    """How large a study would have to be."""
    wanted = dof_wanted()
    pieces = math.ceil(wanted / (_PHOTOS_A_PIECE - 1))
    margin = f"{100 * WANTED_RATIO:.0f} %"
    has = number(one.repeat.degrees_of_freedom)
    if one.repeat.degrees_of_freedom >= wanted:
        return f"The study is large enough: the interval of its first figure goes no more than {margin} above it."
    return (
        f"For an interval that goes no more than {margin} above the figure it takes {wanted} degrees of freedom, and "
        f"there are {has}: such as {pieces} pieces photographed {_PHOTOS_A_PIECE} times each by one set-up."
    )


def amount(value: float, unit: str) -> str:
    """Value to two digits that count, with its unit."""
    return f"{short(value)} {unit}"


def percent(value: float) -> str:
    """Share in words that never make nothing of something small."""
    if 0 < value < 1:
        return "less than 1 %"
    return "more than 99 %" if 99 < value < 100 else f"{value:.0f} %"


def short(value: float) -> str:
    """Value to two digits that count, never with a power of ten."""
    if value == 0:
        return "0"
    digits = max(1 - math.floor(math.log10(abs(value))), 0)
    text = f"{value:.{digits}f}"
    # 9.96 becomes 10.0, which has one digit too many.
    return f"{value:.{max(digits - 1, 0)}f}" if float(text) != 0 and _n_digits(text) > 2 and digits > 0 else text


def signed(value: float) -> str:
    """The same with a sign."""
    return f"{'−' if value < 0 else '+'}{short(abs(value))}"


def number(value: float) -> str:
    """Degrees of freedom, which need not be whole."""
    return f"{value:.0f}" if abs(value - round(value)) < 0.05 else f"{value:.1f}"


def count(n: int, thing: str) -> str:
    """So many things."""
    return f"{n} {thing}" if n == 1 else f"{n} {thing}s"


def name(setup: str) -> str:
    """Name of a set-up in a sentence."""
    return f"\"{setup}\"" if setup else "the only set-up"


def _n_digits(text: str) -> int:
    return len(text.replace('.', '').lstrip('0-'))

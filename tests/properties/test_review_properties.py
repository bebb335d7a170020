"""What holds for any review of any record."""

from hypothesis import given, settings
from hypothesis import strategies as st

from grader.grade.rules import load_rules
from grader.review.acts import Undo
from grader.review.apply import apply_entries, regrade
from grader.review.mark_of_facts import mark_of_facts
from grader.review.mark_states import facts_of_state, mark_states
from tests.support.reviewed import add, confirm, found_mark, log_of, redraw, reject, relabel, round_record

KINDS = ('scratch', 'chip', 'bubble', 'bruise', 'dust')
ROUNDING = 0.051
"""Half of the last place of a record's score, and what its rounded numbers move it by."""

few = settings(max_examples=25, deadline=None, derandomize=True)
shares = st.floats(0.0, 1.0)


@st.composite
def odds_of_kinds(draw):
    parts = draw(st.lists(st.floats(0.05, 1.0), min_size=5, max_size=5))
    return {kind: round(part / sum(parts), 4) for kind, part in zip(KINDS, parts, strict=True)}


@st.composite
def records(draw):
    marks = []
    for number in range(1, draw(st.integers(1, 6)) + 1):
        odds = draw(odds_of_kinds())
        place = draw(st.floats(0.0, 0.9)), draw(st.floats(0.0, 11.9))
        sizes = {name: draw(st.floats(0.1, 9.0)) for name in ('length_mm', 'width_mm', 'diameter_mm')}
        kind = max(odds, key=odds.get)
        marks.append(found_mark(number, kind, draw(shares), *place, kind_odds=odds, **sizes))
    return round_record(marks=tuple(marks), unseen_ratio=draw(st.floats(0.0, 0.6)))


@st.composite
def acts(draw, numbers):
    """One act on a mark that is there, or a new mark."""
    number, place = draw(st.sampled_from(numbers)), (draw(st.floats(0.0, 0.8)), draw(st.integers(0, 11)))
    kind = draw(st.sampled_from(KINDS))
    return draw(
        st.sampled_from(
            [confirm(number), reject(number), relabel(number, kind), redraw(number, *place), add(kind, *place)]
        )
    )


def score_of(record, entries):
    """Score before it is rounded."""
    states = mark_states(record, entries)
    certain = {'there': 1.0, 'not there': 0.0}
    return regrade(
        record,
        [mark_of_facts(facts_of_state(one, record), certain.get(one.verdict, one.found.confidence)) for one in states],
    ).score


@few
@given(records())
def test_confirming_all_marks_never_raises_the_score(record):
    before = score_of(record, ())
    entries = log_of(record, *(confirm(one.number) for one in record.marks))
    assert score_of(record, entries) <= before + 1e-9
    assert apply_entries(record, entries).grade.score <= record.grade.score + ROUNDING


@few
@given(records())
def test_rejecting_all_marks_leaves_only_what_was_not_seen(record):
    result = apply_entries(record, log_of(record, *(reject(one.number) for one in record.marks)))
    rules = load_rules(record.grade.rules_version)
    assert result.grade.score == 100.0
    assert result.grade.interval[0] <= 100.0
    if record.unseen_ratio < 0.3:
        assert result.grade.band == rules.bands[0].name
    if record.unseen_ratio > rules.doubt.most_unseen_for_clean_ratio:
        assert result.grade.headline != 'Clean'
    assert all(one.mark.cost_points == 0.0 for one in result.marks)


@few
@given(st.data())
def test_undo_gives_back_the_earlier_state_byte_for_byte(data):
    record = data.draw(records())
    numbers = [one.number for one in record.marks]
    before = data.draw(st.lists(acts(numbers), max_size=3))
    further = data.draw(st.lists(acts(numbers), min_size=1, max_size=3))
    log = log_of(record, *before, *further, *([Undo()] * len(further)))
    kept = log[: len(before)]
    assert apply_entries(record, log) == apply_entries(record, kept)


@few
@given(st.data())
def test_acts_on_unlike_marks_may_come_in_any_order(data):
    record = data.draw(records())
    chosen = [data.draw(acts([one.number]).filter(lambda act: act.action != 'add')) for one in record.marks]
    turned = data.draw(st.permutations(chosen))
    assert apply_entries(record, log_of(record, *turned)) == apply_entries(record, log_of(record, *chosen))


@few
@given(records(), st.permutations([('chip', 0.1, 3.0), ('scratch', 0.5, 6.0), ('bruise', 0.7, 9.0)]))
def test_added_marks_are_graded_alike_in_any_order(record, places):
    one = apply_entries(record, log_of(record, *(add(*place) for place in sorted(places))))
    other = apply_entries(record, log_of(record, *(add(*place) for place in places)))
    assert one.grade == other.grade
    without_number = [{(mark.mark.kind, mark.mark.outline_px) for mark in result.marks} for result in (one, other)]
    assert without_number[0] == without_number[1]


@few
@given(st.data())
def test_one_more_mark_never_raises_the_score(data):
    record = data.draw(records())
    kind, place = data.draw(st.sampled_from(KINDS)), (data.draw(st.floats(0.0, 0.8)), 5.0)
    before = apply_entries(record, log_of(record, confirm(1)))
    after = apply_entries(record, log_of(record, confirm(1), add(kind, *place)))
    assert after.grade.score <= before.grade.score

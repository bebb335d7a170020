"""Reports made from a comparison: their parts, their words, and whole pages."""

import hashlib

import pytest

from grader.comparison import MatchFacts
from grader.documents.blocks import Cards, Heading, Points, Table
from grader.documents.change_pictures import turn_between
from grader.documents.compared import ComparedPiece
from grader.documents.handover import Additions, handover_report
from grader.documents.handover_words import BEFORE_AFTER, PURCHASE
from grader.documents.pdf_write import pdf_of
from grader.documents.time_line import event_from, events_of
from grader.errors import SettingsInvalid
from tests.support.compared_sides import set_photo_of, usual_compared
from tests.support.report_pages import all_text, check_pages, loaded, photo_array, png_bytes


@pytest.fixture(scope='module')
def compared() -> ComparedPiece:
    comparison = usual_compared().comparison
    sha256 = hashlib.sha256(comparison.to_json().encode()).hexdigest()
    before, after = ((set_photo_of(k).findings.view.photo,) for k in (0, 1))
    return ComparedPiece(comparison, sha256, before, after)


@pytest.mark.parametrize('words', [BEFORE_AFTER, PURCHASE], ids=['journey', 'purchase'])
@pytest.mark.parametrize('paper', ['a4', 'letter'])
def test_pages_are_whole(compared, words, paper):
    packing = tuple(loaded(f'box-{k}.png', png_bytes(photo_array(300, 200 + 90 * k))) for k in range(3))
    events = (event_from('2026-03-02 handed to the carrier'),)
    report = handover_report(compared, words, Additions(packing=packing, events=events))
    check_pages(pdf_of(report, paper), paper)


def test_parts_stand_in_their_order(compared):
    report = handover_report(compared, BEFORE_AFTER, Additions())
    firsts = [block.words for block in report.blocks if isinstance(block, Heading) and block.level == 1]
    wanted = [
        "Is it the same piece?",
        "Changes",
        "Could it have been seen in the earlier photos?",
        "What could not be compared",
        "Time line",
        "Usual steps after a journey",
        "What this report is, and what it is not",
        "Appendix: the files behind this report",
    ]
    assert [words for words in firsts if words in wanted] == wanted


def test_each_told_change_has_a_row_an_answer_and_pictures(compared):
    report = handover_report(compared, BEFORE_AFTER, Additions())
    told = [one for one in compared.comparison.changes if one.is_reported]
    changes = next(block for block in report.blocks if isinstance(block, Table) and len(block.columns) == 6)
    assert [row[0] for row in changes.rows] == [str(one.number) for one in told]
    asked = [one for one in told if one.earlier is not None]
    could = next(block for block in report.blocks if isinstance(block, Table) and len(block.columns) == 5)
    assert [row[0] for row in could.rows] == [str(one.number) for one in asked]
    cards = [card for block in report.blocks if isinstance(block, Cards) for card in block.cards]
    for one in told:
        card = next(card for card in cards if card.title.startswith(f"{one.number} · "))
        assert 1 <= len(card.pictures) <= 2


def test_steps_defer_to_the_terms_and_nothing_reads_as_advice(compared):
    for words in (BEFORE_AFTER, PURCHASE):
        text = all_text(pdf_of(handover_report(compared, words, Additions()), 'a4'))
        assert "what they say goes before this list" in text
        assert "It is no appraisal and no valuation" in text
        assert "It is no legal advice and no advice about insurance." in text
        for claim in ('you are entitled', 'you are covered', 'must pay', 'will be paid', 'liable', 'guarantee'):
            assert claim not in text.lower()


def test_steps_name_what_is_usual():
    steps = ' '.join(BEFORE_AFTER.steps)
    for what in (
        'Photograph the packaging',
        'Keep all of it',
        'Note date',
        'within the time limit',
        'Do not clean, repair',
    ):
        assert what in steps


def test_of_two_pieces_no_change_is_told(compared):
    same = compared.comparison.same_piece.model_copy(update={'verdict': 'another piece'})
    other = compared.comparison.model_copy(update={'same_piece': same})
    report = handover_report(
        ComparedPiece(other, compared.comparison_sha256, compared.before, compared.after), PURCHASE, Additions()
    )
    assert "Two pieces: no change is told." in all_text(pdf_of(report, 'a4'))
    assert not [block for block in report.blocks if isinstance(block, Table) and len(block.columns) in (5, 6)]


def test_events_stand_in_their_order_with_who_says_so(compared):
    given = [event_from('2026-03-05 10:30 parcel taken in'), event_from(' 2026-03-02:  posted ')]
    stated = compared.comparison.model_copy(update={'made_at': '2026-03-06T08:00:00'})
    events = events_of(stated, ("Before", "After"), given)
    told = [(event.when, event.words) for event in events if event.source == "as the user states"]
    assert told == [("2026-03-02", "posted"), ("2026-03-05, 10:30", "parcel taken in")]
    assert [event.when for event in events] == sorted(event.when for event in events)
    assert events[-1].words == "Both sides compared"


@pytest.mark.parametrize(
    'text', ['posted', '2026-02-30 posted', '2026-03-02', '2026-03-02 25:00 posted', '02.03.2026 x']
)
def test_an_event_without_a_date_is_refused(text):
    with pytest.raises(SettingsInvalid, match="a date and what happened are needed"):
        event_from(text)


@pytest.mark.parametrize(('turn', 'told'), [(1, 90.0), (2, 180.0), (3, -90.0)])
def test_the_turn_between_photos_is_told_by_the_design(turn, told):
    points = [(0.0, 0.0), (10.0, 3.0), (4.0, 8.0), (-7.0, 5.0)]
    rotated = [complex(*point) * 1j**turn * 1.5 + (40 - 3j) for point in points]
    matches = [
        MatchFacts(before_photo='a', after_photo='b', before_px=p, after_px=(q.real, q.imag), likeness=0.9)
        for p, q in zip(points, rotated, strict=True)
    ]
    assert abs(turn_between(matches, 'a', 'b')) * 57.29578 == pytest.approx(abs(told), abs=0.1)
    assert turn_between(matches[:2], 'a', 'b') == 0.0
    assert turn_between(matches, 'b', 'a') == 0.0


def test_details_that_do_not_agree_tell_no_turn():
    befores, afters = [(0.0, 0.0), (10.0, 0.0), (0.0, 10.0)], [(0.0, 0.0), (-10.0, 0.0), (0.0, 10.0)]
    matches = [
        MatchFacts(before_photo='a', after_photo='b', before_px=p, after_px=q, likeness=0.9)
        for p, q in zip(befores, afters, strict=True)
    ]
    assert turn_between(matches, 'a', 'b') == 0.0


def test_the_listing_is_told_in_the_words_of_a_purchase(compared):
    report = handover_report(compared, PURCHASE, Additions())
    assert (report.kind, report.prefix) == ("Listing and arrival", 'LA')
    boxes = next(block for block in report.blocks if isinstance(block, Points) and block.sign == 'box')
    assert boxes.sentences[0].startswith("Keep the listing as it was")

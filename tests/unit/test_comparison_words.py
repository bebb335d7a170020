"""Sentences of a comparison: exact texts, and what they must not say."""

from dataclasses import replace

import pytest

from grader.comparison_words import NOT_BLAME, look_words, same_piece_words
from grader.marks.mark import MarkKind
from grader.sets.find_turns import PhotoTurn
from tests.support.compared_sides import change_at, compared_of, usual_compared


def summary(*changes, verdict='same piece'):
    return compared_of(changes, verdict).comparison.summary


def test_one_of_each():
    told = usual_compared().comparison.summary
    assert told[0] == "Both sides show the same piece (probability 98 %)."
    assert told[1] == (
        "1 mark is new: 1 chip (number 1); the earlier photo shows its place clearly and it was not there."
    )
    assert told[2].startswith("Only what both sides show clearly could be compared, ")
    assert told[3] == (
        "The scratch with number 2 could not have been seen in the earlier photo: it is 0.10 mm wide, and nothing under "
        "0.30 mm shows there."
    )
    assert told[4:] == (
        "1 mark is there before and now: 1 bubble (number 4).",
        "1 mark is on the earlier side only: 1 speck of dust (number 3): wiped off, mended, or never a mark.",
        "1 more mark of the list is less likely than not.",
        NOT_BLAME,
    )


def test_several_new_marks_are_counted_by_kind():
    told = summary(change_at(), change_at(kind='scratch', right=-0.2), change_at(right=0.3, down=-0.1))
    assert told[1] == (
        "3 marks are new: 1 scratch and 2 chips (numbers 1, 2 and 3); the earlier photo shows their places clearly and "
        "none was there."
    )


def test_new_without_a_clear_earlier_look_claims_less():
    told = summary(change_at(verdict='open'))
    assert told[1] == (
        "1 mark is probably new: 1 chip (number 1); the earlier photo shows nothing there, but not clearly."
    )


def test_what_is_not_placed_claims_no_place():
    change = change_at()
    change = replace(change, other_look=replace(change.other_look, photo=None, centre_px=None))
    told = compared_of((change,), turn=PhotoTurn(0.0, 0.0, 0.3, "made by hand")).comparison.summary
    assert told[1] == "1 mark is new: 1 chip (number 1); the earlier photo shows no such mark anywhere round the dome."
    assert told[2].startswith("How the piece is turned between the photos cannot be told surely")
    assert not any('clearly' in sentence for sentence in told)


def test_nothing_new_is_not_called_clean():
    told = summary()
    assert told[1].startswith("No new damage was found where both sides show the glass clearly, ")
    assert told[1].endswith("% of the dome's surface; nothing is said of the rest.")
    assert not any('clean' in sentence for sentence in told)


def test_what_could_not_be_seen_is_never_called_new():
    told = ' '.join(summary(change_at('not visible then', verdict='could not be seen', reasons=("out of view",))))
    assert "could not have been seen in the earlier photo" in told
    assert ' new: ' not in told


def test_what_is_open_stays_open():
    told = summary(change_at('not visible then', verdict='open'))
    assert "Whether the chip with number 1 was there before cannot be told from the earlier photo." in told


def test_grown_damage():
    told = summary(change_at('grown', grown_words="it is 2.1 mm longer", verdict='was seen', seen_there=True))
    assert told[1] == "The chip with number 1 has grown: it is 2.1 mm longer."


def test_cannot_tell_makes_all_conditional():
    told = summary(change_at(), verdict='cannot tell')
    assert told[:3] == (
        "Whether both sides show the same piece cannot be told (probability that they do: 40 %).",
        "The design agrees in 40 of 42 places.",
        "What follows holds only if it is the same piece.",
    )


def test_two_pieces_tell_no_change():
    told = summary(verdict='another piece')
    assert told[-1] == "So no change is told: only what becomes of one piece can be compared."


@pytest.mark.parametrize('design', ['little', 'none'])
def test_little_design_says_so(design):
    assert 'design' in same_piece_words('same piece', 0.9, design)


@pytest.mark.parametrize(
    ('verdict', 'size', 'reasons', 'words'),
    [
        ('was seen', None, (), "Visible then: the earlier photo shows it."),
        ('would have been seen', (0.4, 0.2), (), "Would show in the earlier photo, and it was not there: it is 0.40 mm wide, and 0.20 mm shows there."),
        # A limit above the mark's own size does not bear the verdict out, and is left unsaid.
        ('would have been seen', (0.1, 0.2), (), "Would show in the earlier photo, and it was not there."),
        ('could not be seen', (0.1, 0.3), ("soft there",), "Could not be seen then: it is 0.10 mm wide, and nothing under 0.30 mm shows there; soft there."),
        ('could not be seen', (0.4, 0.3), ("out of view.",), "Could not be seen then: out of view."),
        ('could not be seen', None, (), "Could not be seen then."),
        ('open', (0.4, 0.3), ("glare near it",), "Cannot be told from the earlier photo: glare near it."),
    ],
)  # fmt: skip
def test_words_for_a_look(verdict, size, reasons, words):
    told = look_words(verdict, 'before', 1, kind=MarkKind.SCRATCH, size=size, unit='mm', reasons=reasons)
    assert told == words


def test_words_for_several_later_photos():
    told = look_words('would have been seen', 'after', 3, kind=MarkKind.CHIP, size=(9.0, 4.0), unit='px', reasons=())
    assert told == "Would show in the later photos, and it is not there: it is 9.0 px across, and 4.0 px shows there."

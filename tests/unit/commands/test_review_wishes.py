"""What words and files ask for."""

import json
from datetime import UTC, datetime

import pytest

from grader.commands.review_wishes import DrawingOptions, statement_of, wishes_from_file, wishes_from_words
from grader.errors import SettingsInvalid
from grader.review.acts import AddMark, Confirm, Drawing, Redraw, Reject, Relabel, Undo, Wish

SQUARE = "1,1 9,1 9,9.5 1,9"
CLOCK = datetime(2026, 3, 10, 10, 9, tzinfo=UTC)


def acts(words, **drawing):
    return [wish.act for wish in wishes_from_words(words.split(), DrawingOptions(**drawing))]


def test_words():
    assert acts('') == acts('list') == []
    assert acts('confirm 3 5') == [Confirm(mark=3), Confirm(mark=5)]
    assert acts('reject 2') == [Reject(mark=2)]
    assert acts('relabel 3 chip') == [Relabel(mark=3, kind='chip')]
    assert acts('undo') == [Undo()]
    assert acts('undo 4') == [Undo(entry=4)]


def test_drawings():
    outline = Drawing(shape='outline', points_px=((1, 1), (9, 1), (9, 9.5), (1, 9)))
    assert acts('redraw 3', polygon=SQUARE) == [Redraw(mark=3, drawing=outline)]
    line = Drawing(photo='a.jpg', shape='line', points_px=((1, 2), (3, 4)), width_mm=0.2)
    assert acts('add scratch', line="1,2 3,4", photo='a.jpg', width_mm=0.2) == [AddMark(kind='scratch', drawing=line)]


@pytest.mark.parametrize(
    ('words', 'drawing', 'told'),
    [
        ('confirm', {}, "\"confirm\" is nothing that can be said of a mark"),
        ('approve 3', {}, "Say one of: list; confirm N"),
        ('confirm three', {}, "\"three\" is not a mark's or an entry's number"),
        ('confirm 0', {}, "\"0\" is not a mark's"),
        ('relabel 3 crack', {}, "\"crack\" is no kind of mark. Give one of: scratch, chip, bubble, bruise, dust"),
        ('confirm 3', {'polygon': SQUARE}, "\"confirm\" takes no drawing"),
        ('redraw 3', {}, "A drawing needs either --polygon or --line"),
        ('redraw 3', {'polygon': SQUARE, 'line': SQUARE}, "A drawing needs either"),
        ('redraw 3', {'polygon': "1,1 2"}, "--polygon: \"1,1 2\" are not points"),
        ('redraw 3', {'polygon': "1,1 2,x 3,3"}, "are not points"),
        ('redraw 3', {'polygon': "1,1 nan,2 3,3"}, "--polygon: \"points_px.1.0\": Input should be a finite number"),
        ('redraw 3', {'polygon': "1,1 2,2"}, "--polygon: an outline needs 3 points at least"),
        ('add chip', {'line': "1,1"}, "--line: a line needs 2 points"),
        ('add chip', {'polygon': SQUARE, 'width_mm': 1.0}, "an outline has its width by itself"),
        ('add chip', {'line': "1,1 2,2", 'width_mm': -1.0}, "greater than 0"),
    ],
)
def test_words_that_cannot_be_understood(words, drawing, told):
    with pytest.raises(SettingsInvalid) as caught:
        acts(words, **drawing)
    assert told in str(caught.value)


def test_a_file_of_acts(tmp_path):
    listed = [
        {'act': {'action': 'confirm', 'mark': 3}, 'reason': "felt", 'initials': 'AB', 'when': '2026-03-10T10:09'},
        {
            'act': {
                'action': 'add',
                'kind': 'chip',
                'drawing': {'shape': 'outline', 'points_px': [[1, 1], [9, 1], [9, 9]]},
            }
        },
        {'act': {'action': 'undo'}},
    ]
    (tmp_path / 'acts.json').write_text(json.dumps(listed), encoding='utf-8')
    wishes = wishes_from_file(tmp_path / 'acts.json')
    assert [wish.act.action for wish in wishes] == ['confirm', 'add', 'undo']
    assert (wishes[0].initials, wishes[1].initials) == ('AB', '')


@pytest.mark.parametrize(
    ('text', 'told'),
    [
        ('[', "is not JSON text"),
        ('{}', "is not a list of acts"),
        ('[{"act": {"action": "praise", "mark": 3}}]', "is not a list of acts: \"0.act\""),
        ('[{"act": {"action": "confirm", "mark": 3, "by": "x"}}]', "is not a list of acts: \"0.act.confirm.by\""),
        ('[{"act": {"action": "confirm", "mark": "3"}}]', None),
    ],
)
def test_files_that_hold_something_else(tmp_path, text, told):
    (tmp_path / 'acts.json').write_text(text, encoding='utf-8')
    if told is None:
        assert wishes_from_file(tmp_path / 'acts.json')[0].act.mark == 3
        return
    with pytest.raises(SettingsInvalid) as caught:
        wishes_from_file(tmp_path / 'acts.json')
    assert told in str(caught.value)


def test_a_file_that_is_not_there(tmp_path):
    with pytest.raises(SettingsInvalid, match="cannot be opened"):
        wishes_from_file(tmp_path / 'no.json')


def test_who_when_and_why():
    wish = Wish(act=Confirm(mark=1))
    by_clock = statement_of(wish, 'AB', "felt", '', CLOCK)
    assert (by_clock.at, by_clock.clock) == ('2026-03-10T10:09:00+00:00', 'computer')
    stated = statement_of(wish, ' Ä.B. ', "felt", '2026-03-09T08:00', CLOCK)
    assert (stated.initials, stated.at, stated.clock) == ('Ä.B.', '2026-03-09T08:00:00', 'stated')
    own = statement_of(wish.model_copy(update={'initials': 'CD', 'reason': "seen"}), 'AB', "felt", '', CLOCK)
    assert (own.initials, own.reason) == ('CD', "seen")


@pytest.mark.parametrize(
    ('initials', 'reason', 'when', 'told'),
    [
        ('', "felt", '', "--initials is missing"),
        ('AB', " ", '', "--reason is missing: a review says of each mark who judged it, and why"),
        ('A B', "felt", '', "\"A B\" cannot be initials"),
        ('ABCDEFGHI', "felt", '', "cannot be initials"),
        ('A\x1b', "felt", '', "cannot be initials"),
        ('AB', "felt \x1b[2J", '', "--reason: this is too long, or holds signs that are no letters"),
        ('AB', "felt " * 200, '', "--reason: this is too long"),
        ('AB', "felt", 'noon', "\"noon\" is not a date and time"),
    ],
)
def test_what_is_missing(initials, reason, when, told):
    with pytest.raises(SettingsInvalid) as caught:
        statement_of(Wish(act=Confirm(mark=1)), initials, reason, when, CLOCK)
    assert told in str(caught.value)


def test_a_fault_in_a_file_of_acts_is_not_repeated_at_length(tmp_path):
    path = tmp_path / 'acts.json'
    path.write_text(json.dumps([{'act': {'action': ['confirm'] * 50_000, 'mark': 1}}]), encoding='utf-8')
    with pytest.raises(SettingsInvalid, match=r'--actions: acts\.json is not a list of acts') as caught:
        wishes_from_file(path)
    assert len(str(caught.value)) < 600

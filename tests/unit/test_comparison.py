"""The comparison as JSON: there and back, faults, schema; and what it holds."""

import json
from dataclasses import replace

import jsonschema
import pytest

import grader
from calib.measured import Measured
from grader.compare.stated_size import check_stated_size, read_stated_size
from grader.comparison import comparison_schema_text, read_comparison
from grader.comparison_words import stated_size_words
from grader.errors import RecordUnreadable
from grader.grade.constants import REPORTED_CONFIDENCE
from grader.sets.find_turns import PhotoTurn
from tests.support.compared_sides import (
    change_at,
    compared_of,
    set_photo_of,
    side_of,
    usual_compared,
    without_card,
)
from tests.support.run_grader import ROOT


@pytest.fixture(scope='module')
def usual():
    return usual_compared().comparison


def test_there_and_back(usual, tmp_path):
    path = tmp_path / 'comparison.json'
    path.write_text(usual.to_json(), encoding='utf-8')
    assert read_comparison(path) == usual
    assert read_comparison(path).to_json() == usual.to_json()


def test_the_same_is_the_same_text(usual):
    assert compared_of(usual_compared().changes, matches=usual_compared().judgement.matches).comparison.to_json() == (
        usual.to_json()
    )


def test_it_fits_the_schema_that_is_shipped(usual):
    shipped = (ROOT / 'grader' / 'schemas' / 'comparison_v1.schema.json').read_text(encoding='utf-8')
    assert shipped == comparison_schema_text()
    jsonschema.validate(json.loads(usual.to_json()), json.loads(shipped))


def test_fields_that_others_read(usual):
    fields = json.loads(usual.to_json())
    assert fields['same_piece']['probability'] == 0.98
    assert [one['name'] for one in fields['same_piece']['grounds']] == ['design']
    for change in fields['changes']:
        assert {'change', 'kind', 'confidence', 'outline_px', 'seen_in', 'size_words', 'zone'} <= change.keys()
        assert ('earlier' in change) != ('later' in change)
    assert fields['before']['photos'][0]['photo']['sha256'] != fields['after']['photos'][0]['photo']['sha256']
    assert fields['versions']['grader'] == grader.version.__version__


def test_numbers_follow_what_matters(usual):
    assert [(one.number, one.change) for one in usual.changes] == [
        (1, 'new'), (2, 'not visible then'), (3, 'gone'), (4, 'unchanged'), (5, 'new'),
    ]  # fmt: skip
    assert [one.is_reported for one in usual.changes] == [True] * 4 + [False]
    assert usual.n_new_damage == 1


@pytest.mark.parametrize(
    ('change', 'kind', 'confidence', 'counts'),
    [
        ('new', 'chip', REPORTED_CONFIDENCE, True),
        ('grown', 'scratch', 0.9, True),
        ('new', 'bruise', 0.49, False),
        ('new', 'dust', 0.99, False),
        ('new', 'bubble', 0.99, False),
        ('unchanged', 'chip', 0.99, False),
        ('not visible then', 'chip', 0.99, False),
    ],
)
def test_what_counts_as_new_damage(change, kind, confidence, counts):
    comparison = compared_of((change_at(change, kind, confidence),)).comparison
    assert comparison.n_new_damage == int(counts)


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        ('', r'^c\.json: this is not a comparison; it is not even JSON text\. Give the comparison\.json'),
        ('{"comparison_version": 2}', 'the comparison is of version 2, and version 1 is needed. Use a newer grader'),
        ('{"record_version": 1}', 'the comparison is of version None, and version 1 is needed'),
        ('[1]', 'of version None'),
        (
            '{"comparison_version": 1}',
            r'field\(s\) of the comparison are wrong, the first is "made_at": Field required',
        ),
    ],
)
def test_faults_are_told(tmp_path, text, words):
    path = tmp_path / 'c.json'
    path.write_text(text, encoding='utf-8')
    with pytest.raises(RecordUnreadable, match=words):
        read_comparison(path)


def test_an_unknown_field_is_told(usual, tmp_path):
    fields = json.loads(usual.to_json())
    fields['changes'][0]['price'] = 5
    (tmp_path / 'c.json').write_text(json.dumps(fields))
    with pytest.raises(RecordUnreadable, match=r'1 field\(s\).*"changes\.0\.price": Extra inputs'):
        read_comparison(tmp_path / 'c.json')


def test_the_other_side_gives_the_scale_of_an_established_piece():
    bare = side_of(0, without_card(set_photo_of(0)))
    change = change_at(with_mm=False, side='before', change='gone')
    told = compared_of((change,), before=bare).comparison
    assert (told.before.scale.source, told.after.scale.source) == ('the other side', 'card')
    width_px, width = told.before.photos[0].width_px, told.after.diameter_max_mm
    assert told.before.scale.width_mm == width
    assert told.before.photos[0].mm_per_px == pytest.approx(width.value / width_px, rel=1e-3)
    assert told.changes[0].diameter_mm is not None
    assert told.changes[0].u_diameter_mm > 0.03 * told.changes[0].diameter_mm
    assert told.before.photos[0].smallest_words.count('mm') >= 1
    assert any(
        'rest on the piece itself: its largest width was measured on the later side' in one for one in told.summary
    )


def test_no_millimetres_unless_the_piece_is_established():
    bare = side_of(0, without_card(set_photo_of(0)))
    change = change_at(with_mm=False, side='before', change='gone')
    told = compared_of((change,), 'cannot tell', before=bare).comparison
    assert told.before.scale.source == 'none'
    assert told.before.photos[0].mm_per_px is None
    assert told.changes[0].diameter_mm is None
    assert ' mm' not in told.before.photos[0].smallest_words
    assert any('that it is the same piece is not established' in one for one in told.summary)


def test_the_clock_is_that_of_the_main_later_photo():
    # Turned against the clock by 60 degrees, a mark stands two hours earlier in the other photo.
    turn = PhotoTurn(1.0471975512, 0.0, 1.0, "made by hand")
    told = compared_of((change_at('gone', side='before'),), turn=turn).comparison
    assert told.changes[0].clock_h == pytest.approx(6.0)


def test_a_stated_size_is_checked_against_the_later_side():
    width = set_photo_of(1).findings.diameters.max_mm.value
    stated = (read_stated_size(f'{width:.0f} mm'), read_stated_size('20 mm'), read_stated_size('height 50 mm'))
    told = compared_of(stated=stated).comparison.stated_sizes
    assert [one.verdict for one in told] == ['agrees', 'differs', 'not checked']
    assert told[0].measured_side == 'after'
    assert told[2].words == (
        "The stated height of 50 mm cannot be checked: that needs photos from the side on the card."
    )


def test_a_roughly_stated_size_says_what_it_stands_for():
    # 3 1/2 in, to half an inch: 82.6 mm to 95.3 mm.
    stated = read_stated_size('3 1/2 in')
    words = stated_size_words(stated, Measured(90.0), 'after', check_stated_size(stated, Measured(90.0)))
    assert words.endswith("given so roughly, it stands for 83 mm to 95 mm.")


def test_flags_of_the_comparison():
    unsure = PhotoTurn(0.0, 0.0, 0.4, "made by hand")
    assert [one.name for one in compared_of(turn=unsure).comparison.flags] == ['photo-not-placed']
    assert compared_of(verdict='another piece', turn=unsure).comparison.flags == ()
    one_photo = compared_of(before=side_of(1)).comparison
    assert [one.name for one in one_photo.flags] == ['same-photo-on-both-sides']


@pytest.mark.parametrize(('verdict', 'claims'), [('same piece', True), ('cannot tell', False)])
def test_new_damage_is_claimed_of_the_same_piece_only(verdict, claims):
    comparison = compared_of((change_at(),), verdict).comparison
    assert comparison.n_new_damage == 1
    assert comparison.has_new_damage is claims


def test_two_pieces_have_no_changes():
    told = compared_of(verdict='another piece').comparison
    assert (told.changes, told.shared_view, told.n_new_damage) == ((), None, 0)
    assert told.same_piece.words == "The sides show two different pieces (probability that it is one: 40 %)."


def test_a_mark_of_another_photo_keeps_that_photo():
    change = change_at('unchanged', side='before', seen_there=True, verdict='was seen')
    facts = compared_of((change,)).comparison.changes[0]
    # Shown where the main later photo shows it, measured where it is seen best.
    assert (facts.side, facts.photo) == ('after', set_photo_of(1).name)
    assert facts.best_photo == set_photo_of(0).name
    only = compared_of((replace(change, seen_in=change.seen_in[:1]),)).comparison.changes[0]
    assert (only.side, only.photo) == ('before', set_photo_of(0).name)

"""The photos of a side: those of a record are found and checked, and what cannot be compared is told."""

import json
from dataclasses import replace
from types import SimpleNamespace

import pytest

from grader.compare.sides import Side
from grader.errors import PhotoUnreadable, RecordUnreadable, SetsNotComparable
from grader.findings import PhotoFindings
from grader.pipeline import Examination
from grader.progress import SilentProgress
from grader.settings import Settings
from grader.side_photos import SideExamination, SideGiven, examine_side, side_of_record, sides_taking_part, why_hopeless
from tests.support.compared_sides import examined
from tests.support.example_photos import cut_off_file, demo_photos, empty_ground


@pytest.fixture
def record_folder(tmp_path):
    """A record in a folder of its own, its photo in the folder above."""
    (tmp_path / 'first').mkdir()
    (tmp_path / 'first' / 'record.json').write_text(examined(0).record.to_json(), encoding='utf-8')
    photo = tmp_path / demo_photos()[0].name
    photo.write_bytes(demo_photos()[0].read_bytes())
    return tmp_path


def test_photos_are_found_above_beside_and_where_told(record_folder, tmp_path_factory):
    record, name = record_folder / 'first' / 'record.json', demo_photos()[0].name
    assert side_of_record('before', record, ()).paths == (record_folder.resolve() / name,)
    elsewhere = tmp_path_factory.mktemp('elsewhere')
    (record_folder / name).rename(elsewhere / name)
    assert side_of_record('before', record, (elsewhere,)).paths == (elsewhere / name,)
    (elsewhere / name).rename(record.parent / name)
    side = side_of_record('before', record, ())
    assert side.paths == (record.resolve().parent / name,)
    assert (side.given_as, side.record_name, side.settings) == ('record', 'record.json', examined(0).record.settings)


def test_a_photo_that_is_not_there(record_folder):
    name = demo_photos()[0].name
    (record_folder / name).unlink()
    words = rf'of its photos, {name} cannot be found .* Name the folder that they lie in with --photos'
    with pytest.raises(PhotoUnreadable, match=words):
        side_of_record('before', record_folder / 'first' / 'record.json', ())


@pytest.mark.parametrize('way', ['one bit', 'shorter'])
def test_an_altered_photo(record_folder, way):
    photo = record_folder / demo_photos()[0].name
    data = bytearray(photo.read_bytes())
    data[5000] ^= 1
    photo.write_bytes(data if way == 'one bit' else data[:-1])
    with pytest.raises(SetsNotComparable, match=r'is not the photo that this record was made of; it was altered'):
        side_of_record('before', record_folder / 'first' / 'record.json', ())


def test_the_right_one_of_two_photos_of_a_name_is_taken(record_folder):
    name = demo_photos()[0].name
    (record_folder / 'first' / name).write_bytes(demo_photos()[1].read_bytes())
    side = side_of_record('before', record_folder / 'first' / 'record.json', ())
    assert side.paths == (record_folder.resolve() / name,)


@pytest.mark.parametrize('name', ['../secret.jpg', '/etc/passwd', '..'])
def test_names_in_a_record_are_hostile(record_folder, name):
    record = record_folder / 'first' / 'record.json'
    fields = json.loads(record.read_text())
    fields['photos'][0]['name'] = name
    record.write_text(json.dumps(fields))
    with pytest.raises(PhotoUnreadable, match='cannot be found'):
        side_of_record('before', record, ())


def test_what_is_no_record(tmp_path):
    (tmp_path / 'record.json').write_text('{}')
    with pytest.raises(RecordUnreadable, match='version None'):
        side_of_record('before', tmp_path / 'record.json', ())


def given(*paths, side: Side = 'before'):
    return SideGiven(side, paths, Settings())


def test_a_side_without_a_piece(tmp_path):
    with pytest.raises(SetsNotComparable, match=r'^The later side shows no piece\. a\.jpg: '):
        examine_side(given(empty_ground(tmp_path / 'a.jpg'), side='after'), SilentProgress())


def test_a_side_without_any_usable_photo(tmp_path):
    paths = empty_ground(tmp_path / 'a.jpg'), cut_off_file(tmp_path / 'b.jpg')
    with pytest.raises(SetsNotComparable, match=r'^The earlier side has no photo that can be used\. None of the 2'):
        examine_side(given(*paths), SilentProgress())


def test_a_single_photo_that_cannot_be_read_keeps_its_fault(tmp_path):
    with pytest.raises(PhotoUnreadable, match='damaged or cut short'):
        examine_side(given(cut_off_file(tmp_path / 'b.jpg')), SilentProgress())


def examination(*findings: PhotoFindings, side: Side = 'before') -> SideExamination:
    record = examined(0).record
    return SideExamination(given(side=side), Examination(record, findings, None))


def of(number=0, **changes) -> PhotoFindings:
    return replace(examined(number).findings[0], **changes)


def small(findings: PhotoFindings) -> PhotoFindings:
    return replace(findings, diameters=replace(findings.diameters, max_px=90.0))


def blurred(findings: PhotoFindings) -> PhotoFindings:
    focus = replace(findings.quality.focus, blur_px=0.05 * findings.diameters.max_px)
    return replace(findings, quality=replace(findings.quality, focus=focus))


def test_hopeless_photos():
    assert why_hopeless(of()) == ''
    assert why_hopeless(small(of())) == "the piece is only 90 px wide in it, and 250 px are needed"
    assert 'so blurred that edges spread over 5.0 %' in why_hopeless(blurred(of()))


@pytest.mark.parametrize('spoil', [small, blurred])
def test_a_side_of_hopeless_photos(spoil):
    with pytest.raises(SetsNotComparable, match=r'^The earlier side shows too little: .* open the largest picture'):
        sides_taking_part(examination(spoil(of())), examination(of(1), side='after'))


def test_hopeless_photos_are_left_out_where_others_do():
    before, _ = sides_taking_part(examination(of(1), small(of())), examination(of(1), side='after'))
    assert [one.name for one in before.photos] == [demo_photos()[1].name]
    assert [one.name for one in before.left_out] == [demo_photos()[0].name]
    assert '90 px wide' in before.left_out[0].reason


def test_a_base_against_a_top():
    words = 'The later side shows only the base of the piece, the earlier side does not show it'
    with pytest.raises(SetsNotComparable, match=words):
        sides_taking_part(examination(of()), examination(of(1, is_base=True), side='after'))


def test_bases_are_compared_with_bases():
    before, after = sides_taking_part(
        examination(of(0, is_base=True)), examination(of(1), of(0, is_base=True), side='after')
    )
    assert [len(before.photos), len(after.photos)] == [1, 1]
    assert after.left_out[0].reason == "does not show the base, as the photos of the other side do"


def test_bases_and_close_ups_are_left_out_beside_tops():
    close_up = of(0, close_up_of='x.jpg')
    before, _ = sides_taking_part(examination(of(1), close_up), examination(of(1), of(0, is_base=True), side='after'))
    assert before.left_out[0].reason.startswith("a close-up")


def test_a_view_from_above_against_one_from_the_side():
    card = examined(0).findings[0].view.card
    aside = SimpleNamespace(spec=card.spec, camera_position_mm=(500.0, 0.0, 100.0))
    side_view = of(1, view=replace(examined(1).findings[0].view, card=aside))
    words = 'The earlier side shows the piece from above only, the later side from the side only'
    with pytest.raises(SetsNotComparable, match=words):
        sides_taking_part(examination(of()), examination(side_view, side='after'))

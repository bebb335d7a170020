"""The pictures of a comparison's page as files: those that the page shows, under names that lead nowhere else."""

import io

import pytest
from PIL import Image

from grader.errors import RecordUnreadable
from grader.report.page_pictures import PICTURES_FILE_KIND, draw_pictures
from tests.support.compared_sides import compared_of, usual_compared


@pytest.fixture(scope='module')
def drawn():
    return draw_pictures(usual_compared())


def named(facts):
    viewer = facts.viewer
    pairs = [viewer, *facts.close_ups, *facts.details]
    return [name for one in pairs for name in (one.earlier, one.later) if name is not None]


def test_each_picture_that_is_named_is_there_and_no_other(drawn):
    assert sorted(named(drawn.facts)) == sorted(drawn.jpegs)
    for name, jpeg in drawn.jpegs.items():
        with Image.open(io.BytesIO(jpeg)) as picture:
            assert (picture.format, picture.width) == ('JPEG', picture.height), name


def test_changes_and_details_are_those_of_the_comparison(drawn):
    changes = usual_compared().comparison.changes
    assert {one.number for one in drawn.facts.close_ups} <= {one.number for one in changes}
    assert [one.letter for one in drawn.facts.details] == ['A', 'B']
    lines = {one.number: one for one in drawn.facts.viewer.lines}
    side = drawn.facts.viewer.side_px
    assert lines and all(0 <= x < side and 0 <= y < side for one in lines.values() for x, y in one.points)
    assert [lines[one.number].change for one in changes if one.number in lines] == [
        one.change for one in changes if one.number in lines
    ]


def test_two_pieces_have_no_close_ups():
    assert draw_pictures(compared_of(verdict='another piece')).facts.close_ups == ()


def test_the_list_is_read_as_it_was_written(drawn):
    text = drawn.facts.to_json().encode()
    assert PICTURES_FILE_KIND.from_bytes(text, 'pictures.json') == drawn.facts


@pytest.mark.parametrize('name', ['../../secret.jpg', '/etc/passwd', 'Earlier.jpg', 'earlier.jpg.html', ''])
def test_names_that_lead_elsewhere_are_refused(drawn, name):
    text = drawn.facts.to_json().replace('"earlier.jpg"', f'"{name}"').encode()
    with pytest.raises(RecordUnreadable, match=r'are wrong, the first is "viewer\.earlier"'):
        PICTURES_FILE_KIND.from_bytes(text, 'pictures.json')

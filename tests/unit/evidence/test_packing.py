"""What goes into a bag, and that it is written as planned or not at all."""

import bagit
import pytest

from grader.errors import OutputNotWritable, PhotoSetUnusable, RecordUnreadable
from grader.evidence.bag_write import write_bag
from grader.evidence.packing import PackedFile, Packing, plan_packing
from tests.support.sealed_bags import WHEN, files_in, key, small_examination


def places(packing: Packing) -> list[str]:
    return [one.place for one in packing.files]


def test_record_first_then_results_then_photos(tmp_path):
    look = small_examination(tmp_path / 'x' / 'look')
    (look / 'A.pdf').write_bytes(b'report')
    assert places(plan_packing(look)) == [
        'data/examination/record.json',
        'data/examination/A.pdf',
        'data/examination/a.marked.jpg',
        'data/photos/a.jpg',
        'data/photos/b.jpg',
    ]


@pytest.mark.parametrize('inside', ['', 'photos'])
def test_a_photo_that_lies_in_the_examination_is_packed_once(tmp_path, inside):
    look = small_examination(tmp_path / 'x' / 'look')
    (look / inside).mkdir(exist_ok=True)
    (look.parent / 'a.jpg').rename(look / inside / 'a.jpg')
    found = places(plan_packing(look))
    assert [place for place in found if place.endswith('/a.jpg')] == ['data/photos/a.jpg']


def test_of_equal_files_the_one_of_the_right_name_is_taken(tmp_path):
    look = small_examination(tmp_path / 'x' / 'look')
    (look / 'aaa.jpg').write_bytes((look.parent / 'a.jpg').read_bytes())
    sources = {one.place: one.source for one in plan_packing(look).files}
    assert sources['data/photos/a.jpg'] == look.parent / 'a.jpg'
    assert sources['data/examination/aaa.jpg'] == look / 'aaa.jpg'


def test_a_linked_photo_is_found_and_its_bytes_are_copied(tmp_path):
    look = small_examination(tmp_path / 'x' / 'look')
    (look.parent / 'a.jpg').rename(tmp_path / 'original.jpg')
    (look.parent / 'a.jpg').symlink_to(tmp_path / 'original.jpg')
    (tmp_path / 'bag').mkdir()
    write_bag(plan_packing(look), tmp_path / 'bag', key(), None, WHEN)
    assert files_in(tmp_path / 'bag')['data/photos/a.jpg'] == b'photo 0 '
    assert not (tmp_path / 'bag/data/photos/a.jpg').is_symlink()


def test_all_photos_that_are_missing_are_told(tmp_path):
    look = small_examination(tmp_path / 'x' / 'look', ('a.jpg', 'b.jpg', 'c.jpg'))
    (look.parent / 'a.jpg').unlink()
    (look.parent / 'c.jpg').write_bytes(b'changed ')
    with pytest.raises(PhotoSetUnusable, match=r'- a\.jpg: not found\.\n- c\.jpg: .*c\.jpg has changed'):
        plan_packing(look)


def test_no_record(tmp_path):
    with pytest.raises(RecordUnreadable, match=r'there is no record\.json in this folder, nor a comparison\.json'):
        plan_packing(tmp_path)


def test_a_photo_that_changes_meanwhile_is_not_sealed(tmp_path):
    look = small_examination(tmp_path / 'x' / 'look')
    packing = plan_packing(look)
    (look.parent / 'b.jpg').write_bytes(b'photo 2 ')
    (tmp_path / 'bag').mkdir()
    with pytest.raises(PhotoSetUnusable, match='the photo changed while it was being copied'):
        write_bag(packing, tmp_path / 'bag', key(), None, WHEN)
    assert not (tmp_path / 'bag' / 'seal').exists()


def test_the_library_has_the_last_word(tmp_path):
    # It drops blanks at the end of a line, so it looks for another file; names like this are never planned.
    (tmp_path / 'a').write_bytes(b'a')
    (tmp_path / 'bag').mkdir()
    packing = Packing((PackedFile(tmp_path / 'a', 'data/examination/a '),))
    with pytest.raises(OutputNotWritable, match='cannot be read back whole') as told:
        write_bag(packing, tmp_path / 'bag', key(), None, WHEN)
    assert isinstance(told.value.__cause__, bagit.BagError)

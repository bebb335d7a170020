"""Comparisons and sealed bags in a piece's folder."""

import shutil

import pytest

from grader.collection.comparisons import comparisons_of
from grader.collection.examinations import EXAMINATIONS_FOLDER
from grader.collection.lock import locked
from grader.collection.sealed import bags_of, next_bag
from grader.collection.store_comparison import examination_of_side, store_comparison
from grader.collection.store_examination import store_examination
from grader.errors import RecordUnreadable, SettingsInvalid
from tests.support.collections import add, new_collection, rows
from tests.support.sample_comparison import comparison_folder, sample_comparison
from tests.support.sample_record import sample_record

EARLIER = sample_record(made_at='2026-03-02T09:00:00')
LATER = sample_record(made_at='2026-03-10T10:09:00')


@pytest.fixture
def place(tmp_path):
    return new_collection(tmp_path)


@pytest.fixture
def folder(place):
    return add(place, {'title': 'a'}).folder


def examined(folder, record):
    folder.mkdir()
    (folder / 'record.json').write_text(record.to_json(), encoding='utf-8')
    return folder


def store(place, folder, source):
    with locked(place, 'test'):
        return store_comparison(place, folder, source)


def test_comparisons_are_counted_and_copied_whole(place, folder, tmp_path):
    first = store(place, folder, comparison_folder(tmp_path / 'x'))
    dated = sample_comparison(made_at='2026-03-11T08:00:00')
    second = store(place, folder, comparison_folder(tmp_path / 'y', dated))
    assert [one.comparison.folder.name for one in (first, second)] == ['0001', '0002-2026-03-11']
    assert comparisons_of(folder) == (first.comparison, second.comparison)
    kept = sorted(path.relative_to(first.comparison.folder) for path in first.comparison.folder.rglob('*'))
    assert kept == sorted(path.relative_to(tmp_path / 'x') for path in (tmp_path / 'x').rglob('*'))
    assert rows(place)[0].n_examinations == 0


def test_the_very_same_comparison_is_stored_once(place, folder, tmp_path):
    first = store(place, folder, comparison_folder(tmp_path / 'x'))
    again = store(place, folder, tmp_path / 'x')
    assert (first.is_new, again.is_new) == (True, False)
    assert again.comparison == first.comparison
    assert len(comparisons_of(folder)) == 1


def test_one_whose_pictures_were_lost_is_stored_again_with_them(place, folder, tmp_path):
    first = store(place, folder, comparison_folder(tmp_path / 'x'))
    shutil.rmtree(first.comparison.folder / 'pictures')
    again = store(place, folder, tmp_path / 'x')
    assert (again.is_new, again.comparison.number) == (True, 2)


def test_sides_are_known_by_photos_settings_and_time(place, folder, tmp_path):
    with locked(place, 'test'):
        for k, record in enumerate((EARLIER, LATER)):
            store_examination(place, folder, examined(tmp_path / f'e{k}', record), [])
    comparison = sample_comparison(EARLIER, LATER)
    assert examination_of_side(folder, comparison.before) == 1
    assert examination_of_side(folder, comparison.after) == 2
    other = sample_record(photos=(EARLIER.photos[0].model_copy(update={'sha256': '1' * 64}),))
    assert examination_of_side(folder, sample_comparison(other).before) is None
    done = store(place, folder, comparison_folder(tmp_path / 'x', sample_comparison(other, LATER)))
    assert done.unknown_sides == ('earlier',)


def test_the_open_examination_goes_before_its_sealed_form(place, folder, tmp_path):
    bag = folder / EXAMINATIONS_FOLDER / '0001'
    (bag / 'data').mkdir(parents=True)
    (bag / 'bagit.txt').write_text('')
    (bag / 'data' / 'record.json').write_text(LATER.to_json(), encoding='utf-8')
    assert examination_of_side(folder, sample_comparison(LATER).before) == 1
    examined(folder / EXAMINATIONS_FOLDER / '0002', LATER)
    assert examination_of_side(folder, sample_comparison(LATER).before) == 2


def test_what_is_no_comparison(place, folder, tmp_path):
    with pytest.raises(RecordUnreadable, match='there is no such folder'):
        store(place, folder, tmp_path / 'no')
    with pytest.raises(RecordUnreadable, match=r'there is no comparison\.json'):
        store(place, folder, examined(tmp_path / 'e', LATER))
    with pytest.raises(SettingsInvalid, match='the collection itself lies in this folder'):
        store(place, folder, tmp_path)
    source = comparison_folder(tmp_path / 'x')
    (source / 'bagit.txt').write_text('')
    with pytest.raises(SettingsInvalid, match='this is a sealed bag'):
        store(place, folder, source)
    (source / 'bagit.txt').unlink()
    (source / 'comparison.json').write_text('{"comparison_version": 7}')
    with pytest.raises(RecordUnreadable, match='of version 7'):
        store(place, folder, source)
    (source / 'odd').symlink_to('/etc/passwd')
    shutil.copy(comparison_folder(tmp_path / 'z') / 'comparison.json', source)
    with pytest.raises(SettingsInvalid, match='only plain files are stored'):
        store(place, folder, source)
    assert comparisons_of(folder) == ()
    assert list(place.work.iterdir()) == []


def test_bags_are_counted_and_tell_what_they_hold(folder, tmp_path):
    assert bags_of(folder) == ()
    first = next_bag(folder, 'examination', folder / 'examinations' / '0002-2026-03-10')
    assert first == folder / 'sealed' / '0001-examination-0002-2026-03-10'
    first.mkdir(parents=True)
    assert bags_of(folder) == (), 'a folder without bagit.txt is no bag'
    (first / 'bagit.txt').write_text('')
    second = next_bag(folder, 'comparison', folder / 'comparisons' / '0001')
    assert second.name == '0002-comparison-0001'
    (folder / 'sealed' / '0007-by hand').mkdir()
    (folder / 'sealed' / '0007-by hand' / 'bagit.txt').write_text('')
    assert [(one.number, one.subject) for one in bags_of(folder)] == [(1, ('examination', 2)), (7, None)]

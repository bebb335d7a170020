"""Sealing in a piece's folder: chained, whole, and never without a word where something changed meanwhile."""

import json

import bagit
import pytest

from grader.collection.lock import locked
from grader.commands import seal_store
from grader.commands.seal_store import listed_bags, seal_stored, state_of, subject_in, told_in
from grader.errors import (
    BagInvalid,
    ChangedMeanwhile,
    OutputNotWritable,
    PhotoSetUnusable,
    PieceNotFound,
    SettingsInvalid,
)
from grader.evidence.wording import SEAL_PROVES
from grader.evidence.wording import proof_words as proves
from grader.review.acts import Reject
from tests.support.kept_piece import examination_folder, kept_piece, say
from tests.support.sealed_bags import check


@pytest.fixture
def kept(tmp_path):
    return kept_piece(tmp_path)


@pytest.fixture
def seal(kept, tmp_path):
    def seal(kind='examination', number=1, shown='', key='key.pem'):
        subject = subject_in(kept.folder, kind, number)
        with locked(kept.place, 'test'):
            return seal_stored(kept.place, kept.folder, subject, tmp_path / key, None, shown)

    return seal


def test_examinations_and_comparisons_make_one_chain(kept, seal):
    done = [seal('examination', 1), seal('examination', 2), seal('comparison', 1)]
    assert [one.bag.folder.name for one in done] == [
        '0001-examination-0001-2026-03-02', '0002-examination-0002-2026-03-10', '0003-comparison-0001'
    ]  # fmt: skip
    assert [one.is_new_key for one in done] == [True, False, False]
    found = check(kept.folder / 'sealed')
    assert found.is_valid, found.faults
    assert [bag.number for bag in found.bags] == [1, 2, 3]
    assert SEAL_PROVES[0] in proves(found)
    photos = sorted(path.name for path in (done[2].bag.folder / 'data' / 'photos').iterdir())
    assert photos == ['a-2.jpg', 'a.jpg'], "the photos of both sides, found in their examinations"


def test_the_same_is_not_sealed_twice(kept, seal):
    first = seal()
    with pytest.raises(ChangedMeanwhile, match=f'sealed already, just as it is now, as {first.bag.folder.name}'):
        seal()
    assert len(listed_bags(kept.folder)) == 1
    assert list(kept.place.work.iterdir()) == []


def test_a_review_that_has_grown_is_sealed_anew_and_told(kept, seal):
    subject = subject_in(kept.folder, 'examination', 1)
    first, shown = seal(), state_of(kept.folder, subject)
    say(kept, 1, Reject(mark=1))
    assert listed_bags(kept.folder)[0].told != told_in(subject.folder)
    with pytest.raises(ChangedMeanwhile, match='its review has changed'):
        seal(shown=shown)
    second = seal(shown=state_of(kept.folder, subject))
    assert second.link.number == first.link.number + 1
    bag = listed_bags(kept.folder)[1]
    assert bag.told == told_in(subject.folder)
    review = json.loads((second.bag.folder / 'data' / 'examination' / 'review.json').read_text())
    assert len(review['entries']) == 1


def test_a_review_that_grows_while_it_is_sealed_leaves_no_bag(kept, seal, monkeypatch):
    write = seal_store.write_bag

    def write_late(packing, *others):
        say(kept, 1, Reject(mark=1))
        return write(seal_store.plan_packing(examination_folder(kept, 1)), *others)

    monkeypatch.setattr(seal_store, 'write_bag', write_late)
    with pytest.raises(ChangedMeanwhile, match='Nothing was sealed'):
        seal()
    assert listed_bags(kept.folder) == ()
    assert list(kept.place.work.iterdir()) == []


def test_nothing_is_tied_to_a_bag_with_faults(kept, seal):
    first = seal()
    (first.bag.folder / 'data' / 'examination' / 'a.marked.jpg').write_bytes(b'other')
    with pytest.raises(BagInvalid, match='2 faults were found'):
        seal('examination', 2)
    assert len(listed_bags(kept.folder)) == 1


def test_missing_photos_and_numbers_are_told(kept, seal):
    (examination_folder(kept, 1) / 'photos' / 'a.jpg').unlink()
    with pytest.raises(PhotoSetUnusable, match=r'a\.jpg'):
        seal()
    with pytest.raises(PieceNotFound, match='no comparison 4'):
        seal('comparison', 4)


def test_a_bag_among_the_examinations_is_not_packed_again(kept, seal):
    first = seal()
    first.bag.folder.rename(kept.folder / 'examinations' / '0003')
    with pytest.raises(SettingsInvalid, match='itself a sealed bag'):
        seal('examination', 3)


def test_another_key_is_noted(seal):
    seal()
    assert seal('examination', 2, key='other.pem').is_other_key


def test_a_bag_that_cannot_be_read_back_is_not_kept(kept, seal, monkeypatch):
    def refuse(self):
        raise bagit.BagValidationError('a.jpg was not found')

    monkeypatch.setattr(bagit.Bag, 'validate', refuse)
    with pytest.raises(OutputNotWritable, match=r'cannot be read back whole \(a\.jpg was not found\)'):
        seal()
    assert listed_bags(kept.folder) == ()
    assert list(kept.place.work.iterdir()) == []

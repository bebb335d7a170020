"""Bags one after another."""

import shutil

import pytest

from grader.evidence.seal_text import BagLink
from tests.support.sealed_bags import check, key, seal_folder, small_chain, small_examination, words_of


@pytest.fixture
def bags(tmp_path):
    return small_chain(tmp_path)


def test_a_chain_is_valid_in_whatever_order_the_names_are(bags):
    found = check(bags[0].parent)
    assert found.is_valid
    assert [bag.name for bag in found.bags] == ['bag-3', 'bag-2', 'bag-1']
    assert [bag.number for bag in found.bags] == [1, 2, 3]
    assert found.notes == ()


def test_what_a_stopped_run_left_is_passed_over(bags):
    shutil.copytree(bags[0], bags[0].parent / '.bag-4-12345678')
    assert check(bags[0].parent).is_valid


@pytest.mark.parametrize(
    ('gone', 'words'),
    [
        (0, "bag-2: does not follow any bag here: the one before it is missing or was changed."),
        (1, "bag-1: does not follow any bag here: the one before it is missing or was changed."),
    ],
)
def test_a_missing_bag(bags, gone, words):
    shutil.rmtree(bags[gone])
    assert words in words_of(bags[0].parent)


def test_the_last_bag_taken_away_is_not_found(bags):
    """No chain can tell; the words of the check say so."""
    shutil.rmtree(bags[2])
    assert check(bags[0].parent).is_valid


def test_a_bag_twice(bags):
    shutil.copytree(bags[1], bags[0].parent / 'copy')
    assert "is the same bag as" in words_of(bags[0].parent)


def test_a_split_chain(bags, tmp_path):
    first = check(bags[0]).bags[0]
    other = small_examination(tmp_path / 'other' / 'look', mark=b'other')
    seal_folder(other, bags[0].parent / 'other', BagLink(first.identifier, first.manifest_sha256, 1))
    assert "has the same number (2) as bag-2: the chain splits here." in words_of(bags[0].parent)


def test_two_beginnings(bags, tmp_path):
    other = small_examination(tmp_path / 'other' / 'look', mark=b'other')
    seal_folder(other, bags[0].parent / 'other')
    assert "has the same number (1) as" in words_of(bags[0].parent)


@pytest.mark.parametrize(
    ('link', 'words'),
    [
        (
            lambda bag: BagLink('0' * 64, bag.manifest_sha256, 3),
            "names bag-1 as the one before it by a wrong identifier",
        ),
        (lambda bag: BagLink(bag.identifier, '0' * 64, 3), "does not follow any bag here"),
        (lambda bag: BagLink(bag.identifier, bag.manifest_sha256, 7), "has the number 8, and follows number 3."),
    ],
)
def test_wrong_links(bags, tmp_path, link, words):
    other = small_examination(tmp_path / 'other' / 'look', mark=b'other')
    seal_folder(other, bags[0].parent / 'other', link(check(bags[2]).bags[0]))
    assert words in words_of(bags[0].parent)


def test_a_changed_bag_breaks_the_link_behind_it(bags):
    path = bags[0] / 'tagmanifest-sha256.txt'
    path.write_bytes(path.read_bytes()[:-1] + b'\r\n')
    words = words_of(bags[0].parent)
    assert "the signature does not fit" in words
    assert "bag-2: does not follow any bag here" in words


def test_another_key_in_the_chain(bags, tmp_path):
    last = check(bags[2]).bags[0]
    other = small_examination(tmp_path / 'other' / 'look', mark=b'other')
    link = BagLink(last.identifier, last.manifest_sha256, 3)
    seal_folder(other, bags[0].parent / 'other', link, key_number=2)
    assert "other: is signed with another key than the first bag." in words_of(bags[0].parent)
    both = (key(1).fingerprint, key(2).fingerprint)
    assert check(bags[0].parent, known_keys=both).is_valid


def test_a_plain_bag_among_sealed_ones(bags):
    """A bag whose seal was stripped off, with its checksums made anew."""
    shutil.rmtree(bags[2] / 'seal')
    (bags[2] / 'tagmanifest-sha256.txt').unlink()
    (bags[2] / 'bag-info.txt').unlink()
    assert check(bags[2]).is_valid
    assert not check(bags[2]).bags[0].is_sealed
    assert "bag-1: is not sealed, and a seal is needed here." in words_of(bags[0].parent)
    assert "is not sealed, and a seal is needed" in words_of(bags[2], known_keys=(key().fingerprint,))


def test_a_stripped_signature_alone_does_not_make_a_plain_bag(bags):
    shutil.rmtree(bags[2] / 'seal')
    assert "is missing, so the signature cannot hold." in words_of(bags[2])
    (bags[2] / 'tagmanifest-sha256.txt').unlink()
    assert "is missing, so the signature cannot hold." in words_of(bags[2])


def test_previous(bags):
    assert "follows another bag" in check(bags[1]).notes[0]
    found = check(bags[1], previous=bags[0])
    assert (found.is_valid, found.notes) == (True, ())
    assert "does not follow any bag here" in words_of(bags[2], previous=bags[0])
    assert "does not follow any bag here" in words_of(bags[1], previous=bags[2])

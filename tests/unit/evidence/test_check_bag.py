"""Every change of a sealed bag is found and told, all in one go."""

import os
import shutil
from hashlib import sha256
from pathlib import Path

import pytest

from grader.evidence.bag_text import manifest_text
from grader.evidence.layout import MANIFEST, PUBLIC_KEY, RECORD, SEAL, SEALED_TAG_FILES, SIGNATURE, TAG_MANIFEST
from tests.support.sealed_bags import (
    check,
    faults_of,
    files_in,
    key,
    seal_folder,
    small_bag,
    small_examination,
    words_of,
)

HOW_TO = 'seal/how-to-check.txt'
PHOTO = 'data/photos/a.jpg'


@pytest.fixture
def bag(tmp_path):
    return small_bag(tmp_path)


def test_an_untouched_bag_is_valid(bag):
    found = check(bag)
    assert found.is_valid
    assert found.faults == ()
    (facts,) = found.bags
    assert (facts.is_sealed, facts.number, facts.n_files) == (True, 1, 4)
    assert facts.fingerprint == key().fingerprint
    assert facts.sealed_at == '2026-03-10T10:09:00'


def test_a_moved_bag_is_valid(bag, tmp_path):
    shutil.move(bag, tmp_path / 'elsewhere' / 'other name')
    assert check(tmp_path / 'elsewhere' / 'other name').is_valid


@pytest.mark.parametrize(
    ('name', 'kind'),
    [
        (PHOTO, 'changed'),
        ('data/examination/a.marked.jpg', 'changed'),
        (RECORD, 'changed'),
        ('bag-info.txt', 'changed'),
        ('bagit.txt', 'changed'),
        (MANIFEST, 'changed'),
        (SEAL, 'changed'),
        (PUBLIC_KEY, 'changed'),
        (TAG_MANIFEST, 'signature'),
    ],
)
def test_a_changed_file_is_named(bag, name, kind):
    data = (bag / name).read_bytes()
    (bag / name).write_bytes(data[:-1] + bytes([data[-1] ^ 1]))
    assert (kind, name) in faults_of(bag)


@pytest.mark.parametrize('name', [PHOTO, RECORD, 'bag-info.txt', 'bagit.txt', MANIFEST, SEAL, PUBLIC_KEY, HOW_TO])
def test_a_missing_file_is_named(bag, name):
    (bag / name).unlink()
    assert ('missing', name) in faults_of(bag)


@pytest.mark.parametrize('name', [TAG_MANIFEST, SIGNATURE])
def test_a_missing_signature_is_named(bag, name):
    (bag / name).unlink()
    assert ('signature', name) in faults_of(bag)


@pytest.mark.parametrize(
    'name', ['data/photos/c.jpg', 'data/c', 'note.txt', 'seal/more.txt', 'seal/.hidden', 'fetch.txt']
)
def test_an_extra_file_is_named(bag, name):
    (bag / name).write_text('x')
    assert ('extra', name) in faults_of(bag)


def test_an_extra_folder_is_named(bag):
    (bag / 'data' / 'empty').mkdir()
    assert faults_of(bag) == [('extra', 'data/empty')]


def test_all_faults_are_told_in_one_go(bag):
    (bag / PHOTO).write_bytes(b'other')
    (bag / 'data/photos/b.jpg').unlink()
    (bag / 'data/new.txt').write_text('x')
    (bag / SIGNATURE).write_bytes(bytes(64))
    (bag / 'link').symlink_to('/etc/hostname')
    kinds = {kind for kind, _ in faults_of(bag)}
    assert {'changed', 'missing', 'extra', 'signature', 'path', 'photo'} <= kinds


@pytest.mark.parametrize('name', [MANIFEST, TAG_MANIFEST])
def test_reordered_lines_are_told_as_such(bag, name):
    lines = (bag / name).read_text().splitlines(keepends=True)
    (bag / name).write_text(''.join(reversed(lines)))
    assert ('reordered', name) in faults_of(bag)
    assert "its lines stand in another order than when it was" in words_of(bag)


def test_swapped_photos_are_told_as_such(bag):
    a, b = bag / 'data/photos/a.jpg', bag / 'data/photos/b.jpg'
    one, other = a.read_bytes(), b.read_bytes()
    a.write_bytes(other)
    b.write_bytes(one)
    assert "data/photos/a.jpg: has changed; it now holds what data/photos/b.jpg should hold." in words_of(bag)


def test_a_renamed_photo_is_told_as_such(bag):
    (bag / PHOTO).rename(bag / 'data/photos/z.jpg')
    assert faults_of(bag)[:2] == [('missing', PHOTO), ('extra', 'data/photos/z.jpg')]
    assert "is missing; data/photos/z.jpg holds what it held." in words_of(bag)


def reseal(
    bag: Path, sign_with: int | None, *, identifier: str = '', fingerprint: str = '', leave_out: str = ''
) -> None:
    """Make all checksums fit anew, as a forger would, and sign with a key of one's own where one is named.

    The other options are slips of the forger: a wrong identifier or fingerprint, a tag file that is left out.
    """

    def digests(names):
        return {name: sha256((bag / name).read_bytes()).hexdigest() for name in names}

    (bag / MANIFEST).write_text(manifest_text(digests(name for name in files_in(bag) if name.startswith('data/'))))
    seal = (bag / SEAL).read_text().splitlines()
    seal[1] = f"Identifier: {identifier or sha256((bag / MANIFEST).read_bytes()).hexdigest()}"
    if sign_with is not None:
        (bag / PUBLIC_KEY).write_bytes(key(sign_with).public_pem)
        seal[5] = f"Key-Fingerprint-SHA256: {fingerprint or key(sign_with).fingerprint}"
    (bag / SEAL).write_text('\n'.join(seal) + '\n')
    (bag / TAG_MANIFEST).write_text(manifest_text(digests(name for name in SEALED_TAG_FILES if name != leave_out)))
    if sign_with is not None:
        (bag / SIGNATURE).write_bytes(key(sign_with).sign((bag / TAG_MANIFEST).read_bytes()))


@pytest.mark.parametrize(
    ('slip', 'expected'),
    [
        ({}, []),
        ({'identifier': '0' * 64}, [('changed', MANIFEST)]),
        ({'fingerprint': '0' * 64}, [('signature', PUBLIC_KEY)]),
        ({'leave_out': 'bag-info.txt'}, [('signature', 'bag-info.txt'), ('extra', 'bag-info.txt')]),
        ({'leave_out': MANIFEST}, [('signature', MANIFEST), ('extra', MANIFEST)]),
    ],
    ids=str,
)
def test_slips_of_a_forger(bag, slip, expected):
    reseal(bag, sign_with=2, **slip)
    assert faults_of(bag) == expected


def test_a_tag_file_that_a_forger_takes_away_with_its_checksum_is_missed(bag):
    reseal(bag, sign_with=2, leave_out='bag-info.txt')
    (bag / 'bag-info.txt').unlink()
    assert faults_of(bag) == [('signature', 'bag-info.txt')]


def test_checksums_made_anew_do_not_hide_a_change(bag):
    (bag / 'data/examination/a.marked.jpg').write_bytes(b'other')
    reseal(bag, sign_with=None)
    # The size changed too, so bag-info.txt tells another count.
    assert set(faults_of(bag)) == {('signature', TAG_MANIFEST), ('changed', 'bag-info.txt')}


def test_another_key_passes_alone_and_not_beside_the_known_fingerprint(bag):
    (bag / 'data/examination/a.marked.jpg').write_bytes(b'picturE ')
    reseal(bag, sign_with=2)
    found = check(bag)
    assert found.is_valid
    assert found.bags[0].fingerprint == key(2).fingerprint
    assert "another key than those you named" in words_of(bag, known_keys=(key(1).fingerprint,))
    assert check(bag, known_keys=(key(1).fingerprint, key(2).fingerprint)).is_valid


def test_a_photo_that_the_record_does_not_name_is_found_though_all_is_signed(bag):
    (bag / PHOTO).write_bytes(b'photo 7 ')
    reseal(bag, sign_with=2)
    assert faults_of(bag) == [('photo', ''), ('photo', PHOTO)]
    assert "The photo a.jpg, which the record names, is not in the bag as it was." in words_of(bag)


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        ('{}', "the record is of version None, and version 1 is needed. Its photos could not be checked."),
        ('{"record_version": 2}', "the record is of version 2, and version 1 is needed."),
        ('no', "this is not a record; it is not even JSON text."),
    ],
)
def test_a_record_of_another_kind_is_told(bag, text, words):
    (bag / RECORD).write_text(text)
    assert words in words_of(bag)


def test_a_seal_of_a_newer_version_is_refused_with_words(bag):
    (bag / SEAL).write_text((bag / SEAL).read_text().replace('Seal-Version: 1', 'Seal-Version: 2'))
    assert "it is of version \"2\", and this program knows version 1; use a newer grader." in words_of(bag)


@pytest.mark.parametrize('target', ['/etc/hostname', '../../outside', 'a.jpg', 'nowhere'])
def test_links_are_never_followed(bag, tmp_path, target):
    (tmp_path / 'outside').write_bytes((bag / PHOTO).read_bytes())
    data = (bag / PHOTO).read_bytes()
    (bag / PHOTO).unlink()
    (bag / 'data' / 'same').write_bytes(data)
    (bag / PHOTO).symlink_to(target)
    assert {('path', PHOTO), ('missing', PHOTO)} <= set(faults_of(bag))


def test_a_linked_folder_is_never_followed(bag, tmp_path):
    shutil.move(bag / 'data', tmp_path / 'moved')
    (bag / 'data').symlink_to(tmp_path / 'moved')
    assert ('path', 'data') in faults_of(bag)
    assert ('missing', PHOTO) in faults_of(bag)


def test_a_pipe_does_not_hang_the_check(bag):
    (bag / 'bagit.txt').unlink()
    os.mkfifo(bag / 'bagit.txt')
    assert ('path', 'bagit.txt') in faults_of(bag)


def test_a_very_deep_folder_is_looked_through(bag, monkeypatch):
    """Deeper than functions can call one another; the path still fits."""
    depth = 1500
    monkeypatch.chdir(bag / 'data')
    for _ in range(depth):
        os.mkdir('d')
        os.chdir('d')
    found = faults_of(bag)
    for _ in range(depth):
        os.chdir('..')
        os.rmdir('d')
    assert found[0] == ('extra', 'data/d')
    assert len(found) == depth


def test_what_is_printed_of_a_hostile_bag_is_plain_text(bag):
    (bag / SEAL).write_text('Seal-Version: \x1b[2J\n')
    (bag / 'bagit.txt').write_text('BagIt-Version: 1.0\nTag-File-Character-Encoding: \x1b[2J\n')
    (bag / 'manifest-sha\x1b256.txt').write_text('x\n')
    (bag / RECORD).write_text('{"record_version": 1, "\\u001b[2J": 1}')
    found = check(bag)
    assert len(found.faults) > 8
    assert all((fault.words + fault.path).isprintable() for fault in found.faults)


def test_the_check_changes_nothing(bag, tmp_path):
    before = {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in bag.rglob('*') if path.is_file()}
    (bag / 'data/new.txt').write_text('x')
    check(bag)
    (bag / 'data/new.txt').unlink()
    assert before == {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in bag.rglob('*') if path.is_file()}


def test_single_bytes_of_a_small_bag_count(bag):
    """A part of the bytes of each file; ``tests/benchmark/flip_bytes.py`` changes all of them."""
    n_changed = 0
    for name in files_in(bag):
        data = (bag / name).read_bytes()
        for k in range(len(data) % 5, len(data), 97 if name == RECORD else 5):
            (bag / name).write_bytes(data[:k] + bytes([data[k] ^ (1 << k % 8)]) + data[k + 1 :])
            assert not check(bag).is_valid, (name, k)
            n_changed += 1
        (bag / name).write_bytes(data)
    assert n_changed > 300
    assert check(bag).is_valid


def test_the_same_examination_gives_the_same_bytes(tmp_path):
    one = small_examination(tmp_path / 'x' / 'look')
    seal_folder(one, tmp_path / 'bag-1')
    seal_folder(one, tmp_path / 'bag-2')
    assert files_in(tmp_path / 'bag-1') == files_in(tmp_path / 'bag-2')

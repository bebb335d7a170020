"""BagIt, RFC 8493 (October 2018): an example with its digests, the negative cases of its text and of its test suite.

The digests were made with the ``bagit`` library 1.9.0 on the two files. SHA-256 of "abc" is that of FIPS 180-4, example
B.1. The negative cases follow the file list of the public BagIt conformance suite of the Library of Congress.
"""

import hashlib
import shutil
import time

import bagit
import pytest

from grader.evidence.bag_text import manifest_text
from tests.support.sealed_bags import check, faults_of, small_bag, words_of

ABC = 'ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad'
HELLO = '5891b5b522d5df086d0ff0b110fbd9d21bb4fc7163af34d08286a2e846f6be03'
MANIFEST = f'{HELLO}  data/hello.txt\n{ABC}  data/sub/abc.txt\n'


@pytest.fixture
def bag(tmp_path):
    """The example, as any tool could write it."""
    folder = tmp_path / 'bag'
    (folder / 'data' / 'sub').mkdir(parents=True)
    (folder / 'data' / 'hello.txt').write_bytes(b'hello\n')
    (folder / 'data' / 'sub' / 'abc.txt').write_bytes(b'abc')
    (folder / 'bagit.txt').write_text('BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n')
    (folder / 'bag-info.txt').write_text('Payload-Oxum: 9.2\n')
    (folder / 'manifest-sha256.txt').write_text(MANIFEST)
    return folder


def test_the_example_is_valid_and_unsigned(bag):
    found = check(bag)
    assert found.is_valid
    assert not found.bags[0].is_sealed
    assert any("This is a plain bag: nobody signed it" in note for note in found.bags[0].notes)


def test_our_manifest_of_the_example_is_the_printed_one():
    digests = {
        'data/sub/abc.txt': hashlib.sha256(b'abc').hexdigest(),
        'data/hello.txt': hashlib.sha256(b'hello\n').hexdigest(),
    }
    assert manifest_text(digests) == MANIFEST


def test_a_bag_of_the_library_is_valid(tmp_path):
    (tmp_path / 'bag' / 'sub').mkdir(parents=True)
    (tmp_path / 'bag' / 'hello.txt').write_bytes(b'hello\n')
    (tmp_path / 'bag' / 'sub' / 'abc.txt').write_bytes(b'abc')
    (tmp_path / 'bag' / '100 % sure.txt').write_bytes(b'percent')
    bagit.make_bag(str(tmp_path / 'bag'), checksums=['sha256', 'sha512', 'md5'])
    # That library writes version 0.97 and one blank in manifests of tag files.
    assert (tmp_path / 'bag' / 'bagit.txt').read_text().startswith('BagIt-Version: 0.97\n')
    assert f'{ABC}  data/sub/abc.txt\n' in (tmp_path / 'bag' / 'manifest-sha256.txt').read_text()
    assert faults_of(tmp_path / 'bag') == []


def test_the_library_takes_a_sealed_bag(tmp_path):
    bag = small_bag(tmp_path)
    assert bagit.Bag(str(bag)).validate()
    (bag / 'data/photos/a.jpg').write_bytes(b'other')
    with pytest.raises(bagit.BagValidationError):
        bagit.Bag(str(bag)).validate()


def test_flipped_byte(bag):
    (bag / 'data/hello.txt').write_bytes(b'hellO\n')
    assert faults_of(bag) == [('changed', 'data/hello.txt')]


def test_deleted_file(bag):
    (bag / 'data/sub/abc.txt').unlink()
    assert ('missing', 'data/sub/abc.txt') in faults_of(bag)


def test_unlisted_file(bag):
    (bag / 'data/sub/new.txt').write_text('')
    assert ('extra', 'data/sub/new.txt') in faults_of(bag)


def test_file_in_one_manifest_only(bag):
    (bag / 'manifest-md5.txt').write_text(f'{hashlib.md5(b"abc").hexdigest()}  data/sub/abc.txt\n')
    assert faults_of(bag) == [('structure', 'manifest-md5.txt')]
    assert "does not list data/hello.txt, which another manifest lists." in words_of(bag)


@pytest.mark.parametrize(
    'text',
    [
        '',
        'BagIt-Version:  1.0\nTag-File-Character-Encoding: UTF-8\n',
        ' BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n',
        'BagIt-Version : 1.0\nTag-File-Character-Encoding: UTF-8\n',
        'Tag-File-Character-Encoding: UTF-8\nBagIt-Version: 1.0\n',
        'BagIt-Version: 1.0\n',
        'BagIt-Version: one\nTag-File-Character-Encoding: UTF-8\n',
        '\ufeffBagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n',
        'BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\nMore: x\n',
    ],
)
def test_wrong_declaration(bag, text):
    (bag / 'bagit.txt').write_text(text)
    assert ('structure', 'bagit.txt') in faults_of(bag)


@pytest.mark.parametrize(
    ('text', 'words'),
    [
        ('BagIt-Version: 2.0\nTag-File-Character-Encoding: UTF-8\n', "BagIt version 2.0 is not known here."),
        ('BagIt-Version: 1.0\nTag-File-Character-Encoding: EBCDIC\n', "the character encoding \"ebcdic\" is not known"),
    ],
)
def test_unknown_declaration(bag, text, words):
    (bag / 'bagit.txt').write_text(text)
    assert words in words_of(bag)


@pytest.mark.parametrize('ending', ['\n', '\r\n', '\r'])
def test_line_ends(bag, ending):
    for name in ('manifest-sha256.txt', 'bagit.txt', 'bag-info.txt'):
        (bag / name).write_bytes((bag / name).read_bytes().replace(b'\n', ending.encode()))
    assert faults_of(bag) == []


@pytest.mark.parametrize('between', [' ', '  ', '\t', ' *', '  ./'])
def test_blanks_between_digest_and_path(bag, between):
    (bag / 'manifest-sha256.txt').write_text(MANIFEST.replace('  ', between))
    assert faults_of(bag) == []


def test_digests_in_capitals(bag):
    (bag / 'manifest-sha256.txt').write_text(f'{HELLO.upper()}  data/hello.txt\n{ABC}  data/sub/abc.txt\n')
    assert faults_of(bag) == []


@pytest.mark.parametrize(
    'path',
    [
        'data/../x', '../x', '/etc/passwd', '~/x', '~root/x', 'data/./hello.txt', 'data//hello.txt', 'data/', 'C:\\x',
        'c:/x', '\\\\host\\x', 'data\\hello.txt', 'data/a\tb', 'data/%0Ax', 'data/\u202ex', 'bag-info.txt',
        'data/sub/../../bagit.txt', 'data/\x1b[31m',
    ],
)  # fmt: skip
def test_hostile_paths(bag, path):
    with (bag / 'manifest-sha256.txt').open('a', newline='') as file:
        file.write(f'{ABC}  {path}\n')
    found = check(bag)
    assert [(fault.kind, fault.path) for fault in found.faults] == [('path', 'manifest-sha256.txt')]
    assert "not followed." in found.faults[0].words
    assert found.faults[0].words.isprintable()


def test_percent_signs(bag):
    (bag / 'data' / '100%25.txt').write_bytes(b'abc')
    (bag / 'bag-info.txt').unlink()
    with (bag / 'manifest-sha256.txt').open('a') as file:
        file.write(f'{ABC}  data/100%2525.txt\n')
    assert faults_of(bag) == []
    # Before version 1.0 only line ends were written so.
    (bag / 'bagit.txt').write_text('BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-8\n')
    assert ('missing', 'data/100%2525.txt') in faults_of(bag)


@pytest.mark.parametrize('line', [f'{ABC}', 'data/x', f'{ABC}data/x', 'xyz  data/x'])
def test_lines_that_are_none(bag, line):
    (bag / 'manifest-sha256.txt').write_text(f'{MANIFEST}\n{line}\n')
    assert "line 4 is not a checksum and a path." in words_of(bag)


@pytest.mark.parametrize('digest', [ABC[:-1], ABC + '00', 'ba'])
def test_checksums_of_a_wrong_length(bag, digest):
    (bag / 'manifest-sha256.txt').write_text(MANIFEST.replace(ABC, digest))
    assert "the checksum of data/sub/abc.txt is cut or too long." in words_of(bag)


def test_a_path_listed_twice(bag):
    (bag / 'manifest-sha256.txt').write_text(MANIFEST + f'{HELLO}  data/hello.txt\n')
    assert "lists data/hello.txt more than once." in words_of(bag)


def test_no_manifest(bag):
    (bag / 'manifest-sha256.txt').unlink()
    assert "There is no manifest, so nothing can be checked." in words_of(bag)


def test_no_payload_folder(bag):
    shutil.rmtree(bag / 'data')
    assert ('structure', 'data') in faults_of(bag)


def test_two_manifests_of_the_same_checksums(bag):
    """One of which could hide a changed file from a check that reads the other last."""
    (bag / 'data/hello.txt').write_bytes(b'HELLO\n')
    changed = hashlib.sha256(b'HELLO\n').hexdigest()
    (bag / 'manifest-sha-256.txt').write_text(MANIFEST.replace(HELLO, changed))
    assert "is a second manifest of the same checksums." in words_of(bag)


def test_unknown_checksums(bag):
    (bag / 'manifest-crc7.txt').write_text('00  data/hello.txt\n')
    assert "its kind of checksum is not known here." in words_of(bag)


@pytest.mark.parametrize(
    ('first', 'second'),
    [('Straße', 'STRASSE'), ('a', 'A'), ('é', 'e\u0301'), ('\u212b', '\u00c5')],
    ids=['long-s', 'case', 'accent', 'angstrom'],
)
def test_names_that_are_one_file_elsewhere(bag, first, second):
    (bag / 'bag-info.txt').unlink()
    for name in (first, second):
        (bag / 'data' / name).write_bytes(b'abc')
        with (bag / 'manifest-sha256.txt').open('a', encoding='utf-8') as file:
            file.write(f'{ABC}  data/{name}\n')
    assert faults_of(bag) == [('path', '')]
    assert "These paths are one file on some disks: " in words_of(bag)


def test_accents_spelled_anew_by_a_disk_are_no_fault(bag):
    (bag / 'bag-info.txt').unlink()
    (bag / 'data' / 'e\u0301').write_bytes(b'abc')
    with (bag / 'manifest-sha256.txt').open('a', encoding='utf-8') as file:
        file.write(f'{ABC}  data/\u00e9\n')
    found = check(bag)
    assert found.is_valid
    assert "The disk spells the accents of 1 file name(s) otherwise than the manifest." in found.bags[0].notes


@pytest.mark.parametrize('line', ['http://example.org/x 3 ../x', 'http://example.org/x 3 /x', 'nonsense'])
def test_hostile_fetch_file(bag, line):
    (bag / 'fetch.txt').write_text(f'{line}\n')
    assert faults_of(bag) == [('path', 'fetch.txt')]


def test_fetch_file_is_told_and_nothing_is_fetched(bag):
    (bag / 'fetch.txt').write_text('http://example.org/x 3 data/x\n')
    with (bag / 'manifest-sha256.txt').open('a') as file:
        file.write(f'{ABC}  data/x\n')
    found = check(bag)
    assert [(fault.kind, fault.path) for fault in found.faults] == [('missing', 'data/x')]
    assert any("Nothing was fetched." in note for note in found.bags[0].notes)


@pytest.mark.parametrize('text', ['Payload-Oxum: 9.3\n', 'Payload-Oxum: 8.2\n', 'Payload-Oxum: x\n'])
def test_wrong_count(bag, text):
    (bag / 'bag-info.txt').write_text(text)
    assert faults_of(bag) == [('changed', 'bag-info.txt')]


def test_folded_tag_lines(bag):
    (bag / 'bag-info.txt').write_text('Note: a long\n  story\nPayload-Oxum: 9.2\n')
    assert faults_of(bag) == []


def test_utf_16_tag_files(bag):
    (bag / 'bagit.txt').write_text('BagIt-Version: 0.97\nTag-File-Character-Encoding: UTF-16\n')
    for name in ('manifest-sha256.txt', 'bag-info.txt'):
        (bag / name).write_bytes((bag / name).read_text().encode('utf-16'))
    assert faults_of(bag) == []


def seconds_to_check(bag, n_faults):
    start = time.process_time()
    assert len(check(bag).faults) == n_faults
    return time.process_time() - start


def test_time_grows_with_the_number_of_files_and_not_with_its_square(tmp_path):
    times = []
    for n_files in (500, 2000):
        bag = tmp_path / str(n_files)
        (bag / 'data').mkdir(parents=True)
        (bag / 'bagit.txt').write_text('BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n')
        # Half of the listed files are missing, all others have changed.
        text = ''.join(f'{number:064x}  data/{number}\n' for number in range(2 * n_files))
        (bag / 'manifest-sha256.txt').write_text(text)
        for number in range(n_files):
            (bag / 'data' / str(number)).write_bytes(b'%d' % number)
        # The best of three: other programs on the machine only ever make it slower.
        times.append(min(seconds_to_check(bag, 2 * n_files) for _ in range(3)))
    # Four times the files: four times as long, or sixteen times by the square.
    assert times[1] < 10 * times[0]


def test_weak_checksums_are_told(bag):
    (bag / 'manifest-sha256.txt').unlink()
    lines = [(b'abc', 'data/sub/abc.txt'), (b'hello\n', 'data/hello.txt')]
    (bag / 'manifest-md5.txt').write_text(''.join(f'{hashlib.md5(data).hexdigest()} {path}\n' for data, path in lines))
    found = check(bag)
    assert found.is_valid
    assert "Its checksums (MD5 or SHA-1) find accidents, and do not withstand intent." in found.bags[0].notes

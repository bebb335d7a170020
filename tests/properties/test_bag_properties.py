"""What holds for bags of any names and contents."""

import tempfile
from pathlib import Path

import bagit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from grader.evidence.bag_text import in_order, manifest_text, parse_manifest
from grader.evidence.constants import MAX_NAME_BYTES, UNPORTABLE_CHARACTERS
from grader.evidence.names import clash_key, path_fault, portable_name, portable_names, shown
from tests.support.sealed_bags import check, seal_folder, small_examination

ANY_TEXT = st.text(st.characters(), max_size=300)
DIGEST = st.text('0123456789abcdef', min_size=64, max_size=64)
# Names that a Unix disk takes: no slash, no zero, up to 255 bytes of UTF-8.
FILE_NAMES = st.lists(
    st.text(st.characters(exclude_characters='/\0', exclude_categories=['Cs']), min_size=1, max_size=60).filter(
        lambda name: name not in ('.', '..') and len(name.encode()) <= MAX_NAME_BYTES
    ),
    min_size=1,
    max_size=5,
    unique_by=clash_key,
)
SLOW = settings(derandomize=True, deadline=None, max_examples=40, suppress_health_check=[HealthCheck.too_slow])


@settings(derandomize=True, deadline=None)
@given(st.lists(ANY_TEXT, max_size=8))
def test_portable_names_are_portable_and_apart(names):
    found = portable_names(names)
    assert len(found) == len(names)
    assert len({clash_key(name) for name in found}) == len(found)
    for name in found:
        assert 0 < len(name.encode()) <= MAX_NAME_BYTES
        assert not UNPORTABLE_CHARACTERS & set(name)
        assert path_fault(f'data/{name}') == ''
        assert name == name.strip()


@settings(derandomize=True, deadline=None)
@given(ANY_TEXT)
def test_a_portable_name_stays(name):
    once = portable_name(name)
    assert portable_name(once) == once


@settings(derandomize=True, deadline=None)
@given(ANY_TEXT)
def test_shown_can_be_printed(path):
    assert not [sign for sign in shown(path) if sign in '\n\r\x1b\u202e']
    shown(path).encode()


@settings(derandomize=True, deadline=None)
@given(st.dictionaries(ANY_TEXT.filter(lambda path: path.strip() == path != '' and path[0] not in '*.'), DIGEST))
def test_a_manifest_comes_back(digests):
    parsed = parse_manifest(manifest_text(digests), (1, 0))
    assert {line.path: line.digest for line in parsed.lines} == digests
    assert parsed.bad_lines == ()
    assert in_order(manifest_text(digests)) == manifest_text(digests)


@SLOW
@given(FILE_NAMES)
def test_photos_of_any_name_can_be_sealed_and_both_checks_agree(names):
    # No name of a photo may be that of the examination's folder beside it.
    names = [name for name in names if clash_key(name) != 'look'] or ['a.jpg']
    with tempfile.TemporaryDirectory() as folder:
        seal_folder(small_examination(Path(folder) / 'x' / 'look', names), Path(folder) / 'bag')
        assert check(Path(folder) / 'bag').is_valid
        assert bagit.Bag(str(Path(folder) / 'bag')).is_valid()


@SLOW
@given(st.lists(st.tuples(st.sampled_from(['data/x', 'x', '../x', 'data/../x', 'bagit.txt', '/x', 'data/a\0']), DIGEST)), st.binary(max_size=60))  # fmt: skip
def test_hostile_manifests_set_off_words_and_nothing_else(lines, rest):
    with tempfile.TemporaryDirectory() as folder:
        bag = Path(folder) / 'bag'
        (bag / 'data').mkdir(parents=True)
        (bag / 'bagit.txt').write_text('BagIt-Version: 1.0\nTag-File-Character-Encoding: UTF-8\n')
        text = ''.join(f'{digest}  {path}\n' for path, digest in lines)
        (bag / 'manifest-sha256.txt').write_bytes(text.encode() + rest)
        (bag / 'tagmanifest-sha256.txt').write_bytes(rest)
        (bag / 'bag-info.txt').write_bytes(rest)
        (bag / 'seal').mkdir()
        for name in ('seal.txt', 'public-key.pem', 'tagmanifest-sha256.sig'):
            (bag / 'seal' / name).write_bytes(rest)
        found = check(bag)
        assert not found.is_valid
        assert all(fault.words.isprintable() and fault.path.isprintable() for fault in found.faults)

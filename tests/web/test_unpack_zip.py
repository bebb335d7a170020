"""Zip files from anybody: unpacked only where nothing in them can do harm, and refused in words."""

import contextlib
import io
import random
import zipfile

import pytest

from calib.errors import ActionableError
from grader.web.unpack_zip import ZipLimits, unpack_zip
from tests.support.hostile_zips import HOSTILE, zip_of

GOOD = (('bag/bagit.txt', b'1'), ('bag/data/a.txt', b'22'), ('bag/data/ä.txt', b''))


def unpack(data, folder, limits=None):
    folder.mkdir(exist_ok=True)
    unpack_zip(io.BytesIO(data), folder, limits)


def files_in(folder):
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob('*') if path.is_file()}


@pytest.mark.parametrize('compression', [zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
def test_plain_files_are_unpacked(tmp_path, compression):
    unpack(zip_of(('bag/', b''), *GOOD, compression=compression), tmp_path / 'in')
    assert files_in(tmp_path / 'in') == dict(GOOD)


@pytest.mark.parametrize('name', HOSTILE)
def test_hostile_ones_are_refused_in_words(tmp_path, name):
    make, words = HOSTILE[name]
    with pytest.raises(ActionableError, match=words):
        unpack(make(), tmp_path / 'in')
    assert [path for path in tmp_path.rglob('*') if path.is_symlink()] == []
    assert [path.name for path in tmp_path.iterdir()] == ['in'], 'nothing lies outside'
    assert not list(tmp_path.rglob('escape*'))


def test_limits_of_number_and_size(tmp_path):
    with pytest.raises(ActionableError, match='too many files'):
        unpack(zip_of(*GOOD), tmp_path / 'a', ZipLimits(entries=2))
    with pytest.raises(ActionableError, match='Unpacked, this zip file would have 3 bytes, and at most 2 are unpacked'):
        unpack(zip_of(*GOOD), tmp_path / 'b', ZipLimits(unpacked_bytes=2))
    unpack(zip_of(*GOOD), tmp_path / 'c', ZipLimits(entries=3, unpacked_bytes=3))


def test_damage_anywhere_is_told_or_harmless(tmp_path):
    """Of 400 files with some bytes changed none is a fault of ours, and none writes outside its folder."""
    rng = random.Random(5)
    good = zip_of(('bag/', b''), *GOOD, compression=zipfile.ZIP_DEFLATED)
    for k in range(400):
        data = bytearray(good)
        for _ in range(rng.randrange(1, 6)):
            data[rng.randrange(len(data))] = rng.randrange(256)
        if rng.random() < 0.2:
            del data[rng.randrange(len(data)) :]
        with contextlib.suppress(ActionableError):
            unpack(bytes(data), tmp_path / str(k))
    outside = [path for path in tmp_path.rglob('*') if not path.relative_to(tmp_path).parts[0].isdecimal()]
    assert outside == []

"""The text in each bag tells how to check it without this program: just these lines are run here."""

import re
import shutil
import subprocess

import pytest

from tests.support.sealed_bags import key, small_bag

pytestmark = pytest.mark.skipif(
    not (shutil.which('openssl') and shutil.which('sha256sum')), reason='openssl or sha256sum is not installed'
)


def lines_of(bag) -> list[str]:
    text = (bag / 'seal' / 'how-to-check.txt').read_text(encoding='utf-8')
    return re.findall(r'^    ((?:sha256sum|openssl) .+)$', text, re.MULTILINE)


def run(bag, line: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run(line, shell=True, cwd=bag, capture_output=True, text=True, check=False)


@pytest.fixture
def bag(tmp_path):
    return small_bag(tmp_path)


def test_a_whole_bag(bag):
    lines = lines_of(bag)
    assert len(lines) == 4
    runs = [run(bag, line) for line in lines]
    assert [one.returncode for one in runs] == [0, 0, 0, 0], [one.stderr for one in runs]
    assert 'data/photos/a.jpg: OK' in runs[0].stdout
    assert 'seal/how-to-check.txt: OK' in runs[1].stdout
    assert 'Signature Verified Successfully' in runs[2].stdout
    assert runs[3].stdout.split()[0] == key().fingerprint


@pytest.mark.parametrize(
    ('name', 'line'), [('data/photos/a.jpg', 0), ('seal/seal.txt', 1), ('manifest-sha256.txt', 1), ('tagmanifest-sha256.txt', 2)]
)  # fmt: skip
def test_a_changed_bag(bag, name, line):
    data = (bag / name).read_bytes()
    (bag / name).write_bytes(bytes([data[0] ^ 1]) + data[1:])
    assert run(bag, lines_of(bag)[line]).returncode != 0

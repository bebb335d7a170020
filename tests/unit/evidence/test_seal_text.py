"""seal.txt, manifests and tag files as texts."""

import pytest

from grader.evidence.bag_text import in_order, manifest_text, parse_manifest, parse_tags
from grader.evidence.seal_text import BagLink, SealUnreadable, parse_seal, seal_after, seal_text

FIRST = seal_after('ab' * 32, None, 'cd' * 32, '')
SECOND = seal_after('12' * 32, BagLink('ab' * 32, 'ef' * 32, 1), 'cd' * 32, '2026-03-10T10:09:00')


@pytest.mark.parametrize('facts', [FIRST, SECOND])
def test_facts_come_back(facts):
    assert parse_seal(seal_text(facts)) == facts


def test_the_second_names_the_first():
    assert (SECOND.number, SECOND.previous_identifier, SECOND.previous_manifest_sha256) == (2, 'ab' * 32, 'ef' * 32)
    assert (FIRST.number, FIRST.previous_identifier, FIRST.previous_manifest_sha256) == (1, '', '')


@pytest.mark.parametrize(
    ('old', 'new'),
    [
        ('Number: 2', 'Number: 0'),
        ('Number: 2', 'Number: 02'),
        ('Number: 2', 'Number: 1'),
        ('Number: 2', 'Number: two'),
        ('Identifier: 12', 'Identifier: 1'),
        ('Signature-Algorithm: Ed25519', 'Signature-Algorithm: none'),
        ('Sealed-At', 'Sealed-at'),
        ('Sealed-At', 'More: x\nSealed-At'),
        ('Number: 2\n', ''),
        ('Number: 2\n', 'Number: 2\nNumber: 3\n'),
        ('Previous-Manifest-SHA256: ef', 'Previous-Manifest-SHA256: EF'),
        ('Seal-Version: 1\n', 'no label\n'),
    ],
)
def test_other_texts_are_refused(old, new):
    text = seal_text(SECOND)
    assert old in text
    with pytest.raises(SealUnreadable):
        parse_seal(text.replace(old, new, 1))


def test_a_manifest_comes_back_and_in_order():
    digests = {'data/b': '00', 'data/a 1': '11', 'data/a%0A': '22', 'data/line\nend': '33', 'data/é': '44'}
    text = manifest_text(digests)
    parsed = parse_manifest(text, (1, 0))
    assert {line.path: line.digest for line in parsed.lines} == digests
    assert parsed.bad_lines == ()
    lines = text.splitlines(keepends=True)
    assert in_order(''.join(lines[2:] + lines[:2])) == text
    assert in_order(text) == text


def test_tags():
    assert parse_tags('A: 1\n\nB:2\r\n  more\nA: 3: 4\n') == (('A', '1'), ('B', '2 more'), ('A', '3: 4'))
    with pytest.raises(ValueError, match="no label in 'x'"):
        parse_tags('x\n')

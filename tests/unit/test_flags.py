"""Flags: one table, words for each."""

import ast
from pathlib import Path

import pytest

from grader.flags import FLAGS, describe_flags

ROOT = Path(__file__).parents[2]


@pytest.mark.parametrize('flag', FLAGS.values(), ids=FLAGS.keys())
def test_words_are_for_the_owner(flag):
    assert flag.name == flag.name.lower()
    assert ' ' not in flag.name
    assert 0 < len(flag.short) <= 60
    assert not flag.short.endswith('.')
    assert flag.long.endswith('.')
    assert flag.long[0].isupper()


def test_flags_come_in_the_order_of_the_table_and_once():
    names = list(FLAGS)
    assert [flag.name for flag in describe_flags([names[2], names[0], names[2]])] == [names[0], names[2]]


def test_an_unknown_flag_is_a_bug():
    with pytest.raises(ValueError, match='without an entry in the table: made-up'):
        describe_flags(['made-up'])


def test_each_flag_is_raised_somewhere():
    sources = [path for top in ('calib', 'grader') for path in (ROOT / top).rglob('*.py') if path.name != 'flags.py']
    texts = {node.value for path in sources for node in ast.walk(ast.parse(path.read_text(encoding='utf-8')))
             if isinstance(node, ast.Constant) and isinstance(node.value, str)}  # fmt: skip
    assert sorted(FLAGS.keys() - texts) == []

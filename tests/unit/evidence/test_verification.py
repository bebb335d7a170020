"""What a check found, as JSON and in words."""

import json

import jsonschema
import pytest

from grader.evidence.verification import verification_schema_text
from grader.evidence.wording import proof_words, verification_words
from tests.support.run_grader import ROOT
from tests.support.sealed_bags import check, small_bag, small_chain

SCHEMA = ROOT / 'grader' / 'schemas' / 'verification_v1.schema.json'


def test_the_shipped_schema_is_that_of_the_models():
    assert SCHEMA.read_text(encoding='utf-8') == verification_schema_text()


def test_json_satisfies_the_schema(tmp_path):
    bag = small_bag(tmp_path)
    (bag / 'x').write_text('')
    for path in (bag, small_chain(tmp_path)[0].parent):
        jsonschema.validate(json.loads(check(path).to_json()), json.loads(SCHEMA.read_text(encoding='utf-8')))


def test_the_same_bag_gives_the_same_text(tmp_path):
    bag = small_bag(tmp_path)
    assert check(bag).to_json() == check(bag).to_json()


def test_words_of_one_bag_and_of_a_chain(tmp_path):
    one = verification_words(check(small_bag(tmp_path)))
    assert one.startswith("bag: whole and unchanged (4 files, ")
    assert "Each bag follows the one before it" not in one
    assert "- When it was sealed. A key and a clock on one's own computer prove no date" in one
    assert "otherwise anybody could have changed it and sealed it anew with a key of their own" in one
    assert "- That no later bag was taken away" in one
    chain = verification_words(check(small_chain(tmp_path)[0].parent))
    assert chain.count("whole and unchanged") == 3
    assert "Each bag follows the one before it" in chain


def test_a_bag_with_faults_proves_nothing(tmp_path):
    bag = small_bag(tmp_path)
    (bag / 'x').write_text('')
    with pytest.raises(ValueError, match='a bag with faults proves nothing'):
        proof_words(check(bag))


def test_folders_that_are_no_bags_are_named(tmp_path):
    folder = small_chain(tmp_path)[0].parent
    (folder / 'notes').mkdir()
    assert check(folder).notes == ("These folders are no bags, and were not looked at: notes.",)

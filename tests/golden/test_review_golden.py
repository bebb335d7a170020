"""The same record and the same log give the result that they gave before."""

import json

import pytest

from tests.golden.review_cases import CASES, FROZEN, facts_of, review_case

FACTS = json.loads(FROZEN.read_text(encoding='utf-8'))


@pytest.mark.parametrize('name', sorted(CASES))
def test_result_is_as_frozen(name):
    now, then = facts_of(review_case(name)), FACTS[name]
    assert now.pop('score') == pytest.approx(then.pop('score'), abs=0.11)
    assert now == then


def test_every_frozen_result_is_checked():
    assert set(FACTS) == set(CASES)

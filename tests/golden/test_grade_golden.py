"""Published rules give the grades that they gave when they were published."""

import json

import pytest

from tests.golden.grade_cases import CASES, FROZEN, facts_of, grade_case

FACTS = json.loads(FROZEN.read_text(encoding='utf-8'))


@pytest.mark.parametrize('name', sorted(CASES))
def test_grade_is_as_frozen(name):
    now, then = facts_of(grade_case(name)), FACTS[name]
    assert now['score'] == pytest.approx(then['score'], abs=1e-3)
    assert now['interval'] == pytest.approx(then['interval'], abs=1e-3)
    assert (now['headline'], now['reasons']) == (then['headline'], then['reasons'])


def test_every_frozen_grade_is_checked():
    assert set(FACTS) == set(CASES)

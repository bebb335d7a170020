"""The code for a phone: short, once, for minutes, and not to be guessed."""

import re

import pytest

from grader.web.security.constants import (
    CODE_ALPHABET,
    CODE_LENGTH,
    CODE_LIFE_S,
    MAX_TRIES,
    MAX_TRIES_PER_ADDRESS,
)
from grader.web.security.pairing import Pairing, TryResult, spaced
from tests.support.gated import Clock

WRONG = '222222'


@pytest.fixture
def clock():
    return Clock()


@pytest.fixture
def pairing(clock):
    return Pairing(clock)


def other_than(code):
    return ''.join('2' if sign != '2' else '3' for sign in code)


def test_code_has_no_signs_that_look_alike(pairing):
    codes = [pairing.make_code().code for _ in range(200)]
    assert all(re.fullmatch(f'[{CODE_ALPHABET}]{{{CODE_LENGTH}}}', code) for code in codes)
    assert not set('01OIL') & set(CODE_ALPHABET)
    assert len(set(codes)) == 200


def test_guessing_is_hopeless():
    assert MAX_TRIES / len(CODE_ALPHABET) ** CODE_LENGTH < 1e-7


def test_right_code_lets_one_in(pairing):
    code = pairing.make_code().code
    assert pairing.give(code, 'a') is TryResult.LET_IN
    assert pairing.shown() is None
    assert pairing.give(code, 'a') is TryResult.NO_CODE


@pytest.mark.parametrize('typed', [str.lower, spaced, lambda code: '-'.join(code), lambda code: f'  {code}\n'])
def test_as_people_type_it(pairing, typed):
    code = pairing.make_code().code
    assert pairing.give(typed(code), 'a') is TryResult.LET_IN


def test_no_code_was_made(pairing):
    assert pairing.shown() is None
    assert pairing.give('', 'a') is TryResult.NO_CODE


def test_code_runs_out(pairing, clock):
    code = pairing.make_code().code
    clock.now_s += CODE_LIFE_S - 1
    assert pairing.shown().left_s == 1
    clock.now_s += 1
    assert pairing.shown() is None
    assert pairing.give(code, 'a') is TryResult.NO_CODE


def test_new_code_ends_the_one_before(pairing):
    old = pairing.make_code().code
    new = pairing.make_code().code
    assert pairing.give(old, 'a') is TryResult.WRONG
    assert pairing.give(new, 'a') is TryResult.LET_IN


def test_ended_by_hand(pairing):
    code = pairing.make_code().code
    pairing.end_code()
    assert pairing.give(code, 'a') is TryResult.NO_CODE


@pytest.mark.parametrize('text', ['', ' ', 'ABC', 'é', '\ud800', '\0', 'A' * 100_000, '１２３'])
def test_odd_texts_are_wrong(pairing, text):
    pairing.make_code()
    assert pairing.give(text, 'a') is TryResult.WRONG


def test_tries_of_one_address(pairing):
    code = pairing.make_code().code
    results = [pairing.give(other_than(code), 'a') for _ in range(MAX_TRIES_PER_ADDRESS + 1)]
    assert results == [TryResult.WRONG] * MAX_TRIES_PER_ADDRESS + [TryResult.TOO_MANY]
    assert pairing.give(code, 'a') is TryResult.TOO_MANY
    assert pairing.give(code, 'b') is TryResult.LET_IN


def test_tries_of_all_addresses_end_the_code(pairing):
    code = pairing.make_code().code
    results = [pairing.give(other_than(code), f'10.0.0.{at}') for at in range(MAX_TRIES)]
    assert results == [TryResult.WRONG] * (MAX_TRIES - 1) + [TryResult.TOO_MANY]
    assert pairing.give(code, 'b') is TryResult.NO_CODE
    assert pairing.was_guessed
    pairing.make_code()
    assert not pairing.was_guessed


def test_new_code_counts_anew(pairing):
    first = pairing.make_code().code
    for _ in range(MAX_TRIES_PER_ADDRESS):
        pairing.give(other_than(first), 'a')
    assert pairing.give(pairing.make_code().code, 'a') is TryResult.LET_IN

"""A hundred damaged and hostile photos and records, each read by the real command in a process of its own.

`python -m tests.benchmark.bad_input` gives thousands.
"""

import random

import pytest

import grader.commands.check
import grader.commands.collection.files
import grader.commands.collection.reading
import grader.commands.compare
import grader.commands.history
import grader.commands.review
import grader.commands.show
import grader.commands.verify
from grader.opencv_pin import pin_opencv
from tests.support.bad_input.case import BadCase
from tests.support.bad_input.hunt import hunt
from tests.support.bad_input.judge import run_case
from tests.support.bad_input.photo_cases import photo_answers, photo_case
from tests.support.bad_input.photo_seeds import seed_photos
from tests.support.bad_input.record_cases import all_readers, damaged
from tests.support.bad_input.watch import CRASHED
from tests.support.sample_record import sample_record

N_PHOTOS, N_RECORDS, SEED = 23, 77, 20


def test_photos():
    pin_opencv()
    told = [(one.case.family, one.faults) for one in photo_answers(N_PHOTOS, SEED)]
    assert len(told) == N_PHOTOS
    assert [one for one in told if one[1]] == []


def test_records_and_what_reaches_new_lines():
    answers = list(hunt(N_RECORDS, SEED))
    assert [(one.case.family, one.faults) for one, _ in answers if one.faults] == []
    assert {0, 3} <= {one.run.code for one, _ in answers}
    assert sum(n_new for _, n_new in answers) > 0


def test_the_same_seed_gives_the_same_inputs():
    def inputs() -> list[object]:
        rng = random.Random(4)
        records = [damaged(rng, reader, reader.files[reader.hit]) for reader in all_readers() for _ in range(5)]
        return [
            *records,
            *((case.family, dict(case.files)) for case in (photo_case(rng, one) for one in seed_photos())),
        ]

    assert inputs() == inputs()


@pytest.fixture
def whole():
    return BadCase('whole', ('show', 'record.json'), {'record.json': sample_record().to_json().encode()},
                   frozenset({0}), ('record.json',))  # fmt: skip


def test_a_whole_record_is_taken(whole):
    judged = run_case(whole)
    assert (judged.run.code, judged.faults) == (0, ())
    assert "71.03 mm" in judged.run.out


@pytest.mark.parametrize(
    ('body', 'fault'),
    [
        ('raise KeyError("a")', 'code 1'),
        ('import os; os.kill(os.getpid(), 15)', 'ended by SIGTERM'),
        ('raise SystemExit(3)', 'does not name the file'),
        ('open("left", "w")', 'left was left behind'),
        ('open("record.json", "a").write(" ")', 'record.json was changed'),
        ('print("\\x1b[2J")', 'control signs in the result'),
        ('bytearray(4 << 30)', 'code 3'),
        ('bytearray(b"a" * (1300 << 20))', 'MiB'),
    ],
)
def test_what_the_judge_finds(whole, monkeypatch, body, fault):
    """The check of the check: commands that do what none may do."""
    monkeypatch.setattr(grader.commands.show, 'record_at', lambda path: exec(body))
    monkeypatch.setattr(grader.commands.show, 'format_table', lambda record: 'x')
    judged = run_case(whole)
    assert any(fault in one for one in judged.faults), judged


@pytest.mark.parametrize(
    ('limit', 'body', 'fault'),
    [('LIMIT_S', 'while True: pass', 'not done after 1 s of work'),
     ('LIMIT_WAITING_S', 'import time; time.sleep(30)', 'waits for 1 s')],
)  # fmt: skip
def test_a_command_that_does_not_end(whole, monkeypatch, limit, body, fault):
    for module in ('watch', 'judge'):
        monkeypatch.setattr(f'tests.support.bad_input.{module}.{limit}', 1)
    monkeypatch.setattr(grader.commands.show, 'record_at', lambda path: exec(body))
    judged = run_case(whole)
    assert judged.run.code == CRASHED
    assert judged.faults == (fault,)

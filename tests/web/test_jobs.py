"""Jobs in processes of their own: progress, results, faults in words, crashes and stops."""

import os
import signal
import time
from concurrent.futures import TimeoutError as NotYet

import pytest

from grader.errors import JobNotFound, SettingsInvalid
from grader.web.jobs import JobFailed, Jobs

WAIT_S = 60


def count_to(progress, number, factor):
    progress.start(number)
    for k in range(number):
        progress.step(f'step {k}')
    progress.finish()
    return f'/results/{number * factor}'


def count_none(progress):
    pass


def fail(progress):
    raise SettingsInvalid("The height is 900 mm, and at most 300 mm can be.", "Give it in millimetres.")


def have_a_bug(progress):
    return {}['nothing']


def die(progress):
    os.kill(os.getpid(), signal.SIGKILL)


def sleep_long(progress):
    progress.start(2)
    progress.step('asleep')
    time.sleep(600)


@pytest.fixture
def jobs():
    made = Jobs()
    yield made
    made.close()


def wait_for_state(jobs, token, wanted):
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        state = jobs.state(token)
        if wanted(state):
            return state
        time.sleep(0.02)
    raise AssertionError(f'still {jobs.state(token)}')


def test_a_job_counts_its_steps_and_goes_to_its_result(jobs):
    token, future = jobs.submit('short', "Count", '/back', count_to, 3, 14)
    assert future.result(WAIT_S) == '/results/42'
    state = jobs.state(token)
    assert (state.state, state.n_steps, state.n_done, state.step_name, state.goes_to) == (
        'done', 3, 3, 'step 2', '/results/42')  # fmt: skip


def test_a_fault_that_can_be_mended_keeps_its_words(jobs):
    token, future = jobs.submit('short', "Fail", '/back', fail)
    with pytest.raises(JobFailed, match='at most 300 mm'):
        future.result(WAIT_S)
    state = jobs.state(token)
    assert (state.state, state.remedy, state.back_to) == ('failed', "Give it in millimetres.", '/back')


def test_a_fault_of_ours_says_so(jobs, caplog):
    token, future = jobs.submit('short', "Bug", '/back', have_a_bug)
    with pytest.raises(JobFailed):
        future.result(WAIT_S)
    assert "fault in grader" in jobs.state(token).problem
    assert "KeyError" in caplog.text


def test_a_crash_ends_one_job_only(jobs):
    token, future = jobs.submit('short', "Die", '/back', die)
    _, after = jobs.submit('short', "Count", '/back', count_to, 1, 1)
    with pytest.raises(JobFailed, match='memory'):
        future.result(WAIT_S)
    assert after.result(WAIT_S) == '/results/1'
    assert jobs.state(token).state == 'failed'


def test_a_running_job_can_be_stopped_and_the_next_one_runs(jobs):
    token, _ = jobs.submit('long', "Sleep", '/back', sleep_long)
    _, after = jobs.submit('long', "Count", '/back', count_to, 2, 2)
    wait_for_state(jobs, token, lambda state: state.n_done == 1)
    with pytest.raises(NotYet):
        after.result(0)
    jobs.stop(token)
    assert jobs.state(token).state == 'stopped'
    assert after.result(WAIT_S) == '/results/4'


def test_a_waiting_job_can_be_stopped(jobs):
    first, _ = jobs.submit('long', "Sleep", '/back', sleep_long)
    second, future = jobs.submit('long', "Count", '/back', count_to, 2, 2)
    jobs.stop(second)
    with pytest.raises(JobFailed):
        future.result(WAIT_S)
    assert jobs.state(second).state == 'stopped'
    assert [one.token for one in jobs.unfinished()] == [first]


def test_short_work_does_not_wait_for_long_work(jobs):
    jobs.submit('long', "Sleep", '/back', sleep_long)
    _, future = jobs.submit('short', "Count", '/back', count_to, 1, 5)
    assert future.result(WAIT_S) == '/results/5'


def test_a_lane_is_warmed_up_once(jobs):
    jobs.warm_up('short', count_none)
    jobs.warm_up('short', count_none)
    assert len(jobs.unfinished()) <= 1
    _, future = jobs.submit('short', "Count", '/back', count_to, 1, 1)
    future.result(WAIT_S)
    jobs.warm_up('short', count_none)
    assert jobs.unfinished() == ()


def test_an_unknown_job_is_told(jobs):
    with pytest.raises(JobNotFound, match='no such job'):
        jobs.state('nothing')

"""A fault at any step of noting an entry leaves the old review or the new one."""

import pytest

from tests.support.kills import fill_disk, kill_now
from tests.support.review_kills import fault_at_step, n_entries, reviewed_record


@pytest.mark.parametrize('fault', [kill_now, fill_disk])
def test_a_fault_at_each_step(tmp_path, fault):
    at_hand = reviewed_record(tmp_path)
    before, step, seen = n_entries(at_hand), 1, set()
    while fault_at_step(at_hand, step, fault):
        now = n_entries(at_hand)
        assert now in (before, before + 1), f'step {step}'
        seen.add(now - before)
        before, step = now, step + 1
    assert step > 8
    assert 0 in seen
    assert n_entries(at_hand) == before + 1

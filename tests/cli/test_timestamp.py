"""``grader timestamp``: a request written, a reply checked and attached."""

import json

import pytest

from grader.exit_codes import ExitCode
from tests.support.run_grader import run_grader
from tests.support.sealed_bags import faults_of, files_in, small_bag
from tests.support.time_authority import Authority


@pytest.fixture
def bag(tmp_path):
    return small_bag(tmp_path)


@pytest.fixture
def authority():
    return Authority()


def attach(bag, folder, authority, *options, **changes):
    request, reply = folder / 'a.tsq', folder / 'a.tsr'
    run = run_grader('timestamp', bag, '--request', request)
    assert run.code == ExitCode.DONE, run.err
    reply.write_bytes(authority.reply(request.read_bytes(), **changes))
    return run_grader('timestamp', bag, '--request', request, '--reply', reply, *options)


def test_from_request_to_check(bag, tmp_path, authority):
    run = attach(bag, tmp_path, authority)
    assert run.code == ExitCode.DONE, run.err
    assert run.out == (
        "Attached: 2026-03-11T08:00:00+00:00 by CN=Little clock "
        "(whether that authority is real was not asked; see --ca)\n"
    )
    words = run_grader('verify', bag).out
    assert "Time stamp 2026-03-11T08:00:00+00:00 by CN=Little clock" in words
    assert "anybody can make a certificate with any name" in words
    (tmp_path / 'root.pem').write_bytes(authority.root_pem)
    words = run_grader('verify', bag, '--ca', tmp_path / 'root.pem').out
    assert "- bag existed at 2026-03-11T08:00:00+00:00: CN=Little clock says so" in words
    assert "prove no date" not in words
    found = json.loads(run_grader('verify', bag, '--ca', tmp_path / 'root.pem', '--json').out)
    assert found['bags'][0]['time_stamp']['is_trusted'] is True
    (tmp_path / 'other.pem').write_bytes(Authority().root_pem)
    run = run_grader('verify', bag, '--ca', tmp_path / 'other.pem')
    assert run.code == ExitCode.BAG
    assert "No chain of certificates leads from the time stamp to an authority of the file given." in run.err


def test_the_sealed_files_stay_as_they_were(bag, tmp_path, authority):
    before = files_in(bag)
    attach(bag, tmp_path, authority)
    after = files_in(bag)
    assert {name: data for name, data in after.items() if not name.startswith('timestamp/')} == before
    assert sorted(set(after) - set(before)) == [
        'timestamp/manifest-sha256.txt', 'timestamp/reply.tsr', 'timestamp/request.tsq']  # fmt: skip


def test_two_requests_differ_by_their_number(bag, tmp_path):
    for name in ('a', 'b'):
        assert run_grader('timestamp', bag, '--request', tmp_path / name).code == ExitCode.DONE
    assert (tmp_path / 'a').read_bytes() != (tmp_path / 'b').read_bytes()


@pytest.mark.parametrize('changes', [{'nonce': 1}, {'digest': bytes(32)}, {'status': 'rejection'}], ids=str)
def test_a_reply_that_does_not_fit_is_not_attached(bag, tmp_path, authority, changes):
    before = files_in(bag)
    run = attach(bag, tmp_path, authority, **changes)
    assert run.code == ExitCode.SETTINGS
    assert "this time stamp was not attached." in run.err
    assert files_in(bag) == before


def test_with_a_named_authority_a_stranger_is_refused(bag, tmp_path, authority):
    (tmp_path / 'other.pem').write_bytes(Authority().root_pem)
    run = attach(bag, tmp_path, authority, '--ca', tmp_path / 'other.pem')
    assert run.code == ExitCode.SETTINGS
    assert not (bag / 'timestamp').exists()


def test_a_second_time_stamp_is_refused(bag, tmp_path, authority):
    attach(bag, tmp_path, authority)
    run = run_grader('timestamp', bag, '--request', tmp_path / 'again.tsq')
    assert run.code == ExitCode.OUTPUT
    assert "it has a time stamp already." in run.err


def test_a_damaged_bag_is_not_stamped(bag, tmp_path):
    (bag / 'data/photos/a.jpg').write_bytes(b'other')
    assert run_grader('timestamp', bag, '--request', tmp_path / 'a.tsq').code == ExitCode.BAG
    assert not (tmp_path / 'a.tsq').exists()


def test_files_that_are_not_there(bag, tmp_path):
    run = run_grader('timestamp', bag, '--request', tmp_path / 'no', '--reply', tmp_path / 'no')
    assert run.code == ExitCode.SETTINGS
    run = run_grader('verify', bag, '--ca', tmp_path / 'no')
    assert run.code == ExitCode.SETTINGS
    run = run_grader('timestamp', tmp_path / 'no', '--request', tmp_path / 'a.tsq')
    assert run.code == ExitCode.SETTINGS


def test_changed_bytes_of_an_attached_time_stamp_count(bag, tmp_path, authority):
    attach(bag, tmp_path, authority)
    for path in sorted((bag / 'timestamp').iterdir()):
        data = path.read_bytes()
        for k in range(0, len(data), 23):
            path.write_bytes(data[:k] + bytes([data[k] ^ 1]) + data[k + 1 :])
            assert faults_of(bag), (path.name, k)
        path.write_bytes(data)
    assert faults_of(bag) == []


@pytest.mark.parametrize('name', ['request.tsq', 'reply.tsr', 'manifest-sha256.txt'])
def test_a_missing_part_of_a_time_stamp_counts(bag, tmp_path, authority, name):
    attach(bag, tmp_path, authority)
    (bag / 'timestamp' / name).unlink()
    assert ('time stamp', f'timestamp/{name}') in faults_of(bag)


def test_an_extra_file_beside_a_time_stamp_counts(bag, tmp_path, authority):
    attach(bag, tmp_path, authority)
    (bag / 'timestamp' / 'note').write_text('x')
    assert ('extra', 'timestamp/note') in faults_of(bag)


def test_a_time_stamp_of_another_bag_counts(bag, tmp_path, authority):
    attach(bag, tmp_path, authority)
    other = small_bag(tmp_path / 'other')
    (other / 'seal' / 'seal.txt').write_text((other / 'seal' / 'seal.txt').read_text().replace('10:09', '10:10'))
    (bag / 'timestamp').rename(other / 'timestamp')
    assert ('time stamp', '') not in faults_of(other)  # the signed manifest is the same: the stamp is for it
    (other / 'tagmanifest-sha256.txt').write_text('')
    assert ('time stamp', '') in faults_of(other)

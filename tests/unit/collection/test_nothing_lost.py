"""Nothing is lost: kills, full disks, tampered lists, two writers."""

import json
import multiprocessing
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest

from grader.collection.change import change_of
from grader.collection.lock import locked
from grader.collection.place import create_place, open_place
from grader.errors import CollectionBusy, CollectionNotFound, CollectionUnreadable, OutputNotWritable
from tests.support.collections import add, new_collection, titles

ROOT = Path(__file__).parents[3]


def test_a_hundred_kills_leave_the_old_or_the_new_state():
    # A process of its own: it forks, which a process with the threads of other tests must not.
    run = subprocess.run(
        [sys.executable, '-m', 'tests.benchmark.kill_collection', '--kills', '100', '--seed', '7'],
        capture_output=True,
        text=True,
        cwd=ROOT,
        env={**os.environ, 'OMP_NUM_THREADS': '1', 'OPENBLAS_NUM_THREADS': '1'},
    )
    assert run.returncode == 0, run.stdout + run.stderr
    n_old, n_new = (int(run.stdout.split()[k]) for k in (2, 4))
    assert n_old + n_new == 100
    assert min(n_old, n_new) >= 10, 'both happen, else the kills came too early or too late'


def test_a_fault_within_a_change_leaves_nothing(tmp_path):
    place = new_collection(tmp_path, {'title': 'a'})
    with pytest.raises(OutputNotWritable, match=r'cannot be written \(No space left on device\)'):
        with locked(place, 'test'), change_of(place) as change:
            change.put_file(place.pieces / 'x', b'half')
            raise OSError(28, 'No space left on device')
    assert list(place.work.iterdir()) == []
    assert titles(place) == ['a']


@pytest.mark.parametrize(
    'moves',
    ['{', '[["a"]]', '[["../../a", "pieces/b"]]', '[[".grader/a", "/etc/b"]]'],
    ids=['cut', 'odd', 'out', 'abs'],
)
def test_a_tampered_list_of_moves_is_refused(tmp_path, moves):
    place = new_collection(tmp_path)
    work = place.work / 'aaaa'
    work.mkdir()
    (work / 'moves.json').write_text(moves)
    with pytest.raises(CollectionUnreadable, match='the list of an unfinished change'):
        with locked(place, 'test'):
            pass
    assert (work / 'moves.json').exists()


def hold(root, ready, release):
    with locked(open_place(root), 'import'):
        ready.set()
        release.wait(30)


def test_a_second_writer_waits_or_is_told_who(tmp_path):
    place = new_collection(tmp_path)
    context = multiprocessing.get_context('spawn')
    ready, release = context.Event(), context.Event()
    process = context.Process(target=hold, args=(place.root, ready, release))
    process.start()
    assert ready.wait(30)
    with pytest.raises(CollectionBusy, match=rf'another program is changing .* \(import, process {process.pid} on '):
        with locked(place, 'test', wait_s=0.1):
            pass
    os.kill(process.pid, signal.SIGKILL)
    process.join()
    with locked(place, 'test', wait_s=5):
        holder = json.loads((place.own / 'lock-holder.json').read_text())
    assert (holder['command'], holder['process']) == ('test', os.getpid())


def add_some(root, name):
    for k in range(4):
        add(open_place(root), {'title': f'{name}{k}'})


def test_two_writers_at_once_both_get_all_in(tmp_path):
    place = new_collection(tmp_path)
    context = multiprocessing.get_context('spawn')
    writers = [context.Process(target=add_some, args=(place.root, name)) for name in 'ab']
    for writer in writers:
        writer.start()
    for writer in writers:
        writer.join(60)
    assert sorted(titles(place)) == [f'{name}{k}' for name in 'ab' for k in range(4)]


def test_a_new_collection_needs_a_folder_of_its_own(tmp_path):
    (tmp_path / 'letter.txt').write_text('x')
    with pytest.raises(OutputNotWritable, match='needs a folder of its own'):
        create_place(tmp_path)
    place = create_place(tmp_path / 'glass')
    with pytest.raises(OutputNotWritable, match='there is a collection already'):
        create_place(place.root)


def test_making_a_collection_that_was_stopped_can_be_done_again(tmp_path):
    place = create_place(tmp_path / 'glass')
    (place.root / 'collection.json').rename(place.work / 'collection.json')
    with pytest.raises(CollectionNotFound, match='no collection in this folder'):
        open_place(place.root)
    create_place(place.root)
    assert titles(open_place(place.root)) == []


def test_a_newer_collection_is_refused(tmp_path):
    place = create_place(tmp_path / 'glass')
    (place.root / 'collection.json').write_text('{"collection_version": 2}')
    with pytest.raises(CollectionUnreadable, match='of version 2, and version 1 is needed'):
        open_place(place.root)

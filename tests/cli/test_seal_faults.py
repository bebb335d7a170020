"""Faults from outside while a bag is sealed: full and read-only disks, kills, two programs at once, odd names.

What is left is the state before or the state after, never a half one.
"""

import json
import os
import shutil
import subprocess
import sys
import tempfile

import pytest

from grader.errors import OutputNotWritable
from grader.exit_codes import ExitCode
from grader.output import new_folder
from tests.support.run_grader import ROOT, grader_process, run_as_process, run_grader
from tests.support.sealed_bags import check, files_in, small_bag, small_examination
from tests.support.time_authority import Authority


def rights_bind() -> bool:
    """Whether a file without rights cannot be read; an administrator can."""
    with tempfile.NamedTemporaryFile() as file:
        os.chmod(file.name, 0)
        return not os.access(file.name, os.R_OK)


not_as_root = pytest.mark.skipif(not rights_bind(), reason='nothing is read-only for the administrator')
on_linux = pytest.mark.skipif(not os.path.ismount('/sys'), reason='/sys is a disk nobody can write to only on Linux')


@pytest.fixture
def look(tmp_path):
    folder = small_examination(tmp_path / 'photos' / 'look')
    (folder / 'report.pdf').write_bytes(bytes(20_000))
    return folder


@pytest.fixture
def key(tmp_path):
    path = tmp_path / 'key.pem'
    run_grader('seal', small_examination(tmp_path / 'warm' / 'up'), '--out', tmp_path / 'warm' / 'bags', '--key', path)
    return path


def test_killed_at_random_moments_nothing_is_lost():
    script = ROOT / 'tests' / 'benchmark' / 'kill_seal.py'
    run = subprocess.run([sys.executable, script, '--kills', '100'], capture_output=True, text=True, check=False)
    assert run.returncode == 0, run.stdout + run.stderr
    assert run.stdout.endswith('100 kills at random moments, 0 before single file operations: nothing lost\n')
    assert 'SealRound: killed, nothing' in run.stdout


@pytest.mark.parametrize('n_bytes', [5, 200, 6_000, 15_000], ids=['photo', 'manifest', 'record', 'report'])
def test_full_disk(look, key, tmp_path, n_bytes):
    """Each limit is met by another file."""
    before = files_in(tmp_path)
    out = tmp_path / 'sealed'
    run = run_as_process('seal', look, '--out', out, '--key', key, max_file_bytes=n_bytes)
    assert run.code == ExitCode.OUTPUT, run.err
    assert run.err.startswith(f"{out / 'look'}: it cannot be written (File too large). Check that there is room")
    assert files_in(tmp_path) == before
    assert run_grader('seal', look, '--out', out, '--key', key).code == ExitCode.DONE


def test_full_disk_when_the_key_is_made(look, tmp_path):
    before = files_in(tmp_path)
    run = run_as_process('seal', look, '--out', tmp_path / 'sealed', '--key', tmp_path / 'new.pem', max_file_bytes=20)
    assert run.code == ExitCode.OUTPUT
    assert "new.pem: the new key cannot be written (File too large)." in run.err
    assert files_in(tmp_path) == before


def test_full_disk_when_a_reply_is_attached(tmp_path):
    bag = small_bag(tmp_path)
    request, reply = tmp_path / 'a.tsq', tmp_path / 'a.tsr'
    run = run_as_process('timestamp', bag, '--request', request, max_file_bytes=20)
    assert run.code == ExitCode.OUTPUT
    assert not request.exists()
    run_grader('timestamp', bag, '--request', request)
    reply.write_bytes(Authority().reply(request.read_bytes()))
    before = files_in(tmp_path)
    run = run_as_process('timestamp', bag, '--request', request, '--reply', reply, max_file_bytes=500)
    assert run.code == ExitCode.OUTPUT
    assert files_in(tmp_path) == before
    assert check(bag).is_valid


@on_linux
def test_read_only_disk(look, key):
    run = run_grader('seal', look, '--out', '/sys/sealed', '--key', key)
    assert run.code == ExitCode.OUTPUT
    assert run.err.startswith("/sys/sealed/look: it cannot be written (")


@on_linux
def test_read_only_place_for_the_key(look, tmp_path):
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', '/sys/key.pem')
    assert run.code == ExitCode.OUTPUT
    assert "/sys/key.pem: the new key cannot be written (" in run.err
    assert not (tmp_path / 'sealed').exists()


@not_as_root
def test_read_only_folder(look, key, tmp_path):
    (tmp_path / 'sealed').mkdir(mode=0o555)
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.OUTPUT
    assert "Permission denied" in run.err


@not_as_root
@pytest.mark.parametrize('name', ['look/record.json', 'look/report.pdf', 'look/more', 'a.jpg'])
def test_what_may_not_be_read_is_not_sealed(look, key, tmp_path, name):
    (look / 'more').mkdir()
    (look.parent / name).chmod(0)
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    (look.parent / name).chmod(0o700)
    assert run.code == (ExitCode.PHOTO_SET if name == 'a.jpg' else ExitCode.FILE_UNREADABLE)
    assert "cannot be opened" in run.err or "cannot be read" in run.err
    assert not (tmp_path / 'sealed').exists()


@not_as_root
def test_a_file_that_may_not_be_read_counts_in_a_check(tmp_path):
    bag = small_bag(tmp_path)
    (bag / 'data/photos/a.jpg').chmod(0)
    found = check(bag)
    assert "cannot be read (Permission denied)." in [fault.words for fault in found.faults]


def test_a_file_in_place_of_the_folder(look, key, tmp_path):
    (tmp_path / 'sealed').write_text('mine')
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.OUTPUT
    assert (tmp_path / 'sealed').read_text() == 'mine'


def test_two_programs_at_once_make_one_bag_with_one_key(look, tmp_path):
    settings = {'XDG_CONFIG_HOME': str(tmp_path / 'config'), 'HOME': str(tmp_path)}
    both = [grader_process('seal', look, '--out', tmp_path / 'sealed', **settings) for _ in range(2)]
    ends = [process.communicate(timeout=60) for process in both]
    codes = sorted(process.returncode for process in both)
    assert codes == [ExitCode.DONE, ExitCode.OUTPUT], ends
    assert check(tmp_path / 'sealed' / 'look').is_valid
    assert [path.name for path in (tmp_path / 'sealed').iterdir()] == ['look']
    assert [path.name for path in (tmp_path / 'config' / 'grader').iterdir()] == ['seal-key.pem']


def test_a_bag_that_appears_meanwhile_is_not_mixed_with_another(tmp_path):
    with pytest.raises(OutputNotWritable), new_folder(tmp_path / 'bag') as work:
        (work / 'mine').write_text('mine')
        (tmp_path / 'bag').mkdir()
        (tmp_path / 'bag' / 'theirs').write_text('theirs')
    assert files_in(tmp_path) == {'bag/theirs': b'theirs'}


@pytest.mark.parametrize(
    'names',
    [
        ('Straße – 文鎮 \u200d😀.jpg', 'ü.jpg', 'u\u0308.jpg'),
        ('a\nb.jpg', 'a\tb.jpg', ' a.jpg', 'a.jpg '),
        ('%0A.jpg', '%.jpg', '*.jpg', '~'),
        ('é' * 127, 'x' * 251 + '.jpg'),
        ('\u202egpj.exe', '\u2028', '-rf', '--help'),
    ],
    ids=['unicode', 'blanks', 'percent', 'long', 'tricks'],
)
def test_names_of_photos(key, tmp_path, names):
    look = small_examination(tmp_path / 'x' / 'look', names)
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.DONE, run.err
    run = run_grader('verify', tmp_path / 'sealed' / 'look')
    assert run.code == ExitCode.DONE, run.err
    photos = sorted(path.read_bytes() for path in (tmp_path / 'sealed/look/data/photos').iterdir())
    assert photos == sorted((look.parent / name).read_bytes() for name in names)


@pytest.mark.parametrize('name', ['look at é 文', 'x' * 255, 'a\nb', '-v', 'CON'])
def test_names_of_folders(key, tmp_path, name):
    look = small_examination(tmp_path / 'x' / name)
    run = run_grader('seal', '--out', tmp_path / 'sealed', '--key', key, '--', look)
    assert run.code == ExitCode.DONE, run.err
    run = run_grader('verify', tmp_path / 'sealed')
    assert run.code == ExitCode.DONE, run.err


@pytest.mark.parametrize('name', ['../../outside.jpg', '/etc/hostname', '..', '', 'a/b.jpg', 'nul\0.jpg'])
def test_path_tricks_in_a_record(key, tmp_path, name):
    """The name of a photo in a record from elsewhere is never made a path of."""
    look = small_examination(tmp_path / 'x' / 'y' / 'look', ('a.jpg',))
    (tmp_path / 'outside.jpg').write_bytes(b'secret')
    text = (look / 'record.json').read_text(encoding='utf-8')
    (look / 'record.json').write_text(text.replace('"name": "a.jpg"', f'"name": {json.dumps(name)}'))
    before = set(tmp_path.rglob('*'))
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.DONE, run.err
    assert b'secret' not in files_in(tmp_path / 'sealed').values()
    assert check(tmp_path / 'sealed' / 'look').is_valid
    new = set(tmp_path.rglob('*')) - before
    assert all(path.is_relative_to(tmp_path / 'sealed') for path in new)


def test_names_in_subfolders_of_an_examination(key, tmp_path):
    look = small_examination(tmp_path / 'x' / 'look')
    (look / 'more?' / 'deep').mkdir(parents=True)
    (look / 'more*').mkdir()
    (look / 'more?' / 'deep' / 'x').write_text('1')
    (look / 'more*' / 'x').write_text('2')
    (look / 'more_').write_text('3')
    assert run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key).code == ExitCode.DONE
    bag = tmp_path / 'sealed' / 'look'
    assert check(bag).is_valid
    kept = [data for name, data in files_in(bag).items() if 'more' in name]
    assert sorted(kept) == [b'1', b'2', b'3']


def test_a_disk_that_spells_accents_anew_is_no_fault(key, tmp_path):
    look = small_examination(tmp_path / 'x' / 'look', ('é.jpg',))
    run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    photos = tmp_path / 'sealed' / 'look' / 'data' / 'photos'
    (photos / '\u00e9.jpg').rename(photos / 'e\u0301.jpg')
    run = run_grader('verify', tmp_path / 'sealed' / 'look')
    assert run.code == ExitCode.DONE, run.err
    assert "The disk spells the accents of 1 file name(s) otherwise" in run.out


def test_a_bag_that_may_not_be_written_can_be_checked(key, tmp_path):
    look = small_examination(tmp_path / 'x' / 'look')
    run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    for path in (tmp_path / 'sealed').rglob('*'):
        path.chmod(0o555 if path.is_dir() else 0o444)
    try:
        assert run_grader('verify', tmp_path / 'sealed').code == ExitCode.DONE
    finally:
        for path in (tmp_path / 'sealed').rglob('*'):
            path.chmod(0o755)
    shutil.rmtree(tmp_path / 'sealed')

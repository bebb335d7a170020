"""``grader seal`` and ``grader verify``: files, words, JSON and exit codes."""

import hashlib
import json
import shutil

import pytest

from grader.evidence.seal_key import fingerprint_at, key_from
from grader.exit_codes import ExitCode
from tests.support.compared_sides import usual_compared
from tests.support.example_photos import demo_photos
from tests.support.run_grader import ROOT, run_as_process, run_grader
from tests.support.sealed_bags import files_in, small_examination


@pytest.fixture
def key(tmp_path):
    return tmp_path / 'settings' / 'key.pem'


@pytest.fixture
def look(tmp_path):
    return small_examination(tmp_path / 'photos' / 'first-look')


def test_a_sealed_bag_holds_all_and_is_valid(look, key, tmp_path):
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key, '--when', '2026-03-10T10:09')
    assert run.code == ExitCode.DONE, run.err
    bag = tmp_path / 'sealed' / 'first-look'
    assert run.out.startswith(f"Sealed: {bag}\n  Signed manifest, SHA-256  ")
    assert run.err.startswith(f"A new key was made for you: {key}. Keep a safe copy of it")
    assert (bag / 'data/photos/a.jpg').read_bytes() == (look.parent / 'a.jpg').read_bytes()
    assert (bag / 'data/examination/record.json').read_bytes() == (look / 'record.json').read_bytes()
    assert 'Bagging-Date: 2026-03-10\n' in (bag / 'bag-info.txt').read_text()
    checked = run_grader('verify', bag)
    assert (checked.code, checked.err) == (ExitCode.DONE, '')
    assert checked.out.startswith("first-look: whole and unchanged (4 files, ")
    assert "Sealed at 2026-03-10T10:09:00, as the sealer typed it" in checked.out
    assert "A key and a clock on one's own computer prove no date" in checked.out
    assert "who has the key can seal anything anew" in checked.out


def test_without_when_there_is_no_date(look, key, tmp_path):
    run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    bag = tmp_path / 'sealed' / 'first-look'
    assert 'Bagging-Date' not in (bag / 'bag-info.txt').read_text()
    assert 'Sealed-At: none\n' in (bag / 'seal/seal.txt').read_text()


def test_without_out_the_bag_lies_beside(look, key):
    run = run_grader('seal', look, '--key', key)
    assert run.code == ExitCode.DONE, run.err
    assert run_grader('verify', look.parent / 'sealed' / 'first-look').code == ExitCode.DONE


def test_sealed_twice_gives_the_same_bytes(look, key, tmp_path):
    for name in ('one', 'two'):
        run = run_grader('seal', look, '--out', tmp_path / name, '--key', key, '--when', '2026-03-10')
        assert run.code == ExitCode.DONE, run.err
    assert files_in(tmp_path / 'one') == files_in(tmp_path / 'two')
    assert 'new key' not in run.err


def test_nothing_of_the_users_changes(look, key, tmp_path):
    def state():
        return {path: (path.stat().st_mtime_ns, path.read_bytes()) for path in look.parent.rglob('*') if path.is_file()}

    before = state()
    run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert state() == before


def test_a_chain_of_examinations(look, key, tmp_path):
    later = small_examination(tmp_path / 'later' / 'after-the-show', mark=b'later')
    last = small_examination(tmp_path / 'last' / 'today', mark=b'last')
    out = tmp_path / 'sealed'
    assert run_grader('seal', look, later, '--out', out, '--key', key).code == ExitCode.DONE
    assert run_grader('seal', last, '--out', out, '--after', out / 'after-the-show', '--key', key).code == ExitCode.DONE
    run = run_grader('verify', out, '--json')
    assert run.code == ExitCode.DONE
    found = json.loads(run.out)
    assert [(bag['name'], bag['number']) for bag in found['bags']] == [
        ('first-look', 1), ('after-the-show', 2), ('today', 3)]  # fmt: skip
    assert "Each bag follows the one before it" in run_grader('verify', out).out
    one = run_grader('verify', out / 'today')
    assert "Note: today follows another bag" in one.out
    assert "Note:" not in run_grader('verify', out / 'after-the-show', '--previous', out / 'first-look').out
    shutil.rmtree(out / 'after-the-show')
    broken = run_grader('verify', out)
    assert broken.code == ExitCode.BAG
    assert "today: does not follow any bag here: the one before it is missing or was changed." in broken.err


def test_all_faults_are_printed_with_the_code(look, key, tmp_path):
    run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    bag = tmp_path / 'sealed' / 'first-look'
    (bag / 'data/photos/a.jpg').write_bytes(b'other')
    (bag / 'data/x\x1b[31m').write_bytes(b'other')
    run = run_grader('verify', bag)
    assert (run.code, run.out) == (ExitCode.BAG, '')
    assert "faults were found. It is not as it was sealed, or it was never whole:\n- " in run.err
    assert "- first-look/data/photos/a.jpg: has changed.\n" in run.err
    assert "- first-look/data/x\\u001b[31m: is not listed in the manifest: it was added or renamed.\n" in run.err
    assert "Do not seal it anew." in run.err
    as_json = run_grader('verify', bag, '--json')
    assert as_json.code == ExitCode.BAG
    kinds = {fault['kind'] for fault in json.loads(as_json.out)['faults']}
    assert {'changed', 'extra', 'photo'} <= kinds


def test_fingerprint(look, key, tmp_path):
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key, '--json')
    (sealed,) = json.loads(run.out)
    right = sealed['fingerprint']
    typed = ' '.join(right[k : k + 4].upper() for k in range(0, 64, 4))
    bag = tmp_path / 'sealed' / 'first-look'
    assert run_grader('verify', bag, '--fingerprint', typed).code == ExitCode.DONE
    run = run_grader('verify', bag, '--fingerprint', '0' * 64)
    assert run.code == ExitCode.BAG
    assert "first-look: is signed with another key than those you named." in run.err
    run = run_grader('verify', bag, '--fingerprint', '12')
    assert run.code == ExitCode.SETTINGS


@pytest.mark.parametrize(
    ('change', 'words'),
    [
        (lambda folder: (folder / 'a.jpg').unlink(), "- a.jpg: not found.\n"),
        (
            lambda folder: (folder / 'a.jpg').write_bytes(b'other'),
            "a.jpg has changed since it was examined, or cannot be read.\n",
        ),
    ],
    ids=['missing', 'changed'],
)
def test_photos_must_be_those_of_the_record(look, key, tmp_path, change, words):
    change(look.parent)
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.PHOTO_SET
    assert words in run.err
    assert "Name the folder with the original photos behind --photos" in run.err
    assert not (tmp_path / 'sealed').exists()
    assert not key.exists()


def test_photos_elsewhere_and_renamed(look, key, tmp_path):
    (tmp_path / 'archive').mkdir()
    (look.parent / 'a.jpg').rename(tmp_path / 'archive' / 'renamed.jpg')
    args = ('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run_grader(*args).code == ExitCode.PHOTO_SET
    assert run_grader(*args, '--photos', tmp_path / 'archive').code == ExitCode.DONE
    assert (tmp_path / 'sealed' / 'first-look' / 'data' / 'photos' / 'a.jpg').read_bytes() == b'photo 0 '


def test_an_existing_bag_is_never_replaced(look, key, tmp_path):
    args = ('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    run_grader(*args)
    before = files_in(tmp_path / 'sealed')
    run = run_grader(*args)
    assert run.code == ExitCode.OUTPUT
    assert "the folder exists already." in run.err
    assert files_in(tmp_path / 'sealed') == before


def test_another_key_than_that_of_the_bag_before_is_told(look, key, tmp_path):
    out, later = tmp_path / 'sealed', small_examination(tmp_path / 'later' / 'later')
    run_grader('seal', look, '--out', out, '--key', key)
    run = run_grader('seal', later, '--out', out, '--after', out / 'first-look', '--key', tmp_path / 'other.pem')
    assert run.code == ExitCode.DONE
    assert "The bag before was sealed with another key." in run.err
    run = run_grader('verify', out)
    assert run.code == ExitCode.BAG
    assert "later: is signed with another key than the first bag. If you changed keys, name both" in run.err
    prints = [value for path in (key, tmp_path / 'other.pem') for value in ('--fingerprint', fingerprint_at(path))]
    assert run_grader('verify', out, *prints).code == ExitCode.DONE


def test_a_bag_is_never_hidden(key, tmp_path):
    run = run_grader('seal', small_examination(tmp_path / 'x' / '.look'), '--out', tmp_path / 'sealed', '--key', key)
    assert run.out.startswith(f"Sealed: {tmp_path / 'sealed' / 'look'}\n")


def test_a_damaged_bag_is_not_sealed_after(look, key, tmp_path):
    out = tmp_path / 'sealed'
    run_grader('seal', look, '--out', out, '--key', key)
    (out / 'first-look' / 'data/photos/a.jpg').write_bytes(b'other')
    later = small_examination(tmp_path / 'later' / 'later')
    run = run_grader('seal', later, '--out', out, '--after', out / 'first-look', '--key', key)
    assert run.code == ExitCode.BAG
    assert not (out / 'later').exists()


@pytest.mark.parametrize(
    ('args', 'words'),
    [
        (('--after', 'nowhere'), "nowhere: there is no such folder."),
        (('--when', 'noon'), "--when: \"noon\" is not a date and time."),
        (('--key', __file__), "other users of this computer may read this key."),
    ],
    ids=lambda value: value[0] if isinstance(value, tuple) else '',
)
def test_options_that_do_not_fit(look, tmp_path, args, words):
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', tmp_path / 'k', *args)
    assert run.code == ExitCode.SETTINGS
    assert words in run.err
    assert not (tmp_path / 'sealed').exists()


def test_a_comparison_is_sealed_with_the_photos_of_both_sides(key, tmp_path):
    comparison = usual_compared().comparison
    named = [one.photo for side in (comparison.before, comparison.after) for one in side.photos]
    originals = {hashlib.sha256(path.read_bytes()).hexdigest(): path for path in ROOT.glob('fixtures/photos/*.*')}
    originals |= {hashlib.sha256(path.read_bytes()).hexdigest(): path for path in demo_photos()}
    folder = tmp_path / 'both'
    folder.mkdir()
    for photo in named:
        shutil.copy(originals[photo.sha256], tmp_path / photo.name)
    (folder / 'comparison.json').write_text(comparison.to_json(), encoding='utf-8')
    run = run_grader('seal', folder, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.DONE, run.err
    assert run_grader('verify', tmp_path / 'sealed').code == ExitCode.DONE
    sealed = tmp_path / 'sealed' / 'both' / 'data' / 'photos'
    assert sorted(path.name for path in sealed.iterdir()) == sorted(photo.name for photo in named)
    (tmp_path / named[1].name).unlink()
    run = run_grader('seal', folder, '--out', tmp_path / 'again', '--key', key)
    assert run.code == ExitCode.PHOTO_SET
    assert f"- {named[1].name}: not found." in run.err


def test_the_bag_may_not_lie_in_what_is_sealed(look, key):
    run = run_grader('seal', look, '--out', look / 'sealed', '--key', key)
    assert run.code == ExitCode.SETTINGS
    assert "which is to be sealed." in run.err


def test_two_folders_of_one_name(look, key, tmp_path):
    other = small_examination(tmp_path / 'other' / 'First-Look')
    run = run_grader('seal', look, other, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.SETTINGS
    assert "Two of the folders have the same name." in run.err


@pytest.mark.parametrize('place', ['no', 'photos'])
def test_no_bag(look, tmp_path, place):
    run = run_grader('verify', tmp_path / place)
    assert run.code == ExitCode.FILE_UNREADABLE


def test_no_examination(key, tmp_path):
    (tmp_path / 'empty').mkdir()
    run = run_grader('seal', tmp_path / 'empty', '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.FILE_UNREADABLE
    assert run_grader('seal', tmp_path / 'no', '--out', tmp_path / 's', '--key', key).code == ExitCode.FILE_UNREADABLE


def test_a_newer_record_is_refused(look, key, tmp_path):
    (look / 'record.json').write_text('{"record_version": 2}')
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "Use a newer grader for a newer record" in run.err


def test_links_in_an_examination_are_refused(look, key, tmp_path):
    (look / 'letter').symlink_to('/etc/hostname')
    run = run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "this is a link or no ordinary file, which cannot be sealed." in run.err


def test_as_processes_with_the_usual_key(look, tmp_path):
    settings = {'XDG_CONFIG_HOME': str(tmp_path / 'config'), 'HOME': str(tmp_path)}
    run = run_as_process('seal', look, '--out', tmp_path / 'sealed', **settings)
    assert run.code == ExitCode.DONE, run.err
    key = tmp_path / 'config' / 'grader' / 'seal-key.pem'
    assert key.stat().st_mode & 0o777 == 0o600
    run = run_as_process('verify', tmp_path / 'sealed', **settings)
    assert run.code == ExitCode.DONE, run.err
    assert "  This is the key with which this computer seals.\n" in run.out


def test_a_key_of_another_computer_is_told(look, key, tmp_path, monkeypatch):
    run_grader('seal', look, '--out', tmp_path / 'sealed', '--key', key)
    monkeypatch.setenv('XDG_CONFIG_HOME', str(tmp_path / 'config'))
    monkeypatch.setenv('HOME', str(tmp_path))
    own = tmp_path / 'config' / 'grader' / 'seal-key.pem'
    assert "the key with which this computer seals" not in run_grader('verify', tmp_path / 'sealed').out
    key_from(own)
    assert "  This is NOT the key with which this computer seals.\n" in run_grader('verify', tmp_path / 'sealed').out
    own.write_text('spoilt')
    assert "the key with which this computer seals" not in run_grader('verify', tmp_path / 'sealed').out

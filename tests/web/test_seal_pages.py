"""Seals in the page: made, chained, fetched, checked; and zip files from anybody, which leave nothing behind."""

import io
import random
import re
import shutil
import tempfile
import zipfile
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from grader.collection.sealed import bags_of
from grader.commands.seal_store import subject_in
from grader.evidence.seal_key import fingerprint_at
from grader.evidence.wording import SEAL_PROVES, SEAL_PROVES_NOT
from grader.review.acts import Reject
from grader.web.check_seal import check_zip
from grader.web.desk import Desk
from grader.web.seal_act import seal_now
from grader.web.seal_view import seal_offer
from tests.support.hostile_zips import HOSTILE, zip_of
from tests.support.kept_piece import examination_folder, kept_piece, say
from tests.support.page_client import PageClient
from tests.support.sealed_bags import small_chain


@pytest.fixture
def kept(tmp_path):
    return kept_piece(tmp_path)


@pytest.fixture
def key(tmp_path):
    return tmp_path / 'settings' / 'key.pem'


@pytest.fixture
def client(kept, key):
    with PageClient(Desk(kept.place.root, key=key)) as made:
        yield made


@pytest.fixture
def scratch(tmp_path, monkeypatch):
    """Folder of temporary files, to see that it is empty in the end."""
    folder = tmp_path / 'scratch'
    folder.mkdir()
    monkeypatch.setattr(tempfile, 'tempdir', str(folder))
    return folder


def text_of(answer):
    words = re.sub(r'<[^>]+>', ' ', answer.text).replace('&#39;', "'").replace('&#34;', '"')
    return ' '.join(words.split())


def shown_on(answer):
    return re.search(r'name="shown" value="([0-9a-f]{64})"', answer.text)[1]


def seal(client, kept, what='examinations/1', **fields):
    page = client.get(f'{kept.address}/{what}/seal')
    assert page.status_code == 200
    return client.post(f'{kept.address}/{what}/seal', data={'shown': shown_on(page), **fields})


def send(client, data, name='sealed.zip', **fields):
    return client.post('/check-seal', data=fields, files={'bag': (name, data, 'application/zip')})


def test_the_page_says_what_a_seal_proves_and_what_not(client, kept):
    text = text_of(client.get(f'{kept.address}/examinations/1/seal'))
    for words in (*SEAL_PROVES, *SEAL_PROVES_NOT):
        assert words in text
    assert "There is no key yet. The first seal makes one for you" in text


def test_sealing_chains_and_lists(client, kept, key):
    for what in ('examinations/1', 'examinations/2', 'comparisons/1'):
        answer = seal(client, kept, what)
        assert (answer.status_code, answer.headers['location']) == (303, f'{kept.address}/sealed')
    text = text_of(client.get(f'{kept.address}/sealed'))
    assert text.index("Comparison 1") < text.index("Examination 2") < text.index("Examination 1")
    assert "Number 3 of the chain; what was found and said is the same in the collection today." in text
    assert fingerprint_at(key)[:4] in text and "Keep a safe copy of the key" in text
    answer = client.get(f'{kept.address}/sealed/check')
    text = text_of(answer)
    assert answer.status_code == 200
    assert "Nothing is wrong with them." in text
    assert "Each bag follows the one before it" in text and "This is the key with which this computer seals." in text


def test_a_stated_time_is_told_as_typed(client, kept):
    assert seal(client, kept, when='2026-03-11T08:30').status_code == 303
    assert "sealed 2026-03-11T08:30:00, as the sealer typed it" in text_of(client.get(f'{kept.address}/sealed'))
    answer = seal(client, kept, 'examinations/2', when='yesterday')
    assert answer.status_code == 422
    assert '"yesterday" is not a date and time' in text_of(answer) and '--when' not in answer.text


def test_two_tabs_that_seal_make_one_bag_and_say_so(client, kept):
    tabs = [shown_on(client.get(f'{kept.address}/examinations/1/seal')) for _ in range(2)]
    first, second = (client.post(f'{kept.address}/examinations/1/seal', data={'shown': tab}) for tab in tabs)
    assert first.status_code == 303
    assert second.status_code == 409
    assert "the piece was sealed in another window. Nothing was sealed." in text_of(second)
    assert "It is sealed as it is now." in text_of(second)
    assert len(bags_of(kept.folder)) == 1


def test_a_review_that_grew_since_the_page_was_shown_is_told(client, kept):
    shown = shown_on(client.get(f'{kept.address}/examinations/1/seal'))
    say(kept, 1, Reject(mark=1))
    answer = client.post(f'{kept.address}/examinations/1/seal', data={'shown': shown, 'when': '2026-03-11T08:30'})
    assert answer.status_code == 409
    assert "its review has changed" in text_of(answer)
    assert 'value="2026-03-11T08:30"' in answer.text, 'what she typed is kept'
    assert bags_of(kept.folder) == ()
    again = client.post(f'{kept.address}/examinations/1/seal', data={'shown': shown_on(answer)})
    assert again.status_code == 303


def test_a_review_that_grows_after_sealing_is_told_in_the_list(client, kept):
    seal(client, kept)
    say(kept, 1, Reject(mark=1))
    assert "what was said since is not in it" in text_of(client.get(f'{kept.address}/sealed'))
    assert seal(client, kept).status_code == 303
    assert len(bags_of(kept.folder)) == 2


def test_a_form_without_what_it_showed_seals_nothing(client, kept):
    assert client.post(f'{kept.address}/examinations/1/seal', data={}).status_code == 409
    assert bags_of(kept.folder) == ()


def test_missing_photos_are_told(client, kept):
    (examination_folder(kept, 1) / 'photos' / 'a.jpg').unlink()
    answer = seal(client, kept)
    assert answer.status_code == 422
    assert "not all photos of the record are there" in text_of(answer)


def test_unknown_examinations_and_bags(client, kept):
    for address in (
        'examinations/9/seal',
        'comparisons/9/seal',
        'sealed/1.zip',
        'sealed.zip',
        'examinations/1/sealed.zip',
    ):
        assert client.get(f'{kept.address}/{address}').status_code == 404, address
    assert client.get(f'{kept.address}/sealed/check').status_code == 404
    assert "Nothing of this piece is sealed yet" in text_of(client.get(f'{kept.address}/sealed'))


def test_a_fetched_bag_is_the_same_each_time_and_can_be_sent_back(client, kept, key, scratch):
    seal(client, kept)
    seal(client, kept, 'comparisons/1')
    answer = client.get(f'{kept.address}/sealed/2.zip')
    assert answer.headers['content-type'] == 'application/zip'
    assert answer.headers['content-disposition'].startswith('attachment; filename="Amber swirl, sealed 0002.zip"')
    assert int(answer.headers['content-length']) == len(answer.content)
    assert answer.content == client.get(f'{kept.address}/comparisons/1/sealed.zip').content
    names = zipfile.ZipFile(io.BytesIO(answer.content)).namelist()
    assert '0002-comparison-0001/bagit.txt' in names and names == sorted(names)
    checked = send(client, answer.content)
    text = text_of(checked)
    assert checked.status_code == 200
    assert "Nothing is wrong with it." in text and "0002-comparison-0001: whole and unchanged" in text
    assert "Check both together" in text, 'it follows a bag that was not sent'
    whole = send(client, client.get(f'{kept.address}/sealed.zip').content, fingerprints=fingerprint_at(key))
    assert "Nothing is wrong with them." in text_of(whole) and "Check both together" not in text_of(whole)
    assert list(scratch.iterdir()) == []


def test_a_changed_file_is_found_in_the_collection_and_in_a_sent_bag(client, kept, scratch):
    seal(client, kept)
    (bag,) = bags_of(kept.folder)
    picture = bag.folder / 'data' / 'examination' / 'a.marked.jpg'
    picture.write_bytes(picture.read_bytes()[:-1] + b'x')
    for answer in (
        client.get(f'{kept.address}/sealed/check'),
        send(client, client.get(f'{kept.address}/sealed.zip').content),
    ):
        text = text_of(answer)
        assert "1 fault was found." in text and "a.marked.jpg: has changed." in text
        assert "What this shows" not in text
    answer = seal(client, kept, 'examinations/2')
    assert answer.status_code == 422
    assert "It is not as it was sealed" in text_of(answer)
    assert list(scratch.iterdir()) == []


def test_another_key_is_not_taken_for_hers(client, kept, tmp_path, scratch):
    seal(client, kept)
    data = client.get(f'{kept.address}/sealed.zip').content
    answer = send(client, data, fingerprints='ab' * 32)
    assert "is signed with another key than those you named" in text_of(answer)
    answer = send(client, data, fingerprints='not one')
    assert answer.status_code == 422
    assert '"not one" is not a fingerprint' in text_of(answer) and '--fingerprint' not in answer.text


def test_bags_packed_by_others_are_found_wherever_they_lie(tmp_path):
    bags = small_chain(tmp_path, 2)

    def packed(*pairs):
        data = io.BytesIO()
        with zipfile.ZipFile(data, 'w') as written:
            for bag, start in pairs:
                for path in (path for path in bag.rglob('*') if path.is_file()):
                    written.write(path, start + path.relative_to(bag).as_posix())
        return io.BytesIO(data.getvalue())

    assert check_zip(packed((bags[0], '')), 'my bag.zip', '', '').bags[0][0].startswith('my bag: whole and unchanged')
    assert check_zip(packed((bags[0], 'outer/inner/')), 'x.zip', '', '').bags[0][0].startswith('inner: whole')
    with_leavings = packed((bags[0], 'one/'), (tmp_path / 'examined-0' / 'look', '__MACOSX/one/'))
    assert len(check_zip(with_leavings, 'x.zip', '', '').bags) == 1
    both = check_zip(packed((bags[0], 'a/'), (bags[1], 'b/')), 'x.zip', '', '')
    assert both.is_valid and len(both.bags) == 2


@pytest.mark.parametrize('name', HOSTILE)
def test_hostile_zip_files_are_refused_in_words_and_leave_nothing(client, tmp_path, scratch, name):
    before = sorted(path for path in tmp_path.rglob('*') if scratch not in path.parents)
    answer = send(client, HOSTILE[name][0]())
    assert answer.status_code == 422
    assert 'role="alert"' in answer.text
    assert re.search(HOSTILE[name][1], text_of(answer))
    assert list(scratch.iterdir()) == []
    assert sorted(path for path in tmp_path.rglob('*') if scratch not in path.parents) == before


@pytest.mark.parametrize(
    'name', ['../../evil.zip', 'C:\\evil.zip', '.zip', '', 'a' * 400 + '.zip', '<b>&.zip', '\u202ezip.exe', 'con.zip']
)
def test_names_of_sent_files_lead_nowhere(client, scratch, name):
    answer = send(client, zip_of(('bagit.txt', b'x')), name)
    assert answer.status_code in (200, 422)
    assert '<b>&' not in answer.text
    assert list(scratch.iterdir()) == []


def test_a_zip_file_without_a_bag_and_a_form_without_a_file_are_told(client, scratch):
    assert "There is no sealed bag here" in text_of(send(client, zip_of(('letter.txt', b'x'))))
    answer = client.post('/check-seal', data={'fingerprints': ''})
    assert answer.status_code == 422
    assert "No file was chosen." in text_of(answer)
    assert list(scratch.iterdir()) == []


def test_damaged_bags_are_told_and_leave_nothing(client, kept, scratch):
    """Of 120 zip files of a real bag with bytes changed none is a fault of ours, and none is taken for whole."""
    seal(client, kept)
    good = client.get(f'{kept.address}/sealed.zip').content
    rng = random.Random(7)
    for _ in range(120):
        data = bytearray(good)
        for _ in range(rng.randrange(1, 4)):
            data[rng.randrange(len(data))] ^= rng.randrange(1, 256)
        if rng.random() < 0.2:
            del data[rng.randrange(len(data)) :]
        answer = send(client, bytes(data))
        assert answer.status_code in (200, 422), answer.text
        assert 'role="alert"' in answer.text or sorted(zipfile.ZipFile(io.BytesIO(data)).namelist()) == sorted(
            zipfile.ZipFile(io.BytesIO(good)).namelist()
        )
    assert list(scratch.iterdir()) == []


def test_two_that_seal_at_the_same_moment_make_one_bag(client, kept):
    page = client.get(f'{kept.address}/examinations/1/seal')
    shown, address = shown_on(page), f'{kept.address}/examinations/1/seal'
    with ThreadPoolExecutor(4) as pool:
        answers = list(pool.map(lambda _: client.post(address, data={'shown': shown}).status_code, range(4)))
    assert sorted(answers) == [303, 409, 409, 409]
    assert len(bags_of(kept.folder)) == 1


def test_a_full_disk_is_told(client, scratch, monkeypatch):
    def full(*args):
        raise OSError(28, 'No space left on device')

    monkeypatch.setattr('grader.web.check_seal.unpack_zip', full)
    answer = send(client, zip_of(('bagit.txt', b'x')))
    assert answer.status_code == 507
    assert "No space left on device" in text_of(answer)
    assert list(scratch.iterdir()) == []


def test_a_disk_that_is_full_before_the_file_is_there_is_told(client, monkeypatch):
    def full(*args, **settings):
        raise OSError(28, 'No space left on device')

    monkeypatch.setattr('starlette.formparsers.SpooledTemporaryFile', full)
    answer = send(client, zip_of(('bagit.txt', b'x')))
    assert answer.status_code == 507
    assert "The file cannot be taken in (No space left on device)." in text_of(answer)


def test_a_sealed_examination_is_not_sealed_anew(client, kept):
    seal(client, kept)
    shutil.copytree(bags_of(kept.folder)[0].folder, kept.folder / 'examinations' / '0003')
    assert "itself a sealed bag" in text_of(client.get(f'{kept.address}/examinations/3/seal'))


def test_what_is_sealed_may_be_gone_from_the_collection(client, kept):
    seal(client, kept)
    shutil.rmtree(examination_folder(kept, 1))
    assert "no longer in the collection, only here" in text_of(client.get(f'{kept.address}/sealed'))


def test_a_link_in_a_bag_is_not_followed(client, kept, tmp_path):
    seal(client, kept)
    (bags_of(kept.folder)[0].folder / 'data' / 'link').symlink_to('/etc/passwd')
    answer = client.get(f'{kept.address}/sealed.zip')
    assert answer.status_code == 422
    assert "is a link or no ordinary file" in text_of(answer)


def test_the_usual_key_is_that_of_the_commands(kept, tmp_path, monkeypatch):
    monkeypatch.setenv('XDG_CONFIG_HOME', str(tmp_path / 'settings'))
    monkeypatch.setenv('HOME', str(tmp_path))
    with PageClient(Desk(kept.place.root)) as client:
        seal(client, kept)
    assert list(Path(tmp_path).rglob('seal-key.pem'))


def test_sealing_by_function_returns_what_was_sealed(kept, key):
    subject = subject_in(kept.folder, 'examination', 2)
    offer = seal_offer(kept.folder, subject)
    done = seal_now(kept.place, kept.folder, subject, key, '', offer.shown)
    assert done.link.number == 1 and done.is_new_key
    assert seal_offer(kept.folder, subject).is_up_to_date

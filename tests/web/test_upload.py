"""Photos that are sent: taken in whole, or refused in words with nothing left behind."""

import asyncio
import os
import signal
import socket
import threading
import time
from functools import partial
from pathlib import Path

import pillow_heif
import pytest
from PIL import Image

from grader.errors import UploadRefused, UploadTooLarge
from grader.web.app import create_app
from grader.web.draft_photos import add_photos
from grader.web.form_parts import FormLimits, FormParts, SentFile
from grader.web.intake import RefusedFile, decode_all
from grader.web.photo_names import free_name, safe_name
from grader.web.uploads import incoming_folder, receive_form
from tests.support.draft_page import DraftPage, form_body, plain_photo, wait_for
from tests.support.live_server import served

LIMITS = FormLimits(file_bytes=1000, n_files=2, field_bytes=20, n_fields=2)
KIND = 'multipart/form-data; boundary=edge'


@pytest.fixture
def pages(tmp_path):
    page = DraftPage(tmp_path)
    with page.client:
        yield page


def receive(folder, *pieces, kind=KIND, limits=LIMITS, **settings):
    async def stream():
        for piece in pieces:
            yield piece

    return asyncio.run(receive_form(kind, stream(), folder, limits, **settings))


def test_all_formats_come_in_with_a_preview(pages):
    heic = pages.place.own / 'x.heic'
    pillow_heif.from_pillow(Image.new('RGB', (640, 480), (90, 120, 160))).save(heic, quality=60)
    sent = [('a.heic', heic.read_bytes())]
    sent += [(f'{kind}.{kind.lower()}', plain_photo(3, kind=kind)) for kind in ('JPEG', 'PNG', 'TIFF', 'WEBP')]
    heic.unlink()
    assert pages.send(*sent).json() == {'taken': ['a.heic', 'JPEG.jpeg', 'PNG.png', 'TIFF.tiff', 'WEBP.webp'],
                                        'refused': []}  # fmt: skip
    for photo in pages.draft.photos:
        assert pages.client.get(f'{pages.address}/photos/{photo.key}').content.startswith(b'\xff\xd8')


def test_a_broken_file_is_told_by_name_and_leaves_nothing(pages):
    before = pages.files()
    data = plain_photo()
    answer = pages.send(('cut.jpg', data[: len(data) // 2]))
    assert answer.status_code == 422
    assert answer.json()['refused'] == [
        {'name': 'cut.jpg', 'problem': "cut.jpg: the file is damaged or cut short, so the picture in it cannot be read.",
         'remedy': "Copy it again from the camera or phone, or take the photo again."}]  # fmt: skip
    assert pages.files() == before


def test_without_scripts_the_good_ones_stay_and_the_page_tells_of_the_others(pages):
    answer = pages.send(('good.jpg', plain_photo()), ('bad.jpg', b'no photo'), as_script=False)
    assert answer.status_code == 422
    assert "bad.jpg: this is not a photo that can be read" in answer.text
    assert [photo.name for photo in pages.draft.photos] == ['good.jpg']
    assert pages.send(('other.jpg', plain_photo(2)), as_script=False).headers['location'] == pages.address


def test_the_same_photo_twice_is_told(pages):
    data = plain_photo()
    answer = pages.send(('a.jpg', data), ('b.jpg', data)).json()
    assert answer['taken'] == ['a.jpg']
    assert answer['refused'][0]['problem'] == "b.jpg: this photo is here already, as a.jpg."
    assert pages.send(('a.jpg', data)).json()['refused'][0]['problem'] == "a.jpg: this photo is here already."


def test_no_file_chosen_is_told(pages):
    answer = pages.client.post(
        f'{pages.address}/photos', content=form_body([('photos', '', b'')]), headers={'Content-Type': KIND}
    )
    assert answer.status_code == 422
    assert "No photo was chosen." in answer.text


@pytest.mark.parametrize('kind', ['application/json', 'multipart/form-data', 'multipart/form-data; boundary=', ''])
def test_what_is_no_form_is_told(pages, kind):
    answer = pages.client.post(f'{pages.address}/photos', content=b'{}', headers={'Content-Type': kind})
    assert answer.status_code == 422
    assert "not a form with photos" in answer.text


def test_a_photo_for_a_draft_that_is_gone_is_told(pages):
    pages.client.post(f'{pages.address}/discard')
    answer = pages.send(('a.jpg', plain_photo()))
    assert answer.status_code == 404
    assert pages.files() == []


def full_disk(path):
    path.touch()
    return Path('/dev/full').open('wb', 0)


def test_a_full_disk_is_told_as_such_and_leaves_nothing(pages, monkeypatch):
    before = pages.files()
    monkeypatch.setattr('grader.web.take_photos.receive_form', partial(receive_form, opened=full_disk))
    answer = pages.send(('a.jpg', plain_photo()))
    assert answer.status_code == 507
    assert "No space left" in answer.json()['problem']
    assert "Make room on that disk" in answer.json()['remedy']
    assert pages.files() == before


def test_a_crash_of_the_decoder_refuses_only_the_file_that_did_it(pages, tmp_path):
    files = []
    for k in range(3):
        (tmp_path / str(k)).mkdir()
        (tmp_path / str(k) / f'{k}.jpg').write_bytes(plain_photo(k))
        files.append(SentFile(tmp_path / str(k) / f'{k}.jpg', 1))
    found = decode_all(CrashOn(pages.desk.jobs, files[1].path), files, '/')
    assert [isinstance(one, RefusedFile) for one in found] == [False, True, False]
    assert found[1].problem.startswith("1.jpg: the picture cannot be opened")


class CrashOn:
    """Jobs whose process dies, or does something else, when it is given a certain file."""

    def __init__(self, jobs, path, instead=None):
        self.jobs, self.path, self.instead = jobs, str(path), instead or die
        self.stop = jobs.stop

    def submit(self, lane, title, back_to, work, paths):
        return self.jobs.submit(lane, title, back_to, self.instead if self.path in paths else work, paths)


def die(progress, paths):
    os.kill(os.getpid(), signal.SIGKILL)


def sleep_long(progress, paths):
    time.sleep(600)


def test_a_decoder_that_does_not_end_is_stopped(pages, tmp_path):
    file = SentFile(tmp_path / '0' / 'slow.jpg', 1)
    jobs = CrashOn(pages.desk.jobs, file.path, sleep_long)
    (refused,) = decode_all(jobs, [file], '/', limit_s=0.5)
    assert refused.problem.startswith("slow.jpg: the picture cannot be opened")
    assert pages.send(('good.jpg', plain_photo())).status_code == 201


def test_a_disk_that_is_full_in_the_last_moment_leaves_nothing(pages, monkeypatch):
    pages.send(('first.jpg', plain_photo(1)))
    before = pages.files()

    def full(path, content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr('grader.web.drafts.write_durably', full)
    answer = pages.send(('second.jpg', plain_photo(2)))
    assert (answer.status_code, pages.files()) == (507, before)
    monkeypatch.undo()
    assert pages.send(('second.jpg', plain_photo(2))).status_code == 201


def test_a_client_that_breaks_off_leaves_nothing(tmp_path):
    page = DraftPage(tmp_path)
    with page.client:
        page.client.get('/help')
    desk = type(page.desk)(page.place.root)
    with served(lambda port: create_app(type(desk)(page.place.root, port=port))) as address:
        host, port = address.removeprefix('http://').split(':')
        before = page.files()
        body = form_body([('photos', 'a.jpg', b'x' * 3_000_000)])
        cookie, token = session_of(host, int(port))
        head = (
            f'POST {page.address}/photos HTTP/1.1\r\nHost: {host}:{port}\r\nContent-Type: {KIND}\r\n'
            f'Content-Length: {len(body)}\r\nX-Csrf: {token}\r\nCookie: {cookie}\r\n\r\n'
        )
        with socket.create_connection((host, int(port))) as line:
            line.sendall(head.encode() + body[:2_500_000])
            wait_for(page.files, lambda files: any(name.startswith('incoming') for name in files))
        wait_for(page.files, lambda files: files == before)
    desk.jobs.close()


def session_of(host, port):
    with socket.create_connection((host, port)) as line:
        line.sendall(f'GET /help HTTP/1.1\r\nHost: {host}:{port}\r\nConnection: close\r\n\r\n'.encode())
        answer = b''
        while piece := line.recv(65536):
            answer += piece
    text = answer.decode()
    cookie = next(row for row in text.split('\r\n') if row.lower().startswith('set-cookie:'))
    return cookie.split(':', 1)[1].split(';')[0].strip(), text.split('name="csrf" content="')[1].split('"')[0]


def test_a_form_comes_in_by_pieces_of_any_size(tmp_path):
    body = form_body([('photos', 'a.jpg', b'first\r\n--edg'), ('photos', 'b.jpg', b'')])
    for size in (1, 7, len(body)):
        with incoming_folder(tmp_path / 'incoming') as folder:
            form = receive(folder, *(body[k : k + size] for k in range(0, len(body), size)))
            assert [(file.name, file.path.read_bytes()) for file in form.files] == [
                ('a.jpg', b'first\r\n--edg'), ('b.jpg', b'')]  # fmt: skip
        assert list((tmp_path / 'incoming').iterdir()) == []


@pytest.mark.parametrize(
    ('body', 'error', 'words'),
    [
        (form_body([('photos', 'a.jpg', b'x' * 1001)]), UploadTooLarge, "a.jpg: the file has more than 0 MB"),
        (form_body([('photos', f'{k}.jpg', b'x') for k in range(3)]), UploadTooLarge, "More than 2 files"),
        (form_body([('photos', 'a.jpg', b'x')])[:-8], UploadRefused, "broke off before its end"),
        (b'', UploadRefused, "broke off before its end"),
        (b'nonsense', UploadRefused, "damaged"),
        (b'--edge\r\nContent-Disposition: form-data\r\n\r\nx\r\n--edge--\r\n', UploadRefused, "damaged"),
        (b'--edge\r\nContent-Disposition: form-data; name="csrf"\r\n\r\n' + b'x' * 21 + b'\r\n--edge--\r\n',
         UploadTooLarge, "too long"),
        (b'--edge\r\nContent-Disposition: form-data; name="f"\r\n\r\nx\r\n' * 3 + b'--edge--\r\n', UploadTooLarge,
         "too many fields"),
        (b'--edge\r\n' + b'X: y\r\n' * 5000 + b'\r\n', UploadRefused, "damaged"),
    ],
    ids=['large file', 'many files', 'cut', 'nothing', 'nonsense', 'nameless', 'long field', 'many fields', 'headers'],
)  # fmt: skip
def test_what_a_form_may_not_be(tmp_path, body, error, words):
    with incoming_folder(tmp_path / 'incoming') as folder:
        with pytest.raises(error, match=words):
            receive(folder, body)
    assert list((tmp_path / 'incoming').iterdir()) == []


def test_a_boundary_that_is_too_long_is_refused(tmp_path):
    with pytest.raises(UploadRefused, match="damaged"):
        FormParts(f'multipart/form-data; boundary={"b" * 5000}', tmp_path, LIMITS)


def test_what_stopped_programs_left_is_swept_away(tmp_path):
    old, young = tmp_path / 'in' / 'old', tmp_path / 'in' / 'young'
    for folder in (old, young):
        folder.mkdir(parents=True)
    long_ago = time.time() - 7200
    os.utime(old, (long_ago, long_ago))
    with incoming_folder(tmp_path / 'in'):
        assert not old.exists()
        assert young.exists()


@pytest.mark.parametrize(
    ('sent', 'name'),
    [
        ('IMG_1.jpg', 'IMG_1.jpg'),
        ('../../etc/passwd', 'passwd'),
        ('C:\\fakepath\\x.jpg', 'x.jpg'),
        ('/', 'photo_'),
        ('..', 'photo_'),
        ('.jpg', 'photo.jpg'),
        ('con.jpg', '_con.jpg'),
        ('a\x00b\n.jpg', 'a_b_.jpg'),
        ('\u202egpj.exe', '_gpj.exe'),
        ('Vase <1>: "blue"?.jpg', 'Vase _1__ _blue__.jpg'),
    ],
)
def test_names_are_made_harmless(sent, name):
    assert safe_name(sent) == name


def test_names_keep_apart_and_end_as_photos_do():
    assert free_name('IMAGE.jpg', 'JPEG', ['image.jpg']) == 'IMAGE-2.jpg'
    assert free_name('photo', 'HEIF', []) == 'photo.heic'
    assert free_name('x.txt', 'PNG', []) == 'x.txt.png'
    assert len(safe_name('ä' * 500 + '.jpg').encode()) <= 255


def test_two_uploads_at_once_lose_no_photo(pages):
    answers = []
    threads = [
        threading.Thread(target=lambda k=k: answers.append(pages.send((f'{k}.jpg', plain_photo(k))).status_code))
        for k in range(6)
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert answers == [201] * 6
    assert sorted(photo.name for photo in pages.draft.photos) == [f'{k}.jpg' for k in range(6)]


def test_more_photos_than_are_examined_at_once_are_refused(pages, tmp_path, monkeypatch):
    monkeypatch.setattr('grader.web.draft_photos.MAX_DRAFT_PHOTOS', 1)
    answer = pages.send(('a.jpg', plain_photo(1)), ('b.jpg', plain_photo(2))).json()
    assert answer['taken'] == ['a.jpg']
    assert "there are 1 photos already" in answer['refused'][0]['problem']
    assert add_photos(pages.place, pages.piece_id, pages.token, []).names == ()

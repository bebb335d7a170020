"""Photos that wait: gathered, judged, told of, kept over a restart, thrown away."""

import json
from datetime import datetime

import pytest
from PIL import Image

from calib.profile import CameraProfile
from grader.checking import CheckedPhoto
from grader.errors import CollectionUnreadable, DraftNotFound, SettingsInvalid
from grader.web.draft import Draft, DraftPhoto
from grader.web.draft_options import DraftChanged, Told, told_from, with_told
from grader.web.draft_view import photo_card, summary_of, views_of
from grader.web.drafts import begin_draft, drafts_of, folder_of, read_draft
from tests.support.collections import new_collection
from tests.support.draft_page import DraftPage, photo_bytes, plain_photo

NOW = datetime(2026, 3, 10, 10, 9)
TOKEN = '0123456789abcdef01234567'


@pytest.fixture
def pages(tmp_path):
    page = DraftPage(tmp_path)
    with page.client:
        yield page


def draft_with(**fields):
    return Draft(token=TOKEN, piece_id='abc', begun_at='2026-03-10T10:09', **fields)


def photo(name='a.jpg', sha256='a' * 64, **fields):
    return DraftPhoto(name=name, sha256=sha256, n_bytes=1, size_px=(400, 300), **fields)


def test_a_photo_is_judged_at_once_and_the_page_says_what_it_can_show(pages):
    assert pages.send(('first.jpg', photo_bytes('canes-worn'))).status_code == 201
    pages.wait_until_judged()
    shown = pages.client.get(pages.address).text
    assert "Smallest marks it can show:</b> scratches from 0.15 mm wide" in shown
    assert "From above, light from above</b>: there." in shown
    assert "from above; ring light round the lens" in shown.lower()
    picture = pages.client.get(f'{pages.address}/photos/{pages.draft.photos[0].key}')
    assert (picture.status_code, picture.headers['content-type']) == (200, 'image/jpeg')


def test_a_photo_without_a_card_is_taken_and_told(pages):
    pages.send(('listing.jpg', photo_bytes('no-card')))
    pages.wait_until_judged()
    assert "No card in the picture: no millimetres." in pages.client.get(pages.address).text


def test_a_photo_of_nothing_is_to_be_taken_again_with_the_words_of_the_check(pages):
    pages.send(('empty.png', plain_photo(kind='PNG')))
    card = photo_card(pages.wait_until_judged().photos[0])
    assert (card.state, card.verdict) == ('again', "Take it again")
    assert card.sentence.startswith("empty.png: no piece of glass stands out from the ground. ")


def test_drafts_survive_the_end_of_the_program_and_are_judged_then(pages, tmp_path):
    pages.desk.jobs.close()
    draft = pages.draft
    (folder_of(pages.place, pages.token) / 'photos' / 'a.jpg').write_bytes(photo_bytes())
    entry = photo(sha256='b' * 64, check_job='of-an-earlier-run')
    file = folder_of(pages.place, pages.token) / 'draft.json'
    file.write_text(draft.model_copy(update={'photos': (entry,)}).to_json())
    anew = DraftPage.__new__(DraftPage)
    anew.__dict__ |= pages.__dict__ | {'desk': type(pages.desk)(pages.place.root)}
    anew.client = type(pages.client)(anew.desk)
    with anew.client:
        assert "1 photo, begun on" in anew.client.get(f'/pieces/{anew.piece_id}/drafts/new').text
        assert "Being looked at" in anew.client.get(anew.address).text
        assert anew.wait_until_judged().photos[0].check.quality is not None


def test_an_empty_draft_is_used_again_and_a_full_one_is_not(pages):
    assert pages.begin() == pages.address
    pages.send(('a.jpg', plain_photo()))
    other = pages.begin()
    assert other != pages.address
    assert "Other photos of this piece, not yet examined" in pages.client.get(other).text
    assert f'<a href="{pages.address}">' in pages.client.get(f'/pieces/{pages.piece_id}').text


def test_a_removed_photo_is_gone_from_the_disk(pages):
    pages.send(('a.jpg', plain_photo(1)), ('b.jpg', plain_photo(2)))
    first, second = pages.draft.photos
    assert pages.tell(f'photos/{first.key}/remove').status_code == 303
    assert [one.name for one in pages.draft.photos] == ['b.jpg']
    assert [name for name in pages.files() if 'draft.json' not in name] == [
        f'drafts/{pages.token}/photos/b.jpg', f'drafts/{pages.token}/previews/{second.key}.jpg']  # fmt: skip
    # The same button in another window.
    assert pages.tell(f'photos/{first.key}/remove').status_code == 303
    assert pages.client.get(f'{pages.address}/photos/{first.key}').status_code == 404


def test_what_the_owner_tells_is_kept_and_shown(pages):
    pages.send(('a.jpg', plain_photo(1)), ('b.jpg', plain_photo(2)))
    first, second = pages.draft.photos
    answer = pages.tell(
        height='58,5 mm', ruler='99.6', time_by='owner', when='2026-03-10T10:09', shown=[first.key, second.key],
        wiped=[second.key], base=[first.key],
    )  # fmt: skip
    assert answer.status_code == 303
    draft = pages.draft
    assert (draft.height_mm, draft.ruler_mm, draft.when) == (58.5, 99.6, '2026-03-10T10:09:00')
    settings = draft.settings()
    assert (settings.sets.wiped, settings.sets.base) == (('b.jpg',), ('a.jpg',))
    shown = pages.client.get(pages.address).text
    assert 'value="58.5"' in shown
    assert 'value="2026-03-10T10:09"' in shown


def test_a_height_that_cannot_be_is_told_and_what_was_typed_stays(pages):
    answer = pages.tell(height='900')
    assert answer.status_code == 422
    assert "The height of the piece: 900 mm was given; 10 to 280 mm can be." in answer.text
    assert 'value="900"' in answer.text
    assert pages.draft.height_mm is None


def test_an_impossible_ruler_is_told_in_the_words_of_the_command(pages):
    answer = pages.tell(ruler='10')
    assert answer.status_code == 422
    assert "Measure the printed ruler from its first to its last tick" in answer.text


def test_two_windows_lose_nothing_silently(pages):
    pages.send(('a.jpg', plain_photo(1)))
    key = pages.draft.photos[0].key
    assert pages.tell(height='60', shown=key).status_code == 303
    answer = pages.tell(height='70', shown=key, wiped=key)
    assert answer.status_code == 409
    assert "changed in another window meanwhile" in answer.text
    assert "You had: height 70" in answer.text
    assert "taken after wiping: a.jpg" in answer.text
    assert pages.draft.height_mm == 60
    assert pages.tell(as_script=True, height='70').status_code == 409


def test_thrown_away_photos_leave_nothing(pages):
    pages.send(('a.jpg', plain_photo()))
    answer = pages.client.post(f'{pages.address}/discard')
    assert (answer.status_code, answer.headers['location']) == (303, f'/pieces/{pages.piece_id}')
    assert pages.files() == []
    gone = pages.client.get(pages.address)
    assert gone.status_code == 404
    assert "These photos do not wait any more" in gone.text


@pytest.mark.parametrize('token', ['%2e%2e', 'x' * 24, TOKEN, TOKEN.upper(), TOKEN + '%0a'])
def test_a_token_is_looked_up_only_where_it_can_be_one(pages, token):
    assert pages.client.get(f'/pieces/{pages.piece_id}/drafts/{token}').status_code in (400, 404)


def test_a_draft_is_not_shown_with_another_piece(pages):
    with pytest.raises(DraftNotFound, match="do not wait any more"):
        read_draft(pages.place, 'another', pages.token)


def test_a_damaged_list_is_told_with_where_the_photos_lie(tmp_path):
    place = new_collection(tmp_path, {'title': "Swirl"})
    draft = begin_draft(place, 'abc', NOW)
    (folder_of(place, draft.token) / 'draft.json').write_text('{')
    with pytest.raises(CollectionUnreadable, match="copy them from there"):
        read_draft(place, 'abc', draft.token)
    assert drafts_of(place, 'abc') == ()


def test_what_a_stopped_program_left_is_swept_away(tmp_path):
    place = new_collection(tmp_path, {'title': "Swirl"})
    for name in ('.new-1', '.gone-2'):
        (place.own / 'drafts' / name).mkdir(parents=True)
    draft = begin_draft(place, 'abc', NOW)
    assert [path.name for path in (place.own / 'drafts').iterdir()] == [draft.token]


def test_a_judgement_of_another_version_is_made_anew():
    fields = json.loads(draft_with(photos=(photo(check=CheckedPhoto(photo='a.jpg', problem="Dark.")),)).to_json())
    assert Draft.model_validate(fields).photos[0].check.problem == "Dark."
    fields['photos'][0]['check'] = {'word': 'of later days'}
    assert Draft.model_validate(fields).photos[0].check is None


def test_the_earliest_time_of_the_cameras_is_offered_and_stated_only_if_she_says_so():
    draft = draft_with(photos=(photo(taken_at='2026-03-10 10:09:30'), photo(taken_at='2026-03-10 10:02:00+01:00')))
    assert draft.stated_time() is None
    told = with_told(draft, Told(0, time_by='camera'))
    assert (told.time_by, told.when) == ('camera', '2026-03-10T10:02:00+01:00')
    assert with_told(told, Told(1)).when == ''


@pytest.mark.parametrize(
    ('told', 'words'),
    [
        (Told(0, height='tall'), "\"tall\" is not a length"),
        (Told(0, height='nan'), "nan mm was given"),
        (Told(0, time_by='owner'), "time that you state is missing"),
        (Told(0, time_by='owner', when='yesterday'), "\"yesterday\" is not a date and time"),
    ],
)
def test_what_cannot_be_used_is_told(told, words):
    with pytest.raises(SettingsInvalid, match=words):
        with_told(draft_with(), told)


def test_a_measured_ruler_has_the_photos_judged_anew():
    draft = draft_with(photos=(photo(check=CheckedPhoto(photo='a.jpg', problem="Dark.")),))
    assert with_told(draft, Told(0, height='60')).photos[0].check is not None
    assert with_told(draft, Told(0, ruler='99')).photos[0].check is None


def test_a_photo_that_the_form_does_not_show_keeps_its_ticks():
    draft = draft_with(photos=(photo(was_wiped=True), photo('b.jpg', 'b' * 64)))
    told = with_told(draft, Told(0, shown=('b' * 16,), wiped=('b' * 16,)))
    assert [one.was_wiped for one in told.photos] == [True, True]


def test_an_old_form_that_tells_nothing_new_is_no_conflict():
    draft = draft_with(height_mm=60.0, n_changes=3)
    assert with_told(draft, Told(1, height='60')) == draft
    with pytest.raises(DraftChanged):
        with_told(draft, Told(1, height='61'))


def test_fields_of_a_form():
    told = told_from([('n_changes', '4'), ('height', ' 60'), ('shown', 'a'), ('shown', 'b'), ('wiped', 'b')])
    assert told == Told(4, height=' 60', shown=('a', 'b'), wiped=('b',))
    assert told_from([('n_changes', '²')]).n_changes == -1


def test_views_need_a_judged_photo_and_the_owner_tells_the_base(pages):
    assert views_of(draft_with(photos=(photo(),))) == ()
    pages.send(('a.jpg', photo_bytes()))
    draft = pages.wait_until_judged()
    assert [view.there for view in views_of(draft)] == ['yes', 'no', 'no', 'not told', 'no']
    base = draft.photos[0].model_copy(update={'is_base': True})
    told = views_of(draft.model_copy(update={'photos': (base,)}))
    assert [view.there for view in told] == ['no', 'no', 'no', 'yes', 'no']


def test_summary():
    assert summary_of([]) == "No photo yet."
    assert summary_of([photo_card(photo())]) == "1 photo: 1 being looked at."


def test_the_card_to_print_is_that_of_the_command(pages):
    for name in ('frame-a4', 'frame-letter', 'pocket-a4', 'pocket-letter'):
        answer = pages.client.get(f'/card/{name}.pdf')
        assert answer.headers['content-type'] == 'application/pdf'
        assert answer.content.startswith(b'%PDF')
    assert pages.client.get('/card/frame-a3.pdf').status_code == 404
    assert 'href="/card"' in pages.client.get('/help').text
    assert 'href="/card/frame-a4.pdf"' in pages.client.get('/card').text


def test_a_camera_profile_is_used_and_may_be_left_out_again(pages):
    profile = CameraProfile(
        width_px=4000, height_px=3000, focal_px=3000, u_focal_px=3, centre_px=(2000, 1500), u_centre_px=5, k1=0.0,
        u_k1=0.001, rms_px=0.2, n_views=8,
    )  # fmt: skip
    before = pages.files()

    def send(data):
        return pages.client.post(f'{pages.address}/profile', files={'profile': ('cam.json', data)})

    wrong = send(b'{}')
    assert wrong.status_code == 422
    assert "This file is not a camera profile." in wrong.text
    assert send(profile.model_dump_json().encode()).status_code == 303
    assert pages.draft.settings().card.profile == profile
    assert "Camera profile (in use)" in pages.client.get(pages.address).text
    assert pages.client.post(f'{pages.address}/profile-away').status_code == 303
    assert pages.draft.profile is None
    assert pages.files() == before


def test_the_time_of_the_camera_is_offered(pages):
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = '2026:03:10 10:09:30'
    shown = pages.client.get(pages.address).text
    assert 'id="camera-row" hidden' in shown
    pages.send(('a.jpg', plain_photo(exif=exif)))
    assert '<span id="camera-time">2026-03-10 10:09</span>' in pages.client.get(pages.address).text
    assert pages.tell(time_by='camera').status_code == 303
    assert pages.draft.when == '2026-03-10T10:09:30'

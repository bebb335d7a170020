"""Photos dropped on the page in a real browser: sent two at once, judged at once, told of, examined."""

import base64
import re

import pytest

from grader.web.app import create_app
from grader.web.desk import Desk
from grader.web.security.patient_protocol import server_settings
from tests.support.draft_page import WAIT_S, DraftPage, photo_bytes, wait_for

LONG_MS = 1000 * WAIT_S

DROP = """(where, files) => {
  const carried = new DataTransfer();
  for (const [name, data] of files) {
    const bytes = Uint8Array.from(atob(data), (sign) => sign.charCodeAt(0));
    carried.items.add(new File([bytes], name, { type: 'image/jpeg' }));
  }
  where.dispatchEvent(new DragEvent('drop', { dataTransfer: carried, bubbles: true, cancelable: true }));
}"""


@pytest.fixture
def kept(tmp_path):
    return DraftPage(tmp_path)


@pytest.fixture
def address(kept, serve):
    return serve(lambda port: create_app(Desk(root=kept.place.root, port=port)), **server_settings()) + kept.address


def drop(page, *files):
    """Drop files on the page."""
    coded = [[name, base64.b64encode(data).decode()] for name, data in files]
    page.locator('body').evaluate(DROP, coded)


def test_dropped_photos_are_sent_and_judged_at_once(page, address, kept):
    page.goto(address)
    assert page.locator('#examine').is_disabled()
    sent = []
    page.on('request', lambda request: request.url.endswith('/photos') and sent.append(1))
    drop(page, ('swirl.jpg', photo_bytes()), ('canes.jpg', photo_bytes('canes-worn')), ('text.jpg', b'no photo'))
    lines = page.locator('#sending li')
    lines.first.wait_for()
    assert lines.count() == 3
    assert page.locator('#examine').is_disabled()
    # Two at once at most.
    assert len(sent) <= 2
    assert lines.nth(2).locator('.state').inner_text() == 'Waiting'

    page.locator('.card', has_text="canes.jpg").get_by_text("scratches from 0.15 mm wide").wait_for(timeout=LONG_MS)
    page.locator('.card', has_text="swirl.jpg").get_by_text("Use less light").wait_for(timeout=LONG_MS)
    refused = page.locator('#sending .refused')
    assert "text.jpg: this is not a photo that can be read" in refused.inner_text()
    refused.get_by_role('button').click()
    assert lines.count() == 0
    assert page.locator('#summary').inner_text() == "2 photos: 1 usable, 1 usable with limits."
    assert "From above, light from above: there." in page.locator('#views').inner_text()
    assert sorted(photo.name for photo in kept.draft.photos) == ['canes.jpg', 'swirl.jpg']


def test_what_is_told_is_kept_as_it_is_typed_and_the_photo_is_examined(page, address, kept):
    page.goto(address)
    page.set_input_files('#files', {'name': 'a.jpg', 'mimeType': 'image/jpeg', 'buffer': photo_bytes()})
    page.locator('.card').get_by_text("Usable with limits").wait_for(timeout=LONG_MS)
    page.get_by_label("taken after wiping: a.jpg").check()
    page.get_by_label("Height of the piece, in mm").fill("900")
    page.get_by_label("Height of the piece, in mm").blur()
    page.get_by_text("900 mm was given; 10 to 280 mm can be").wait_for()
    page.get_by_label("Height of the piece, in mm").fill("60")
    page.get_by_label("Height of the piece, in mm").blur()
    page.get_by_text("Kept.").wait_for()
    wait_for(lambda: kept.draft.height_mm, lambda height: height == 60)
    assert kept.draft.photos[0].was_wiped
    page.get_by_role('button', name="Examine this photo").click()
    page.wait_for_url('**/jobs/*')
    page.wait_for_url(re.compile(rf'/pieces/{kept.piece_id}/examinations/1$'), timeout=LONG_MS)
    assert kept.files() == []


def test_a_photo_is_removed_by_keyboard(page, address, kept):
    page.goto(address)
    page.set_input_files('#files', {'name': 'a.jpg', 'mimeType': 'image/jpeg', 'buffer': photo_bytes()})
    page.get_by_role('button', name="Remove a.jpg").press('Enter')
    page.locator('.card').wait_for(state='detached')
    assert page.locator('#summary').inner_text() == "No photo yet."
    assert page.evaluate('document.activeElement.id') == 'summary'
    assert kept.draft.photos == ()


def test_without_scripts_it_goes_by_plain_forms(new_page, address, kept):
    page = new_page(360, 740, java_script_enabled=False)
    page.goto(address)
    page.set_input_files('#files', {'name': 'a.jpg', 'mimeType': 'image/jpeg', 'buffer': photo_bytes()})
    page.get_by_role('button', name="Send the photos").click()
    page.locator('.card', has_text="a.jpg").wait_for()
    kept.wait_until_judged()
    page.get_by_role('link', name="Look again").click()
    page.locator('.card').get_by_text("Usable with limits").wait_for()
    page.get_by_label("shows the base: a.jpg").check()
    page.get_by_role('button', name="Keep this").last.click()
    assert page.get_by_label("shows the base: a.jpg").is_checked()
    page.get_by_role('button', name="Remove a.jpg").click()
    assert page.locator('.card').count() == 0

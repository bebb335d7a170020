"""The whole job in a browser, from an empty folder to a seal that is checked, on photos that come with the program."""

import re
import zipfile
from importlib import resources

import pytest

# Source: chosen: examining one photo takes some ten seconds of one core, several times that on a busy machine.
JOB_MS = 180_000


@pytest.fixture
def journey():
    """Photos of an invented piece before and after a journey that damaged it."""
    with resources.as_file(resources.files('grader') / 'demo_photos' / 'journey') as folder:
        yield folder / 'before.jpg', folder / 'after.jpg'


def add_piece(page, title):
    page.get_by_role('link', name="Add the first piece").click()
    page.get_by_label("Title", exact=False).first.fill(title)
    page.get_by_role('button', name="Add it").click()
    page.get_by_role('heading', level=1, name=title).wait_for()


def examine(page, piece, photo):
    """Send a photo of the piece, and have it examined."""
    page.goto(piece)
    page.get_by_role('button', name="New photos to examine").click()
    page.locator('#files').set_input_files(photo)
    card = page.locator('#cards .card')
    card.wait_for(timeout=JOB_MS)
    page.wait_for_selector('#cards .card:not(.waiting)', timeout=JOB_MS)
    assert re.search("Smallest marks it can show", card.inner_text())
    page.get_by_role('button', name="Examine this photo").click()
    page.wait_for_url('**/examinations/*', timeout=JOB_MS)


def reject_a_chip(page):
    page.get_by_role('button', name=re.compile(r"^Mark \d+.*(chip|scratch|bruise)")).first.click()
    page.get_by_role('button', name="Not a mark").click()
    page.get_by_label("Your initials").fill("AB")
    page.get_by_label("Or in your own words").fill("only a reflection")
    page.get_by_role('button', name="Note it").click()
    page.locator('#found-grade:not([hidden])').wait_for()


def flip_bits(bag, target):
    """Copy of a sealed zip in which each photo differs by one bit."""
    with zipfile.ZipFile(bag) as whole, zipfile.ZipFile(target, 'w') as changed:
        for item in whole.infolist():
            data = bytearray(whole.read(item))
            if item.filename.endswith('.jpg') and '/photos/' in item.filename:
                data[len(data) // 2] ^= 1
            changed.writestr(item, bytes(data))
    return target


def check_seal(page, own, bag):
    page.goto(f'{own}/check-seal')
    page.get_by_label("Zip file of the seal").set_input_files(bag)
    page.get_by_role('button', name="Check it").click()
    page.locator('.notice strong').first.wait_for()
    return page.locator('main').inner_text()


@pytest.mark.slow
def test_from_an_empty_folder_to_a_checked_seal(page, serve_page, tmp_path, journey):
    own = serve_page(tmp_path / 'glass', key=tmp_path / 'key.pem')
    page.set_default_timeout(60_000)
    page.goto(f'{own}/')
    page.get_by_role('button', name="Make the collection here").click()
    add_piece(page, "Amber swirl")
    piece = page.url

    examine(page, piece, journey[0])
    score = page.locator('#grade-score').inner_text()
    reject_a_chip(page)
    assert page.locator('#grade-score').inner_text() != score
    examine(page, piece, journey[1])
    assert page.url == f'{piece}/examinations/2'

    page.goto(piece)
    page.get_by_role('link', name="Compare", exact=True).click()
    page.get_by_role('button', name="Compare").click()
    page.wait_for_url('**/comparisons/1', timeout=JOB_MS)
    assert "the same piece" in page.locator('main').inner_text().lower()
    assert page.get_by_text("new", exact=False).count() > 0

    page.get_by_role('link', name="Seal this comparison").click()
    page.get_by_role('button', name="Seal it").click()
    page.get_by_role('link', name="Save all as a zip file").wait_for(timeout=JOB_MS)
    with page.expect_download() as saved:
        page.get_by_role('link', name="Save all as a zip file").click()
    bag = tmp_path / 'saved.zip'
    saved.value.save_as(bag)

    assert "Nothing is wrong with it" in check_seal(page, own, bag)
    told = check_seal(page, own, flip_bits(bag, tmp_path / 'changed.zip'))
    assert "data/photos/before.jpg: has changed" in told
    assert "data/photos/after.jpg: has changed" in told

    page.goto(f'{own}/')
    card = page.locator('.shelf li').first.inner_text()
    assert "Amber swirl" in card
    assert re.search(r"\d", card)
    before, after = (tmp_path / 'glass').rglob('before.jpg'), (tmp_path / 'glass').rglob('after.jpg')
    assert all(one.read_bytes() == journey[0].read_bytes() for one in before)
    assert all(one.read_bytes() == journey[1].read_bytes() for one in after)

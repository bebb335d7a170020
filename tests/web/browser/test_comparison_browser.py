"""The viewer of a comparison in a real browser: slide, blink, enlarge, by keyboard, mouse and finger; and the seals."""

import re

import pytest

from grader.web.app import create_app
from grader.web.desk import Desk
from grader.web.security.patient_protocol import server_settings
from tests.support.kept_piece import kept_piece

# Share of the picture, from its left edge, that shows the earlier photo, and where the edge stands.
SHOWN = """() => {
  const earlier = document.getElementById('earlier'), pane = document.getElementById('window');
  const clip = getComputedStyle(earlier).clipPath;
  const out = clip === 'none' ? 0 : clip.includes('100%') ? earlier.offsetWidth : parseFloat(clip.split(' ')[1]);
  const edge = document.getElementById('edge').getBoundingClientRect(), box = pane.getBoundingClientRect();
  return {
    earlier: (earlier.offsetWidth - out - pane.scrollLeft) / pane.clientWidth,
    edge: edge.width || edge.height ? (edge.left - box.left) / pane.clientWidth : null,
    zoom: document.getElementById('stack').offsetWidth / pane.clientWidth,
    scroll: [pane.scrollLeft, pane.scrollTop],
    told: document.getElementById('told').textContent,
    blink: document.getElementById('b-blink').textContent,
  };
}"""


@pytest.fixture(scope='module')
def kept(tmp_path_factory):
    return kept_piece(tmp_path_factory.mktemp('kept'))


@pytest.fixture
def address(kept, serve, tmp_path):
    def make_app(port):
        return create_app(Desk(root=kept.place.root, key=tmp_path / 'key.pem', port=port))

    return serve(make_app, **server_settings()) + kept.address


@pytest.fixture
def viewer(page, address):
    page.goto(f'{address}/comparisons/1')
    page.locator('.cmp-live').wait_for()
    return page


def near(value, wanted, within=0.02):
    return abs(value - wanted) <= within


def test_it_begins_half_and_half(viewer):
    shown = viewer.evaluate(SHOWN)
    assert near(shown['earlier'], 0.5) and near(shown['edge'], 0.5)
    assert shown['told'] == 'Left of the edge the earlier photo, right of it the later one'


def test_the_slider_goes_by_keyboard(viewer):
    viewer.locator('#share').focus()
    for _ in range(20):
        viewer.keyboard.press('ArrowRight')
    shown = viewer.evaluate(SHOWN)
    assert near(shown['earlier'], 0.7) and near(shown['edge'], 0.7)
    assert viewer.locator('#share').get_attribute('aria-valuetext').startswith('70 percent. Left of the edge')
    viewer.keyboard.press('Home')
    shown = viewer.evaluate(SHOWN)
    assert near(shown['earlier'], 0) and shown['edge'] is None and shown['told'] == 'Later photo'
    viewer.keyboard.press('End')
    assert viewer.evaluate(SHOWN)['told'] == 'Earlier photo'


def test_buttons_show_one_photo(viewer):
    viewer.get_by_role('button', name='Earlier').click()
    assert near(viewer.evaluate(SHOWN)['earlier'], 1)
    assert viewer.get_by_role('button', name='Earlier').get_attribute('aria-pressed') == 'true'
    viewer.get_by_role('button', name='Later').click()
    assert near(viewer.evaluate(SHOWN)['earlier'], 0)
    assert viewer.get_by_role('button', name='Earlier').get_attribute('aria-pressed') == 'false'


def test_the_edge_is_pulled_by_mouse(viewer):
    viewer.locator('.cmp-grip').scroll_into_view_if_needed()
    grip, pane = viewer.locator('.cmp-grip').bounding_box(), viewer.locator('#window').bounding_box()
    viewer.mouse.move(grip['x'] + grip['width'] / 2, grip['y'] + grip['height'] / 2)
    viewer.mouse.down()
    viewer.mouse.move(pane['x'] + 0.25 * pane['width'], grip['y'], steps=5)
    viewer.mouse.up()
    assert near(viewer.evaluate(SHOWN)['earlier'], 0.25)
    # Pulled out of the picture it stays where it can be taken hold of again.
    viewer.mouse.move(pane['x'] + 0.25 * pane['width'], grip['y'])
    viewer.mouse.down()
    viewer.mouse.move(pane['x'] - 300, grip['y'], steps=5)
    viewer.mouse.up()
    shown = viewer.evaluate(SHOWN)
    assert near(shown['earlier'], 0.01) and shown['edge'] is not None


def test_the_edge_is_pulled_by_finger(new_page, address):
    page = new_page(360, 800, has_touch=True, is_mobile=True)
    page.goto(f'{address}/comparisons/1')
    page.locator('.cmp-live').wait_for()
    page.locator('.cmp-grip').scroll_into_view_if_needed()
    grip, pane = page.locator('.cmp-grip').bounding_box(), page.locator('#window').bounding_box()
    y = grip['y'] + grip['height'] / 2
    driver = page.context.new_cdp_session(page)

    def touch(kind, x=None):
        points = [] if x is None else [{'x': x, 'y': y}]
        driver.send('Input.dispatchTouchEvent', {'type': kind, 'touchPoints': points})

    touch('touchStart', grip['x'] + grip['width'] / 2)
    for share in (0.6, 0.7, 0.8):
        touch('touchMove', pane['x'] + share * pane['width'])
    touch('touchEnd')
    assert near(page.evaluate(SHOWN)['earlier'], 0.8, 0.03)
    assert page.evaluate('document.documentElement.scrollWidth') <= 360


def test_enlarging_keeps_the_middle_and_the_slider_sweeps_what_is_seen(viewer):
    viewer.locator('#window').focus()
    for _ in range(3):
        viewer.keyboard.press('+')
    shown = viewer.evaluate(SHOWN)
    assert near(shown['zoom'], 1.5**3, 0.1)
    assert near(shown['scroll'][0], shown['scroll'][1], 20) and shown['scroll'][0] > 100
    assert near(shown['earlier'], 0.5) and near(shown['edge'], 0.5)
    viewer.keyboard.press('ArrowRight')
    viewer.wait_for_function('before => document.getElementById("window").scrollLeft > before', arg=shown['scroll'][0])
    viewer.wait_for_timeout(300)
    assert near(viewer.evaluate(SHOWN)['earlier'], 0.5)
    viewer.keyboard.press('0')
    assert near(viewer.evaluate(SHOWN)['zoom'], 1)


def test_a_mouse_pulls_the_enlarged_picture(viewer):
    for _ in range(3):
        viewer.get_by_role('button', name='Larger').click()
    viewer.locator('#window').scroll_into_view_if_needed()
    pane = viewer.locator('#window').bounding_box()
    before = viewer.evaluate(SHOWN)['scroll']
    viewer.mouse.move(pane['x'] + 100, pane['y'] + 100)
    viewer.mouse.down()
    viewer.mouse.move(pane['x'] + 40, pane['y'] + 60, steps=4)
    viewer.mouse.up()
    after = viewer.evaluate(SHOWN)['scroll']
    assert near(after[0] - before[0], 60, 3) and near(after[1] - before[1], 40, 3)


def test_nothing_moves_by_itself_where_that_is_not_wanted(viewer):
    assert viewer.evaluate(SHOWN)['blink'] == 'Switch'
    viewer.get_by_role('button', name='Switch').click()
    first = viewer.evaluate(SHOWN)['earlier']
    viewer.wait_for_timeout(1200)
    assert viewer.evaluate(SHOWN)['earlier'] == first
    viewer.get_by_role('button', name='Switch').click()
    assert near(abs(viewer.evaluate(SHOWN)['earlier'] - first), 1)


def test_blinking_can_be_paused(new_page, address):
    page = new_page(reduced_motion='no-preference')
    page.goto(f'{address}/comparisons/1')
    page.get_by_role('button', name='Blink').click()
    assert page.evaluate(SHOWN)['blink'] == 'Pause'
    seen = page.evaluate(SHOWN)['told']
    page.wait_for_function('seen => document.getElementById("told").textContent !== seen', arg=seen)
    page.get_by_role('button', name='Pause').click()
    seen = page.evaluate(SHOWN)['told']
    page.wait_for_timeout(1500)
    assert page.evaluate(SHOWN)['told'] == seen


def test_numbers_stay_readable_and_can_be_hidden(new_page, address):
    page = new_page(360, 800)
    page.goto(f'{address}/comparisons/1')
    height = page.locator('#lines > text').first.bounding_box()['height']
    assert height > 12
    page.locator('#b-in').click()
    assert near(page.locator('#lines > text').first.bounding_box()['height'], height, 2)
    page.get_by_label('Show the numbers').uncheck()
    assert page.locator('#lines').is_hidden()


def test_without_script_both_photos_stand_side_by_side(new_page, address):
    page = new_page(java_script_enabled=False)
    page.goto(f'{address}/comparisons/1')
    earlier, later = (page.locator(f'#{name}').bounding_box() for name in ('earlier', 'later'))
    assert earlier['x'] >= later['x'] + later['width'] - 1 or later['x'] >= earlier['x'] + earlier['width'] - 1
    assert page.locator('#b-blink').is_hidden()


def test_sealed_fetched_and_checked(page, address, tmp_path):
    page.goto(f'{address}/comparisons/1')
    page.get_by_role('link', name='Seal this comparison').click()
    page.get_by_role('button', name='Seal it').click()
    page.get_by_role('heading', name='Seals of this piece').wait_for()
    with page.expect_download() as fetched:
        page.get_by_role('link', name=re.compile('Save as a zip file.*0001-comparison-0001')).click()
    fetched.value.save_as(tmp_path / fetched.value.suggested_filename)
    assert fetched.value.suggested_filename == 'Amber swirl, sealed 0001.zip'
    page.get_by_role('link', name='Check a seal').first.click()
    page.locator('#bag').set_input_files(tmp_path / fetched.value.suggested_filename)
    page.get_by_role('button', name='Check it').click()
    page.get_by_text('Nothing is wrong with it.').wait_for()
    assert 'This is the key with which this computer seals.' in page.content()

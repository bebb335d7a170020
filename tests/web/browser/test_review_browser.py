"""The photo and its marks in a real browser: looked at and judged by mouse, by touch and by keyboard alone."""

import json
import re

import pytest

from grader.commands.review_store import record_at, review_of
from tests.support.shown_examination import shown_examination

AS_SHOWN = """() => {
  const { camera } = window.examination.viewer;
  return camera;
}"""
PIXEL = """([x, y]) => {
  const { camera, picture } = window.examination.viewer;
  const at = [(x + 0.5) * camera.scale + camera.left, (y + 0.5) * camera.scale + camera.top];
  return [...picture.context.getImageData(Math.floor(at[0]), Math.floor(at[1]), 1, 1).data].slice(0, 3);
}"""
PLACE = """([x, y]) => {
  const { camera, element } = window.examination.viewer;
  const box = element.getBoundingClientRect();
  return [box.left + (x + 0.5) * camera.scale + camera.left, box.top + (y + 0.5) * camera.scale + camera.top];
}"""
AT_REST = (
    '() => window.examination && window.examination.viewer.picture.whole && !window.examination.viewer.picture.asked'
)


@pytest.fixture
def opened(new_page, serve_page, tmp_path):
    """Function that opens the page of an examination: the page, and what it shows."""

    def start(width=1280, height=900, browser_settings=None, **settings):
        shown = shown_examination(tmp_path, **settings)
        page = new_page(width, height, **(browser_settings or {}))
        page.goto(serve_page(shown.place.root) + shown.address)
        page.wait_for_function(AT_REST if settings.get('photo', True) else '() => window.examination')
        return page, shown

    return start


def noted_by(page, reason="seen with a loupe", initials='AB'):
    if page.get_by_label("Your initials").is_visible():
        page.get_by_label("Your initials").fill(initials)
    page.get_by_role('button', name=reason, exact=True).click()
    page.get_by_role('button', name="Note it").click()


def entries(shown):
    return review_of(record_at(shown.folder / 'record.json')).entries


def score(page):
    return int(page.locator('#grade-score').inner_text())


def click_photo(page, place):
    page.mouse.click(*page.evaluate(PLACE, list(place)))


def middle(mark):
    return mark.centre_px


def test_a_mark_is_chosen_in_the_photo_and_confirmed(opened):
    page, shown = opened()
    before = score(page)
    click_photo(page, middle(shown.record.marks[4]))
    page.get_by_role('button', name="It is there").click()
    noted_by(page)
    page.locator('#found-grade:not([hidden])').wait_for()
    assert score(page) < before
    assert f"{before} of 100" in page.locator('#found-words').inner_text()
    assert "lowers the score" in page.locator('#change-whole').inner_text()
    assert "Noted" in page.locator('#spoken').inner_text()
    assert entries(shown)[0].act.mark == 5
    page.reload()
    page.wait_for_function(AT_REST)
    assert "By your word" in page.locator('#grade-who').inner_text()
    assert "confirmed by AB" in page.get_by_role('button', name="Mark 5").inner_text()


def test_initials_are_asked_once_and_an_undo_brings_all_back(opened):
    page, shown = opened()
    before = score(page)
    page.get_by_role('button', name="Mark 1:").click()
    page.get_by_role('button', name="Not a mark").click()
    page.get_by_role('button', name="Note it").click()
    assert "Type your initials" in page.locator('#message-words').inner_text()
    noted_by(page, "a reflection")
    page.wait_for_function('() => window.examination.state.entries === 1')
    assert "rejected by AB" in page.get_by_role('button', name="Mark 1:").inner_text()
    assert score(page) > before
    page.get_by_role('button', name="Undo").click()
    assert not page.get_by_label("Your initials").is_visible()
    noted_by(page, "a slip")
    page.wait_for_function('() => window.examination.state.entries === 2')
    assert score(page) == before
    assert page.locator('#log li').count() == 2
    assert [entry.initials for entry in entries(shown)] == ['AB', 'AB']


def test_a_mark_is_something_else(opened):
    page, shown = opened()
    page.get_by_role('button', name="Mark 2:").click()
    page.get_by_role('button', name="It is something else").click()
    page.get_by_label("What is it?").select_option('bubble')
    noted_by(page, "it lies inside the glass")
    page.wait_for_function('() => window.examination.state.entries === 1')
    assert "bubble" in page.get_by_role('button', name="Mark 2:").inner_text()
    assert entries(shown)[0].act.kind == 'bubble'


def test_all_of_a_drawing_by_keyboard_alone(opened):
    page, shown = opened()
    keyboard = page.keyboard
    page.locator('#draw-outline').focus()
    keyboard.press('Enter')
    assert page.evaluate('document.activeElement.id') == 'viewer'
    keyboard.press('1')
    keyboard.press('Space')
    for key in ('Shift+ArrowRight', 'Space', 'Shift+ArrowDown', 'Space', 'Shift+ArrowLeft', 'ArrowLeft'):
        keyboard.press(key)
    keyboard.press('Space')
    keyboard.press('Backspace')
    keyboard.press('ArrowRight')
    keyboard.press('Space')
    drawn = page.evaluate('window.examination.drawing.tool.points')
    assert len(drawn) == 4
    keyboard.press('Enter')
    assert page.evaluate('document.activeElement.id') == 'initials'
    keyboard.type('CD')
    page.locator('#reason').focus()
    keyboard.type("felt it")
    keyboard.press('Enter')
    page.wait_for_function('() => window.examination.state.entries === 1')
    entry = entries(shown)[0]
    assert (entry.initials, entry.reason, entry.act.kind, entry.mark) == ('CD', "felt it", 'chip', 6)
    points = entry.act.drawing.points_px
    assert [list(point) for point in points] == [[round(x, 2), round(y, 2)] for x, y in drawn]
    # Ten single pixels a press with Shift, since pixels are large here.
    assert points[1][0] - points[0][0] == pytest.approx(10, abs=0.51)
    assert points[2][1] - points[1][1] == 10
    assert page.evaluate('document.activeElement.dataset.key') == 'mark-6'


def test_keys_move_the_photo_and_go_from_mark_to_mark(opened):
    page, _ = opened()
    viewer = page.locator('#viewer')
    viewer.focus()
    before = page.evaluate(AS_SHOWN)
    for key in ('ArrowRight', 'ArrowDown'):
        viewer.press(key)
    after = page.evaluate(AS_SHOWN)
    assert (after['left'] - before['left'], after['top'] - before['top']) == (-60, -60)
    viewer.press('+')
    assert page.evaluate(AS_SHOWN)['scale'] > after['scale']
    viewer.press('1')
    assert page.evaluate(AS_SHOWN)['scale'] == pytest.approx(8)
    viewer.press('0')
    assert page.evaluate(AS_SHOWN)['scale'] == pytest.approx(before['scale'])
    viewer.press('n')
    assert page.evaluate('window.examination.chosen') == 1
    assert "Mark 1" in page.locator('#spoken').inner_text()
    viewer.press('b')
    assert page.evaluate('window.examination.chosen') == 5
    viewer.press('m')
    page.wait_for_function('() => !document.querySelector("#lines .line")')
    assert not page.locator('#show-marks').is_checked()


def test_single_pixels_are_the_photos_own(opened):
    page, shown = opened()
    page.locator('#viewer').press('1')
    page.wait_for_function('() => [...window.examination.viewer.picture.tiles.values()].some((one) => one.bitmap)')
    page.wait_for_function(AT_REST)
    page.wait_for_timeout(300)
    for place in ((500, 400), (497, 391), (511, 411), (512, 402), (470, 405)):
        assert page.evaluate(PIXEL, list(place)) == shown.rgb[place[1], place[0]].tolist(), place


def test_a_scratch_is_drawn_by_mouse_and_a_point_moved(opened):
    page, shown = opened()
    page.get_by_role('button', name="Draw a scratch").click()
    for place in ((450.0, 300.0), (500.0, 320.0), (560.0, 350.0)):
        click_photo(page, place)
    start = page.evaluate(PLACE, [500.0, 320.0])
    page.mouse.move(*start)
    page.mouse.down()
    page.mouse.move(start[0], start[1] + 20, steps=4)
    page.mouse.up()
    page.get_by_role('button', name="Done").click()
    page.get_by_label("Its width in mm").fill('0,3')
    noted_by(page)
    page.wait_for_function('() => window.examination.state.entries === 1')
    drawing = entries(shown)[0].act.drawing
    assert (drawing.shape, drawing.width_mm) == ('line', 0.3)
    scale = page.evaluate(AS_SHOWN)['scale']
    for point, wanted in zip(drawing.points_px, ((450, 300), (500, 320 + 20 / scale), (560, 350)), strict=True):
        assert point == pytest.approx(wanted, abs=1.0)


def test_a_drawing_that_does_not_fit_stays_to_be_mended(opened):
    page, shown = opened()
    page.get_by_role('button', name="Draw a mark").click()
    for place in ((450, 300), (500, 350), (500, 300), (450, 350)):
        click_photo(page, place)
    page.get_by_role('button', name="Done").click()
    noted_by(page)
    page.locator('#message.bad').wait_for()
    assert "crosses itself" in page.locator('#message-words').inner_text()
    assert page.evaluate('window.examination.drawing.tool.points.length') == 4
    assert not shown.review_file.exists()
    page.locator('#viewer').press('Backspace')
    page.get_by_role('button', name="Note it").click()
    page.wait_for_function('() => window.examination.state.entries === 1')


def test_a_drawing_is_given_up(opened):
    page, shown = opened()
    page.get_by_role('button', name="Draw a mark").click()
    page.locator('#viewer').press('Space')
    page.locator('#viewer').press('Escape')
    assert not page.locator('#draw-bar').is_visible()
    assert page.get_by_role('button', name="Draw a mark").is_visible()
    assert page.evaluate('window.examination.drawing.tool') is None
    assert not shown.review_file.exists()


def test_two_windows_lose_nothing(opened, new_page):
    page, shown = opened()
    other = page.context.new_page()
    other.goto(page.url)
    other.wait_for_function(AT_REST)
    page.get_by_role('button', name="Draw a mark").click()
    for place in ((450, 300), (470, 300), (470, 320)):
        click_photo(page, place)
    page.get_by_role('button', name="Done").click()
    other.get_by_role('button', name="Mark 3:").click()
    other.get_by_role('button', name="Not a mark").click()
    noted_by(other, "a reflection", 'CD')
    other.wait_for_function('() => window.examination.state.entries === 1')
    noted_by(page)
    page.locator('#message.bad').wait_for()
    assert "changed in another window" in page.locator('#message-words').inner_text()
    assert "rejected by CD" in page.get_by_role('button', name="Mark 3:").inner_text()
    assert page.evaluate('window.examination.drawing.tool.points.length') == 3
    assert page.locator('#reason').input_value() == "seen with a loupe"
    page.get_by_role('button', name="Note it").click()
    page.wait_for_function('() => window.examination.state.entries === 2')
    assert [entry.initials for entry in entries(shown)] == ['CD', 'AB']


def touch(session, kind, *places):
    points = [{'x': x, 'y': y, 'id': k} for k, (x, y) in enumerate(places)]
    session.send('Input.dispatchTouchEvent', {'type': kind, 'touchPoints': points})


def test_two_fingers_bring_the_photo_nearer_and_taps_set_points(opened):
    page, shown = opened(400, 800, {'has_touch': True, 'is_mobile': True})
    session = page.context.new_cdp_session(page)
    page.locator('#viewer').scroll_into_view_if_needed()
    box = page.locator('#viewer').bounding_box()
    x, y = box['x'] + box['width'] / 2, box['y'] + box['height'] / 2
    before = page.evaluate(AS_SHOWN)['scale']
    touch(session, 'touchStart', (x - 20, y), (x + 20, y))
    for k in range(1, 9):
        touch(session, 'touchMove', (x - 20 - 8 * k, y), (x + 20 + 8 * k, y))
    touch(session, 'touchEnd')
    assert page.evaluate(AS_SHOWN)['scale'] > 2.5 * before
    page.get_by_role('button', name="Draw a mark").tap()
    page.locator('#viewer').scroll_into_view_if_needed()
    box = page.locator('#viewer').bounding_box()
    x, y = box['x'] + box['width'] / 2, box['y'] + box['height'] / 2
    for dx, dy in ((-40, -40), (40, -40)):
        page.touchscreen.tap(x + dx, y + dy)
    # A finger moves the photo under the cross, and the button sets the point there.
    touch(session, 'touchStart', (x, y + 60))
    for k in range(1, 7):
        touch(session, 'touchMove', (x - 5 * k, y + 60 - 8 * k))
    touch(session, 'touchEnd')
    # A tap right after a stroke would only end the stroke's motion.
    page.wait_for_timeout(400)
    page.get_by_role('button', name="Set a point").tap()
    points = page.evaluate('window.examination.drawing.tool.points')
    camera = page.evaluate(AS_SHOWN)
    assert len(points) == 3
    assert points[2][0] == pytest.approx((box['width'] / 2 - camera['left']) / camera['scale'] - 0.5, abs=0.6)
    page.get_by_role('button', name="Done").tap()
    noted_by(page)
    page.wait_for_function('() => window.examination.state.entries === 1')
    assert entries(shown)[0].act.action == 'add'


def test_photos_of_a_set_are_switched(opened):
    page, shown = opened(in_set=True)
    assert page.get_by_role('button', name=re.compile('a.png')).get_attribute('aria-pressed') == 'true'
    assert "not in this photo" in page.get_by_role('button', name="Mark 5").inner_text()
    assert page.locator('#lines .hatched').count() == 1
    page.get_by_role('button', name="Mark 5").click()
    page.wait_for_function('() => window.examination.photo.name === "b.png"')
    page.wait_for_function('() => !document.querySelector("#lines .hatched")')
    assert "not in this photo" in page.get_by_role('button', name="Mark 2:").inner_text()
    page.get_by_role('button', name=re.compile('a.png')).click()
    page.wait_for_function('() => window.examination.photo.name === "a.png"')
    page.get_by_role('button', name="Draw a mark").click()
    for place in ((450, 300), (470, 300), (470, 320)):
        click_photo(page, place)
    # Neither another photo nor "Not now" takes the drawing away.
    page.get_by_role('button', name=re.compile('b.png')).click()
    assert "Finish the drawing" in page.locator('#message-words').inner_text()
    page.get_by_role('button', name="Mark 5").click()
    assert page.evaluate('window.examination.photo.name') == 'a.png'
    page.locator('#viewer').press('Enter')
    page.get_by_role('button', name="Not now").click()
    assert page.evaluate('window.examination.drawing.tool.points.length') == 3
    page.locator('#viewer').press('Enter')
    noted_by(page)
    page.wait_for_function('() => window.examination.state.entries === 1')
    assert entries(shown)[0].drawn.photo == 'a.png'


def test_a_sealed_examination_is_only_shown(opened):
    page, _ = opened(sealed=True)
    assert "sealed" in page.locator('#sealed-words').inner_text()
    page.get_by_role('button', name="Mark 1:").click()
    assert page.get_by_role('button', name="It is there").count() == 0
    assert not page.get_by_role('button', name="Draw a mark").is_visible()


def test_a_missing_photo_is_told_and_its_marks_are_drawn(opened, watch):
    page, _ = opened(photo=False)
    page.locator('#viewer-note:not([hidden])').wait_for()
    assert "not stored with this examination" in page.locator('#viewer-note').inner_text()
    assert page.locator('#lines .line').count() > 0
    watch.faults.clear()


def test_signs_differ_by_shape_and_the_legend_names_them(opened):
    page, _ = opened()
    page.get_by_text("What the signs mean, and the keys").click()
    words = page.locator('#signs').inner_text()
    for word in ("scratch", "chip", "bubble", "bruise", "dust", "dashed", "hatched: could not be seen"):
        assert word in words
    shapes = page.evaluate(
        "[...document.querySelectorAll('#signs .sign:not(.letter) .body')].slice(0, 5).map((one) => one.getAttribute('d'))"
    )
    assert len(set(shapes)) == 5
    numbers = page.evaluate("[...document.querySelectorAll('#numbers .sign .number')].map((one) => one.textContent)")
    assert {'A', '1', '2', '3', '4', '5'} == set(numbers)


@pytest.mark.parametrize(('width', 'text'), [(360, '100%'), (360, '200%'), (800, '200%'), (1280, '200%')])
def test_the_open_panel_fits(opened, width, text):
    page, _ = opened(width, 800, in_set=True)
    page.evaluate('(size) => { document.documentElement.style.fontSize = size; }', text)
    page.get_by_role('button', name="Mark 2:").click()
    page.get_by_role('button', name="It is something else").click()
    page.get_by_role('button', name="Note it").click()
    assert page.evaluate('document.documentElement.scrollWidth') <= width
    page.get_by_role('button', name="Not now").click()
    page.get_by_role('button', name="Draw a mark").click()
    for key in ('Space', 'Shift+ArrowRight', 'Space', 'Shift+ArrowDown', 'Space', 'Enter'):
        page.locator('#viewer').press(key)
    assert page.evaluate('document.documentElement.scrollWidth') <= width


@pytest.mark.parametrize('width', [360, 1280])
def test_axe_finds_nothing_grave_in_the_open_states(opened, width):
    axe = pytest.importorskip('axe_playwright_python.sync_playwright').Axe()
    page, _ = opened(width, 900, {'bypass_csp': True}, in_set=True)
    page.get_by_text("What the signs mean, and the keys").click()
    page.get_by_role('button', name="Mark 2:").click()
    page.get_by_role('button', name="It is something else").click()
    page.get_by_role('button', name="Note it").click()
    noted_by(page)
    page.wait_for_function('() => window.examination.state.entries === 1')
    page.get_by_text("All you said, entry by entry").click()
    page.get_by_role('button', name="Draw a scratch").click()
    for key in ('Space', 'Shift+ArrowRight', 'Space', 'Enter'):
        page.locator('#viewer').press(key)
    found = axe.run(page).response
    told = [(one['id'], one['help'], [node['html'][:200] for node in one['nodes']])
            for one in found['violations'] if one['impact'] in ('serious', 'critical')]  # fmt: skip
    assert told == [], json.dumps(told, indent=1)


def test_moving_the_photo_draws_no_mark_anew(opened):
    page, _ = opened()
    page.wait_for_timeout(500)
    page.evaluate("""() => {
      window.drawn = 0;
      const count = (records) => { window.drawn += records.length; };
      for (const id of ['lines', 'numbers']) {
        new MutationObserver(count).observe(document.getElementById(id), { childList: true, subtree: true });
      }
    }""")
    before = page.evaluate(AS_SHOWN)
    box = page.locator('#viewer').bounding_box()
    x, y = box['x'] + box['width'] / 2, box['y'] + box['height'] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x + 150, y + 80, steps=15)
    page.mouse.up()
    page.wait_for_timeout(500)
    assert page.evaluate(AS_SHOWN)['left'] == pytest.approx(before['left'] + 150)
    assert page.evaluate('window.drawn') == 0
    # The pictures of lines and numbers went with the photo.
    for name in ('lines', 'numbers'):
        assert page.evaluate(f"new DOMMatrix(document.getElementById('{name}').style.transform).e") == pytest.approx(
            150
        )
    page.locator('#viewer').press('+')
    page.wait_for_function('() => window.drawn > 0')
    page.wait_for_function("() => new DOMMatrix(document.getElementById('numbers').style.transform).isIdentity")

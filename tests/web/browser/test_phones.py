"""A phone is let in, seen and put out, in real browsers: one at this computer, one that comes over the network."""

import re

import cv2
import numpy as np
import pytest
from starlette.applications import Starlette
from starlette.responses import HTMLResponse
from starlette.routing import Route

from grader.web.security.addresses import home_addresses

needs_network = pytest.mark.skipif(not home_addresses(), reason='this computer is in no network to come over')


@pytest.fixture
def shared(serve_page, tmp_path):
    """Address at this computer, and over the network."""
    own = serve_page(tmp_path / 'glass', addresses=home_addresses())
    return own, own.replace('127.0.0.1', home_addresses()[0])


def read_picture(page):
    """What a phone's camera reads from the picture on the screen."""
    pixels = np.frombuffer(page.locator('.qr').first.screenshot(), np.uint8)
    return cv2.QRCodeDetector().detectAndDecode(cv2.imdecode(pixels, cv2.IMREAD_COLOR))[0]


def show_code(page, own):
    page.goto(f'{own}/phone')
    page.get_by_role('button', name="Let a phone in").click()
    return page.locator('.code').inner_text().replace(' ', '')


@needs_network
def test_by_the_picture(page, new_page, shared):
    own, over_network = shared
    code = show_code(page, own)
    phone = new_page(360, 740, user_agent='Mozilla/5.0 (iPhone; CPU iPhone OS 19_0 like Mac OS X)')
    asked = []
    phone.on('request', lambda request: asked.append(request.url))
    assert read_picture(page) == f'{over_network}/pair#{code}'
    phone.goto(read_picture(page))
    phone.wait_for_url(f'{over_network}/')
    assert not any(code in url.partition('#')[0] for url in asked)  # the code itself is sent in the form only
    assert phone.goto(f'{over_network}/help').status == 200

    page.get_by_text("iPhone").first.wait_for()  # the page at the computer loads itself anew
    assert page.locator('.code').count() == 0
    assert phone.goto(f'{over_network}/phone').status == 403

    page.get_by_role('button', name=re.compile("Put out")).click()
    page.get_by_text("None.").wait_for()
    assert phone.goto(f'{over_network}/help').status == 403


@needs_network
def test_by_typing(page, new_page, shared, watch):
    own, over_network = shared
    code = show_code(page, own)
    phone = new_page(360, 740, java_script_enabled=False)
    assert phone.goto(f'{over_network}/').status == 403
    phone.goto(f'{over_network}/pair')
    phone.get_by_label("Code shown on the computer's screen").fill('2' * 6)
    phone.get_by_role('button', name="Let me in").click()
    assert "That is not the code" in phone.get_by_role('alert').inner_text()
    phone.get_by_label("Code shown on the computer's screen").fill(f'{code[:3].lower()} {code[3:]}')
    phone.get_by_role('button', name="Let me in").click()
    phone.wait_for_url(f'{over_network}/')
    assert phone.goto(f'{over_network}/help').status == 200


@needs_network
def test_code_is_good_once(page, new_page, shared):
    own, over_network = shared
    code = show_code(page, own)
    new_page().goto(f'{over_network}/pair#{code}')
    page.get_by_text("Browser").first.wait_for()
    late = new_page()
    late.goto(f'{over_network}/pair#{code}')
    assert "No code is good" in late.get_by_role('alert').inner_text()


def test_code_leaves_the_address_bar(page, serve_page, tmp_path):
    own = serve_page(tmp_path / 'glass')
    page.goto(f'{own}/pair#ABCDEF')
    page.get_by_role('alert').wait_for()
    assert page.url == f'{own}/pair'
    assert page.evaluate('history.length') <= 3


def test_not_shared_tells_how(page, serve_page, tmp_path):
    page.goto(serve_page(tmp_path / 'glass') + '/phone')
    assert "grader serve --share" in page.locator('main').inner_text()
    assert page.get_by_role('button', name="Let a phone in").count() == 0


def other_site(port, body, policy="default-src * 'unsafe-inline'"):
    async def start(request):
        return HTMLResponse(f'<!doctype html><html lang="en"><title>Other</title>{body}</html>')

    return Starlette(routes=[Route('/', start)])


def test_form_of_another_site_does_nothing(page, serve, serve_page, tmp_path):
    own = serve_page(tmp_path / 'glass', addresses=('192.0.2.1',))
    page.goto(f'{own}/phone')
    form = f'<form method="post" action="{own}/phone/code"><button>Win</button></form>'
    other = serve(lambda port: other_site(port, form)).replace('127.0.0.1', 'localhost')
    page.goto(other)
    with page.expect_response('**/phone/code') as caught:
        page.get_by_role('button', name='Win').click()
    assert caught.value.status == 403
    assert "Another page tried" in page.locator('main').inner_text()
    page.goto(f'{own}/phone')
    assert page.locator('.code').count() == 0


def test_link_of_another_site_opens_the_page_and_keeps_the_session(page, serve, serve_page, tmp_path):
    own = serve_page(tmp_path / 'glass')
    page.goto(f'{own}/help')
    token = page.locator('meta[name=csrf]').get_attribute('content')
    other = serve(lambda port: other_site(port, f'<a href="{own}/help">Look</a>')).replace('127.0.0.1', 'localhost')
    page.goto(other)
    page.get_by_role('link', name='Look').click()
    page.get_by_role('heading', level=1).wait_for()
    assert page.url == f'{own}/help'
    assert page.locator('meta[name=csrf]').get_attribute('content') == token


def test_page_in_a_frame_of_another_site_stays_empty(page, serve, serve_page, tmp_path, watch):
    own = serve_page(tmp_path / 'glass')
    frame = f'<iframe src="{own}/help"></iframe><img src="{own}/static/mark.svg" alt="">'
    with page.expect_response('**/help') as caught:
        page.goto(serve(lambda port: other_site(port, frame)).replace('127.0.0.1', 'localhost'))
    assert caught.value.status == 403
    assert page.frames[-1].get_by_text("How to photograph").count() == 0
    assert not page.locator('img').evaluate('image => image.complete && image.naturalWidth > 0')
    watch.faults.clear()  # the browser says that it does not show it

"""The browser fixtures themselves: a page is served, opened, and watched."""

from starlette.applications import Starlette
from starlette.responses import HTMLResponse
from starlette.routing import Route

PAGE = '<!doctype html><html lang="en"><title>Shelf</title><h1>Glass</h1>%s</html>'


def app_with(body, policy="default-src 'none'"):
    async def start(request):
        return HTMLResponse(PAGE % body, headers={'Content-Security-Policy': policy})

    return Starlette(routes=[Route('/', start)])


def test_page_is_served_and_opened(page, serve):
    page.goto(serve(lambda port: app_with('<p>One piece</p>')))
    assert page.title() == 'Shelf'
    assert page.get_by_role('heading').inner_text() == 'Glass'


def test_inline_script_is_a_fault(page, serve, watch):
    page.goto(serve(lambda port: app_with('<script>document.title = "taken"</script>')))
    assert page.title() == 'Shelf'
    assert any('Content Security Policy' in fault for fault in watch.faults)
    watch.faults.clear()


def test_request_to_another_computer_is_a_fault(page, serve, watch):
    page.goto(
        serve(lambda port: app_with('<img src="http://192.0.2.77/a.png" alt="">', "default-src *")), wait_until='commit'
    )
    page.wait_for_selector('img', state='attached')
    assert any('http://192.0.2.77/a.png' in fault for fault in watch.faults)
    watch.faults.clear()

"""How smoothly the page of an examination moves: many marks on a 12-megapixel photo, in Chromium without a GPU.

    python -m tests.benchmark.review_smoothness [--marks 300] [--rival NAME ...] [--times 3]

Mouse and wheel are driven as a hand drives them, while the page notes when each frame begins (requestAnimationFrame)
and Chromium's own trace notes each frame that is drawn and each task. A frame over 50 ms is a failure (exit code 1).
The trace also tells the processor's time of each task of the page, which others on the same computer do not lengthen.

With ``--rival`` modules of the page are replaced by those of ``review_rivals/NAME/``: other ways to draw that were tried.
"""

import argparse
import json
import os
import sys
import tempfile
from collections.abc import Callable
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path
from typing import Any

import numpy as np

from grader.web.app import create_app
from grader.web.desk import Desk
from tests.support.chromium import launched
from tests.support.live_server import served
from tests.support.many_marks import piece_with_many_marks

RIVALS = Path(__file__).with_name('review_rivals')
LIMIT_MS = 50.0
CATEGORIES = 'devtools.timeline,disabled-by-default-devtools.timeline,disabled-by-default-devtools.timeline.frame'
NOTE_FRAMES = """() => {
  window.frames_ms = [];
  const note = (now) => { window.frames_ms.push(now); window.noting = requestAnimationFrame(note); };
  window.noting = requestAnimationFrame(note);
}"""
TAKE_FRAMES = '() => { cancelAnimationFrame(window.noting); return window.frames_ms; }'


@dataclass(frozen=True, slots=True)
class Moved:
    """One gesture."""

    name: str
    frames_ms: np.ndarray
    """From frame to frame, as the page sees them."""
    answer_ms: np.ndarray
    """From a move of the hand to the next frame that is drawn."""
    task_ms: float
    """Longest task of the page, by the clock."""
    task_cpu_ms: float
    """Most processor time of a task of the page."""


def drag(page: Any, box: dict[str, float]) -> None:
    """Pan to and fro."""
    x, y = box['x'] + box['width'] / 2, box['y'] + box['height'] / 2
    page.mouse.move(x, y)
    page.mouse.down()
    for dx, dy in ((300, 100), (-300, 120), (250, -200), (-260, -60)):
        page.mouse.move(x + dx, y + dy, steps=40)
    page.mouse.up()


def wheel(page: Any, box: dict[str, float]) -> None:
    """Nearer and further with the wheel."""
    page.mouse.move(box['x'] + box['width'] * 0.55, box['y'] + box['height'] * 0.45)
    for turned in (-60,) * 40 + (60,) * 40:
        page.mouse.wheel(0, turned)
        page.wait_for_timeout(12)


def keys(page: Any, box: dict[str, float]) -> None:
    """Move with the keys, each held for a while."""
    page.locator('#viewer').focus()
    for key in ('ArrowLeft', 'ArrowDown', 'ArrowRight', 'ArrowUp'):
        for _ in range(25):
            page.keyboard.press(key)
            page.wait_for_timeout(10)


def near(page: Any) -> None:
    """Go to single pixels first."""
    page.get_by_role('button', name='Single pixels').click()
    page.wait_for_timeout(1500)


def full_size(page: Any) -> None:
    """Go to the photo's own size first, where most marks and tiles are in view."""
    page.locator('#viewer').press('0')
    for _ in range(3):
        page.locator('#viewer').press('+')
    page.wait_for_timeout(2500)


GESTURES: dict[str, tuple[Callable[[Any], None], Callable[[Any, dict[str, float]], None]]] = {
    'pan, whole piece': (lambda page: page.wait_for_timeout(800), drag),
    'wheel': (lambda page: page.wait_for_timeout(200), wheel),
    'wheel again': (lambda page: page.wait_for_timeout(200), wheel),
    'pan, full size': (full_size, drag),
    'keys, full size': (full_size, keys),
    'pan, single pixels': (near, drag),
}


def measure(page: Any, name: str) -> Moved:
    """One gesture with its trace."""
    prepare, gesture = GESTURES[name]
    prepare(page)
    box = page.locator('#viewer').bounding_box()
    session = page.context.new_cdp_session(page)
    events: list[dict[str, Any]] = []
    session.on('Tracing.dataCollected', lambda data: events.extend(data['value']))
    session.send('Tracing.start', {'categories': CATEGORIES, 'transferMode': 'ReportEvents'})
    page.evaluate(NOTE_FRAMES)
    gesture(page, box)
    frames = np.diff(page.evaluate(TAKE_FRAMES))
    ended: list[bool] = []
    session.on('Tracing.tracingComplete', lambda _: ended.append(True))
    session.send('Tracing.end')
    while not ended:
        page.wait_for_timeout(50)
    session.detach()
    return Moved(name, frames, _answer_ms(events), *_tasks_ms(events))


def _main_thread(events: list[dict[str, Any]]) -> set[tuple[int, int]]:
    names = {'CrRendererMain'}
    found = {
        (one['pid'], one['tid'])
        for one in events
        if one['name'] == 'thread_name' and one.get('args', {}).get('name') in names
    }
    # Without their names: those threads that ran scripts of the page.
    return found or {(one['pid'], one['tid']) for one in events if one['name'] == 'FireAnimationFrame'}


def _answer_ms(events: list[dict[str, Any]]) -> np.ndarray:
    """Times from a sign of the hand (the first since the last drawn frame) to the frame that is drawn next."""
    signs = np.sort(
        [
            one['ts']
            for one in events
            if one['name'] == 'EventDispatch' and one['args']['data']['type'] in ('wheel', 'pointermove', 'keydown')
        ]
    )
    drawn = np.sort([one['ts'] for one in events if one['name'] == 'DrawFrame'])
    answers = []
    for before, after in pairwise(drawn):
        new = signs[(signs > before) & (signs <= after)]
        if len(new):
            answers.append((after - new[0]) / 1000.0)
    return np.array(answers)


def _tasks_ms(events: list[dict[str, Any]]) -> tuple[float, float]:
    main = _main_thread(events)
    tasks = [one for one in events if one['name'] == 'RunTask' and (one['pid'], one['tid']) in main]
    wall = max((one.get('dur', 0) for one in tasks), default=0) / 1000.0
    cpu = max((one.get('tdur', 0) for one in tasks), default=0) / 1000.0
    return wall, cpu


def replaced(page: Any, rival: str) -> None:
    """Serve modules of a rival in place of the page's, and its styles after the page's."""

    def answer(route: Any) -> None:
        path = RIVALS / rival / route.request.url.split('/static/')[1].split('?')[0]
        if not path.is_file():
            route.continue_()
        elif path.suffix == '.css':
            own = route.fetch().text()
            route.fulfill(body=own + path.read_text(encoding='utf-8'), content_type='text/css')
        else:
            route.fulfill(body=path.read_text(encoding='utf-8'), content_type='text/javascript')

    page.route('**/static/**', answer)


def run(browser: Any, address: str, rival: str, size: tuple[int, int]) -> list[Moved]:
    """All gestures, in a fresh page."""
    page = browser.new_page(viewport={'width': size[0], 'height': size[1]})
    if rival:
        replaced(page, rival)
    page.goto(address)
    page.wait_for_selector('#stage:not([hidden])')
    page.wait_for_timeout(2000)
    moved = [measure(page, name) for name in GESTURES]
    page.close()
    return moved


def told(rival: str, moved: list[Moved]) -> bool:
    """Print a table; return whether no frame was too long."""
    print(
        f"{rival or 'as it is':24} {'frames':>6} {'median':>7} {'95 %':>7} {'longest':>8} {'answer':>7} {'task':>7} {'its CPU':>8}"
    )
    for one in moved:
        frames, answer = one.frames_ms, one.answer_ms
        longest_answer = answer.max() if len(answer) else float('nan')
        print(
            f"  {one.name:22} {len(frames):6} {np.median(frames):7.1f} {np.percentile(frames, 95):7.1f} "
            f"{frames.max():8.1f} {longest_answer:7.1f} {one.task_ms:7.1f} {one.task_cpu_ms:8.1f}"
        )
    return all(one.frames_ms.max() <= LIMIT_MS for one in moved)


def main() -> int:
    """Measure, print, and judge."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('--marks', type=int, default=300)
    parser.add_argument('--rival', action='append', default=[])
    parser.add_argument('--times', type=int, default=1)
    parser.add_argument('--width', type=int, default=1400)
    parser.add_argument('--height', type=int, default=900)
    options = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        root, path = piece_with_many_marks(Path(folder), options.marks)
        with served(lambda port: create_app(Desk(root, port=port))) as address, launched() as browser:
            good = True
            for _ in range(options.times):
                for rival in ['', *options.rival]:
                    is_good = told(rival, run(browser, address + path, rival, (options.width, options.height)))
                    good = good and (is_good or bool(rival))
                print(f"load of the computer: {json.dumps([round(one, 1) for one in os.getloadavg()])}")
    return 0 if good else 1


if __name__ == '__main__':
    sys.exit(main())

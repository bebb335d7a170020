"""How soon the wall of a large collection is there, from the server and in a browser.

    python -m tests.benchmark.wall_time [--pieces 1000] [--keep FOLDER]

Each piece has three examinations with records of some 150,000 bytes, and a photo. Told are: the first request ever, for
which all records are read; the first one after a start of the program, as on any day; later ones; a search; the first
one after a review; and when Chromium first paints. Fails past the limit of 0.3 s, but for the first request ever.
"""

import argparse
import re
import socket
import statistics
import subprocess
import sys
import tempfile
import time
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from http.cookiejar import CookieJar
from io import BytesIO
from pathlib import Path

from PIL import Image

from grader.collection.index_file import drop_index
from grader.collection.lock import locked
from grader.collection.place import CollectionPlace, create_place, open_place
from tests.support.chromium import launched, missing_reason
from tests.support.examined_pieces import add_examinations, import_pieces, large_record, put_review

_LIMIT_S = 0.3
_N_VISITS = 7
_PAINT_MS = """() => new Promise((tell) => {
  new PerformanceObserver((list) => {
    const [found] = list.getEntriesByName('first-contentful-paint');
    if (found) tell(found.startTime);
  }).observe({ type: 'paint', buffered: true });
})"""


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('--pieces', type=int, default=1000)
    parser.add_argument('--keep', type=Path, help="folder for the collection, used again where it is there")
    given = parser.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        place = filled(given.keep or Path(folder) / 'collection', given.pieces)
        with locked(place, 'benchmark'):
            drop_index(place)
        with server(place) as address:
            told('first request ever, all records read', timed(Asker(address).wall), None)
        with server(place) as address:
            slowest = [measure_server(place, address)]
        if missing_reason() is None:
            with server(place) as address:
                slowest.append(measure_browser(address))
    if max(slowest) > _LIMIT_S:
        sys.exit(f'slower than {_LIMIT_S} s')


def measure_server(place: CollectionPlace, address: str) -> float:
    """Requests one after another; the slowest figure."""
    asker = Asker(address)
    figures = [told('first request after a start', timed(asker.wall))]
    figures.append(told('later ones, median of 15', statistics.median(timed(asker.wall) for _ in range(15))))
    figures.append(told('a search, median of 9', statistics.median(timed(asker.search) for _ in range(9))))
    review_one(place)
    figures.append(told('first request after a review', timed(asker.wall)))
    print(f'{"size of the page":<40} {len(asker.wall()) / 1000:7.1f} kB')
    return max(figures)


def measure_browser(address: str) -> float:
    """First paint by Chromium's own clock, from the start of the navigation; the slowest figure of the wall.

    A page of nothing but text is measured too: below its time no page can be on this machine.
    """
    with launched() as browser:
        times: dict[str, list[float]] = {'help': [], 'first': [], 'later': []}
        for _ in range(_N_VISITS):
            context = browser.new_context(viewport={'width': 1400, 'height': 900})
            page = context.new_page()
            for name, path in (('help', 'help'), ('first', ''), ('later', '')):
                page.goto(address + path, wait_until='load')
                times[name].append(page.evaluate(_PAINT_MS) / 1000)
                page.wait_for_load_state('networkidle')
            n_shown = page.evaluate("document.querySelectorAll('.shelf img').length")
            context.close()
    print(f'{"cards in the first part":<40} {n_shown:7}')
    middle = {name: statistics.median(values) for name, values in times.items()}
    told('first paint of a page of text', middle['help'], None)
    return max(
        told('first paint of the wall, first visit', middle['first']),
        told('first paint of the wall, later visits', middle['later']),
    )


class Asker:
    """Asks as a browser does: with its cookie."""

    def __init__(self, address: str) -> None:
        self._address = address
        self._opener = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        page = self._get('help')
        found = re.search(r'<meta name="csrf" content="([^"]+)">', page)
        assert found is not None
        self._token = found[1]

    def wall(self) -> str:
        """The whole page."""
        text = self._get('')
        assert text.count('<li><a href="/pieces/') > 0
        return text

    def search(self) -> str:
        """A search."""
        data = urllib.parse.urlencode({'words': 'muller', 'csrf': self._token}).encode()
        with self._opener.open(self._address + 'search', data) as answer:
            return str(answer.read().decode())

    def _get(self, path: str) -> str:
        with self._opener.open(self._address + path) as answer:
            return str(answer.read().decode())


def filled(root: Path, n_pieces: int) -> CollectionPlace:
    """Collection of so many pieces."""
    if root.exists():
        return open_place(root)
    place = create_place(root)
    import_pieces(place, n_pieces)
    add_examinations(place)
    for k, folder in enumerate(sorted(place.pieces.iterdir())):
        (folder / 'photos').mkdir(exist_ok=True)
        (folder / 'photos' / 'a.jpg').write_bytes(photo(k))
        path = folder / 'piece.json'
        text = path.read_text(encoding='utf-8')
        named = '"photos": [{"file": "a.jpg", "shows": "", "with_scale": false}]'
        path.write_text(text.replace('"photos": []', named), encoding='utf-8')
    return place


def photo(k: int) -> bytes:
    """A small photo, another for each piece."""
    data = BytesIO()
    Image.new('RGB', (1200, 900), (k % 256, 90, 255 - k % 256)).save(data, 'JPEG')
    return data.getvalue()


def review_one(place: CollectionPlace) -> None:
    """Have a review beside the latest record of the first piece."""
    record_file = max((min(place.pieces.iterdir()) / 'examinations').glob('*/record.json'))
    put_review(record_file, large_record(), 1, 2)


@contextmanager
def server(place: CollectionPlace) -> Iterator[str]:
    """The program, as its user starts it; gives its address."""
    command = [sys.executable, '-m', 'grader', 'serve', '--collection', str(place.root), '--port', '0', '--no-browser']
    start = time.perf_counter()
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, bufsize=1) as process:
        assert process.stdout is not None
        for line in process.stdout:
            found = re.search(r'http://\S+', line)
            if found:
                break
        wait_for(found[0])
        try:
            told('start of the program', time.perf_counter() - start, None)
            yield found[0]
        finally:
            process.terminate()


def wait_for(address: str) -> None:
    """Wait until the server answers: its address is printed a moment before."""
    parts = urllib.parse.urlsplit(address)
    for _ in range(500):
        with suppress(OSError), socket.create_connection((parts.hostname, parts.port)):
            return
        time.sleep(0.01)


def told(name: str, time_s: float, limit_s: float | None = _LIMIT_S) -> float:
    """Print a figure, and give it back."""
    print(f'{name:<40} {time_s:7.3f} s{"" if limit_s is None or time_s <= limit_s else "  TOO SLOW"}', flush=True)
    return time_s


def timed(work: Callable[[], object]) -> float:
    """Seconds that some work takes."""
    start = time.perf_counter()
    work()
    return time.perf_counter() - start


if __name__ == '__main__':
    main()

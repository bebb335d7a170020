"""Pictures of each page at three widths, to be looked at: ``python -m tests.benchmark.page_screenshots OUT``."""

import argparse
import re
import tempfile
from pathlib import Path
from typing import Any

from tests.support.chromium import launched
from tests.support.page_collection import Prepared, prepared_page
from tests.support.page_list import PAGES, STATES, open_page

WIDTHS_PX = (360, 800, 1400)


def take_all(browser: Any, there: Prepared, folder: Path, only: str) -> None:
    """Take each page whose name holds `only`."""
    for name in (*PAGES, *STATES):
        if only not in name:
            continue
        for width in WIDTHS_PX:
            context = browser.new_context(viewport={'width': width, 'height': 900}, reduced_motion='reduce')
            page = context.new_page()
            open_page(page, there, name)
            page.wait_for_load_state('networkidle')
            file = folder / f'{re.sub(r"[^a-z0-9]+", "-", name.lower()).strip("-") or "start"}-{width}.png'
            page.screenshot(path=file, full_page=True)
            print(file)
            context.close()


def main() -> None:
    """Take them."""
    asking = argparse.ArgumentParser(description=__doc__)
    asking.add_argument('out', type=Path, help='folder for the pictures')
    asking.add_argument('--only', default='', help='part of the names of the pages to take')
    wishes = asking.parse_args()
    wishes.out.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as folder, launched() as browser, prepared_page(Path(folder)) as there:
        take_all(browser, there, wishes.out, wishes.only)


if __name__ == '__main__':
    main()

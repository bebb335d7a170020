"""A thousand broken files sent to the page: no fault of ours, nothing left behind, and the page still answers."""

from collections import Counter
from concurrent.futures import Future

import numpy as np
import pytest

from grader.web.desk import Desk
from grader.web.jobs import Jobs
from tests.support.broken_photos import FORMATS, KINDS, broken_body, broken_files, whole
from tests.support.draft_page import AS_SCRIPT, DraftPage
from tests.support.page_client import PageClient

N_FILES, N_BODIES = 850, 150
AT_ONCE = 5
# Some broken files are photos all the same: a decoder forgives a flipped byte, and what is behind a photo's end.
ALLOWED = {201, 422}


class NoJudging(Jobs):
    """Jobs that leave photos unjudged: here it is about taking them in."""

    def submit(self, lane, title, back_to, work, *arguments):
        if lane == 'short':
            return 'never', Future()
        return super().submit(lane, title, back_to, work, *arguments)


@pytest.fixture
def pages(tmp_path):
    page = DraftPage(tmp_path)
    page.desk = Desk(page.place.root, jobs=NoJudging())
    page.client = PageClient(page.desk, raise_server_exceptions=False)
    with page.client:
        yield page


def check_only_named_files(pages):
    """Nothing lies about but the draft's list and what it names."""
    photos = pages.draft.photos
    wanted = [f'drafts/{pages.token}/draft.json']
    wanted += [f'drafts/{pages.token}/photos/{photo.name}' for photo in photos]
    wanted += [f'drafts/{pages.token}/previews/{photo.key}.jpg' for photo in photos]
    assert pages.files() == sorted(wanted)


def begin_anew(pages):
    """Throw the photos that came in away, and begin once more."""
    assert pages.client.post(f'{pages.address}/discard').status_code == 303
    assert pages.files() == []
    pages.address = pages.begin()


def test_a_thousand_broken_files(pages):
    told: Counter[tuple[str, bool]] = Counter()
    files = list(broken_files(N_FILES))
    for k in range(0, N_FILES, AT_ONCE):
        some = files[k : k + AT_ONCE]
        answer = pages.send(*((one.name, one.data) for one in some))
        assert answer.status_code in ALLOWED, (answer.status_code, some)
        facts = answer.json()
        assert len(facts['taken']) + len(facts['refused']) == len(some)
        assert all(one['problem'].startswith(one['name']) and one['remedy'] for one in facts['refused'])
        told['taken', True] += len(facts['taken'])
        told['refused', False] += len(facts['refused'])
        check_only_named_files(pages)
        if len(pages.draft.photos) > 40:
            begin_anew(pages)
    assert told.total() == N_FILES
    assert told['refused', False] > N_FILES / 2
    rng = np.random.default_rng(7)
    for _ in range(N_BODIES):
        answer = pages.client.post(
            f'{pages.address}/photos',
            content=broken_body(rng, 'edge'),
            headers=AS_SCRIPT | {'Content-Type': 'multipart/form-data; boundary=edge'},
        )
        assert answer.status_code in ALLOWED | {413}, answer.text
        check_only_named_files(pages)
    begin_anew(pages)
    assert pages.client.get(pages.address).status_code == 200
    assert pages.send(('good.jpg', whole('JPEG'))).status_code == 201


@pytest.mark.parametrize('kind', FORMATS)
def test_the_files_that_are_broken_were_in_order_before(pages, kind):
    assert pages.send((f'good.{kind.lower()}', whole(kind))).status_code == 201


def test_the_generator_gives_all_kinds_and_always_the_same():
    once, twice = list(broken_files(50)), list(broken_files(50))
    assert once == twice
    assert {one.kind for one in once} == {kind.__name__ for kind in KINDS}

"""The application as such: pages, faults in words, nothing of a traceback."""

import pytest

from grader.web.desk import Desk
from tests.support.page_client import PageClient


@pytest.fixture
def client(tmp_path):
    with PageClient(Desk(tmp_path / 'glass')) as made:
        yield made


def test_help_tells_the_cautions(client):
    answer = client.get('/help')
    assert answer.status_code == 200
    assert "A dome in sunlight can start a fire" in answer.text


def test_an_unknown_address_is_told_in_words(client):
    answer = client.get('/nowhere/at/all')
    assert answer.status_code == 404
    assert "There is no page at this address." in answer.text


def test_an_unknown_job_is_told_as_page_and_as_json(client):
    assert "no such job" in client.get('/jobs/unknown').text
    answer = client.get('/jobs/unknown.json')
    assert answer.status_code == 404
    assert answer.json()['remedy'].startswith("Go to the collection")


@pytest.mark.parametrize('name', ['page.css', 'job.js', 'mark.svg'])
def test_static_files_are_there(client, name):
    assert client.get(f'/static/{name}').status_code == 200


@pytest.mark.parametrize('name', ['../app.py', '%2e%2e/app.py', '..%2fapp.py', '/etc/passwd'])
def test_static_files_do_not_lead_out_of_their_folder(client, name):
    assert client.get(f'/static/{name}').status_code in (400, 404)


def test_static_files_are_kept_under_the_address_of_their_contents(client):
    address = next(part for part in client.get('/help').text.split('"') if part.startswith('/static/page.css?'))
    assert client.get(address).headers['cache-control'] == 'private, max-age=31536000, immutable'
    assert client.get('/static/page.css').headers['cache-control'] == 'no-store'

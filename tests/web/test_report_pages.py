"""Reports fetched from the page: the same as those of the commands, under names that every disk takes."""

import pytest

from grader.collection.comparisons import comparisons_of
from grader.review.acts import Reject
from grader.web.attachments import disposition, file_name
from grader.web.desk import Desk
from tests.support.kept_piece import examination_folder, kept_piece, say
from tests.support.page_client import PageClient
from tests.support.run_grader import run_grader


@pytest.fixture(scope='module')
def kept(tmp_path_factory):
    return kept_piece(tmp_path_factory.mktemp('kept'))


@pytest.fixture(scope='module')
def client(kept):
    with PageClient(Desk(kept.place.root)) as made:
        yield made


def test_the_condition_report_is_that_of_the_command(client, kept, tmp_path):
    say(kept, 1, Reject(mark=1), reason="only a reflection")
    answer = client.get(f'{kept.address}/examinations/1/report.pdf')
    assert (answer.status_code, answer.headers['content-type']) == (200, 'application/pdf')
    assert answer.headers['content-disposition'].startswith(
        'attachment; filename="Amber swirl, condition report 1.pdf"'
    )
    folder = examination_folder(kept, 1)
    run = run_grader('report', 'condition', folder, '--piece', kept.folder, '--out', tmp_path / 'a.pdf')
    assert run.code == 0, run.err
    assert answer.content == (tmp_path / 'a.pdf').read_bytes()
    page = client.get(f'{kept.address}/examinations/1/report.html')
    assert "only a reflection" in page.text
    assert page.headers['content-disposition'].startswith('attachment; ')


@pytest.mark.parametrize('name', ['journey', 'purchase'])
def test_reports_of_a_comparison_are_those_of_the_commands(client, kept, tmp_path, name):
    answer = client.get(f'{kept.address}/comparisons/1/{name}.pdf')
    assert (answer.status_code, answer.headers['content-type']) == (200, 'application/pdf')
    options = [word for k in (1, 2) for word in ('--photos', examination_folder(kept, k) / 'photos')]
    folder = comparisons_of(kept.folder)[0].folder
    run = run_grader('report', name, folder, *options, '--piece', kept.folder, '--out', tmp_path / 'a.pdf')
    assert run.code == 0, run.err
    assert answer.content == (tmp_path / 'a.pdf').read_bytes()


def test_other_reports_are_not_there(client, kept):
    assert client.get(f'{kept.address}/comparisons/1/theft.pdf').status_code == 404
    assert client.get(f'{kept.address}/comparisons/8/journey.pdf').status_code == 422
    assert client.get(f'{kept.address}/examinations/8/report.pdf').status_code == 422


def test_missing_photos_are_told(client, kept):
    photo = examination_folder(kept, 2) / 'photos' / 'a.jpg'
    data = photo.read_bytes()
    photo.unlink()
    try:
        answer = client.get(f'{kept.address}/examinations/2/report.pdf')
    finally:
        photo.write_bytes(data)
    assert answer.status_code == 422
    assert 'a.jpg' in answer.text


@pytest.mark.parametrize(
    ('title', 'plain'),
    [
        ('Amber swirl', 'Amber swirl, x.pdf'),
        ('Ä"b; c\r\nSet-Cookie: a=b', 'A_b_ c Set-Cookie_ a_b, x.pdf'),
        ('青い花', ', x.pdf'),
        ('../../etc/passwd', '.._.._etc_passwd, x.pdf'),
        ('', 'Piece, x.pdf'),
        ('q' * 500, f'{"q" * 80}, x.pdf'),
    ],
)
def test_no_title_breaks_the_header_or_the_name(kept, title, plain):
    piece = kept.piece.piece.model_copy(update={'title': title, 'type_of_object': ''})
    header = disposition(file_name(piece, 'x', '.pdf'))
    assert header.startswith(f'attachment; filename="{plain}"; filename*=UTF-8\'\'')
    assert header.isascii() and header.isprintable()

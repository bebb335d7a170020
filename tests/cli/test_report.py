"""``grader report``: files, words and exit codes."""

import pytest

from grader.exit_codes import ExitCode
from tests.support.compared_sides import usual_compared
from tests.support.example_photos import demo_photos
from tests.support.report_pages import all_text, check_pages, examined_piece, photo_array, png_bytes
from tests.support.run_grader import run_as_process, run_grader


@pytest.fixture
def look(tmp_path):
    """Examination's folder, with the photo beside it."""
    folder = tmp_path / 'photos' / 'first-look'
    folder.mkdir(parents=True)
    (folder / 'record.json').write_text(examined_piece(2).record.to_json(), encoding='utf-8')
    (folder.parent / 'a.jpg').write_bytes(png_bytes(photo_array()))
    return folder


def test_pdf_and_page_are_written(look, tmp_path):
    out, html = tmp_path / 'made' / 'report.pdf', tmp_path / 'report.html'
    run = run_grader('report', 'condition', look, '--out', out, '--html', html, '--paper', 'letter')
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert run.out.startswith(f"Report:  {out}\nPage:    {html}\nNumber:  CR-")
    check_pages(out.read_bytes(), 'letter')
    page = html.read_text(encoding='utf-8')
    number = run.out.split()[-1]
    assert number in page
    assert number in all_text(out.read_bytes())
    assert 'src="data:image/jpeg;base64,' in page
    assert 'http' not in page


def test_runs_as_a_process_and_gives_the_same_bytes(look, tmp_path):
    for name in ('one.pdf', 'two.pdf'):
        run = run_as_process('report', 'condition', look, '--out', tmp_path / name, '--when', '2026-03-10T10:09')
        assert run.code == ExitCode.DONE, run.err
    assert (tmp_path / 'one.pdf').read_bytes() == (tmp_path / 'two.pdf').read_bytes()
    assert "CONDITION REPORT · 2026-03-10, 10:09" in all_text((tmp_path / 'one.pdf').read_bytes())


def test_a_piece_of_the_collection_names_it(look, tmp_path):
    run_grader('collection', 'create', tmp_path / 'glass')
    run = run_grader('collection', 'add', '--collection', tmp_path / 'glass', '--set', 'title=Лесной ручей')
    assert run.code == ExitCode.DONE, run.err
    piece = next((tmp_path / 'glass' / 'pieces').iterdir())
    out = tmp_path / 'report.pdf'
    run = run_grader('report', 'condition', look, '--out', out, '--piece', piece)
    assert run.code == ExitCode.DONE, run.err
    assert "Лесной ручей" in all_text(out.read_bytes())


def test_a_changed_photo_is_refused(look, tmp_path):
    photo = look.parent / 'a.jpg'
    photo.write_bytes(photo.read_bytes()[:-1] + b'x')
    run = run_grader('report', 'condition', look, '--out', tmp_path / 'report.pdf')
    assert run.code == ExitCode.PHOTO_SET
    assert "a.jpg: " in run.err
    assert "has changed since it was examined" in run.err
    assert not (tmp_path / 'report.pdf').exists()


def test_photos_elsewhere_are_named(look, tmp_path):
    elsewhere = tmp_path / 'elsewhere'
    elsewhere.mkdir()
    (look.parent / 'a.jpg').rename(elsewhere / 'renamed.jpg')
    assert run_grader('report', 'condition', look, '--out', tmp_path / 'a.pdf').code == ExitCode.PHOTO_SET
    run = run_grader('report', 'condition', look, '--out', tmp_path / 'a.pdf', '--photos', elsewhere)
    assert run.code == ExitCode.DONE, run.err


@pytest.mark.parametrize(
    ('change', 'code', 'words'),
    [
        (('--paper', 'a5'), ExitCode.SETTINGS, "--paper a5: this paper is not known. Papers are a4 and letter."),
        (('--when', 'soon'), ExitCode.SETTINGS, "\"soon\" is not a date and time"),
        (('--piece', 'nowhere'), ExitCode.FILE_UNREADABLE, "nowhere/piece.json: it cannot be opened"),
    ],
    ids=['paper', 'time', 'piece'],
)
def test_wrong_options_are_told(look, tmp_path, change, code, words):
    run = run_grader('report', 'condition', look, '--out', tmp_path / 'report.pdf', *change)
    assert (run.code, words in run.err) == (code, True), run.err


def test_a_missing_record_and_a_file_that_is_there_are_told(look, tmp_path):
    run = run_grader('report', 'condition', tmp_path, '--out', tmp_path / 'report.pdf')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "record.json: the record cannot be opened" in run.err
    (tmp_path / 'report.pdf').write_bytes(b'mine')
    run = run_grader('report', 'condition', look, '--out', tmp_path / 'report.pdf')
    assert run.code == ExitCode.OUTPUT
    assert (tmp_path / 'report.pdf').read_bytes() == b'mine'
    assert run_grader('report', 'condition', look, '--out', look.parent / 'a.jpg', '--force').code == ExitCode.OUTPUT


@pytest.fixture(scope='module')
def compared(tmp_path_factory):
    """Comparison's folder; the photos lie in the folder of the shipped ones."""
    folder = tmp_path_factory.mktemp('made') / 'compared'
    folder.mkdir()
    (folder / 'comparison.json').write_text(usual_compared().comparison.to_json(), encoding='utf-8')
    return folder


@pytest.mark.parametrize(('command', 'prefix'), [('journey', 'BA'), ('purchase', 'LA')])
def test_a_comparison_becomes_a_report(compared, tmp_path, command, prefix):
    box = tmp_path / 'box.png'
    box.write_bytes(png_bytes(photo_array()))
    out = tmp_path / 'report.pdf'
    run = run_grader('report', command, compared, '--out', out, '--html', tmp_path / 'report.html', '--packing', box,
                     '--photos', demo_photos()[0].parent, '--event', '2026-03-02 handed over at the counter')  # fmt: skip
    assert (run.code, run.err) == (ExitCode.DONE, '')
    assert f"Number:  {prefix}-" in run.out
    text = all_text(out.read_bytes())
    for told in ("handed over at the counter", "as the user states", "box.png", "what they say goes before this list"):
        assert told in text
    assert "handed over at the counter" in (tmp_path / 'report.html').read_text(encoding='utf-8')


def test_an_event_without_a_date_and_missing_photos_are_told(compared, tmp_path):
    run = run_grader('report', 'journey', compared, '--out', tmp_path / 'a.pdf', '--event', 'posted')
    assert run.code == ExitCode.SETTINGS
    assert "--event \"posted\": a date and what happened are needed." in run.err
    run = run_grader('report', 'journey', compared, '--out', tmp_path / 'a.pdf')
    assert run.code == ExitCode.PHOTO_SET
    assert "demo-coaxial.jpg: not found." in run.err
    run = run_grader('report', 'journey', tmp_path, '--out', tmp_path / 'a.pdf')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "the comparison cannot be opened" in run.err


def test_a_schedule_lists_all_pieces(tmp_path):
    glass = tmp_path / 'glass'
    run_grader('collection', 'create', glass)
    photo = tmp_path / 'photo.png'
    photo.write_bytes(png_bytes(photo_array()))
    add = ('collection', 'add', '--collection', glass)
    run_grader(*add, '--set', 'title=Лесной ручей', '--set', 'value=1250.50 EUR', '--photo', photo)
    run_grader(*add, '--set', 'title=硝子の庭', '--set', 'value=10.10 EUR', '--set', 'place_kept=bank')
    out = tmp_path / 'schedule.pdf'
    run = run_grader(
        'report', 'schedule', '--collection', glass, '--out', out, '--owner', 'Ž. Š.', '--when', '2026-03-10'
    )
    assert run.code == ExitCode.DONE, run.err
    check_pages(out.read_bytes(), 'a4')
    text = all_text(out.read_bytes())
    for told in ('Лесной ручей', '硝子の庭', '1,260.60 EUR', 'The collection of Ž. Š.', '2 pieces', 'no photo'):
        assert told in text
    assert 'bank' not in text


def test_a_bad_photo_is_told_and_ends_nothing(tmp_path):
    glass = tmp_path / 'glass'
    run_grader('collection', 'create', glass)
    (tmp_path / 'bad.jpg').write_bytes(b'no photo')
    run_grader('collection', 'add', '--collection', glass, '--set', 'title=One', '--photo', tmp_path / 'bad.jpg')
    run = run_grader('report', 'schedule', '--collection', glass, '--out', tmp_path / 'schedule.pdf')
    assert run.code == ExitCode.DONE
    assert "bad.jpg: the photo cannot be read." in run.err


def test_a_piece_that_cannot_be_read_stops_a_schedule(tmp_path):
    glass = tmp_path / 'glass'
    run_grader('collection', 'create', glass)
    run_grader('collection', 'add', '--collection', glass, '--set', 'title=One')
    next((glass / 'pieces').glob('*/piece.json')).write_text('{')
    run = run_grader('report', 'schedule', '--collection', glass, '--out', tmp_path / 'schedule.pdf')
    assert run.code == ExitCode.FILE_UNREADABLE
    assert "a schedule must not leave any out" in run.err
    run = run_grader('report', 'schedule', '--collection', tmp_path, '--out', tmp_path / 'schedule.pdf')
    assert run.code == ExitCode.NOT_IN_COLLECTION


def test_a_review_stands_beside_the_findings(look, tmp_path):
    said = ('--initials', 'AB', '--when', '2026-03-11T09:00')
    run = run_grader('review', look / 'record.json', 'reject', '1', '--reason', 'a reflection', *said)
    assert run.code == ExitCode.DONE, run.err
    out = tmp_path / 'report.pdf'
    run = run_grader('report', 'condition', look, '--out', out)
    assert run.code == ExitCode.DONE, run.err
    check_pages(out.read_bytes(), 'a4')
    text = all_text(out.read_bytes())
    for told in ("What a person says of the marks", "rejected by AB: a reflection", "reviewed by AB", "review.json"):
        assert told in text, told
    assert "As found: " in text

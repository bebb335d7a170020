"""What others wrote does not write over the screen."""

import pytest

from grader.commands.printable import printable
from tests.support.run_grader import run_grader
from tests.support.sample_record import sample_record


@pytest.mark.parametrize(
    ('text', 'shown'),
    [
        ('71.03 mm ± 0.62 mm\n\nBlüte', '71.03 mm ± 0.62 mm\n\nBlüte'),
        ('a\x1b[2Jb\nc', 'a\\u001b[2Jb\nc'),
        ('\u202egpj.exe', '\\u202egpj.exe'),
        ('a\rb\x9b31m', 'a\\u000db\\u009b31m'),
    ],
    ids=['plain', 'escape', 'direction', 'C1'],
)
def test_printable(text, shown):
    assert printable(text) == shown


def test_a_record_with_control_signs_is_shown_without(tmp_path):
    path = tmp_path / 'record.json'
    path.write_text(sample_record(photo='a\x1b]0;x\x07.jpg').to_json(), encoding='utf-8')
    run = run_grader('show', path)
    assert run.code == 0
    assert '\\u001b]0;x\\u0007.jpg' in run.out
    assert '\x1b' not in run.out


def test_a_table_with_control_signs_in_its_header(tmp_path):
    run_grader('collection', 'create', tmp_path / 'glass')
    (tmp_path / 'in.csv').write_text('title,a\x1b[2J\nx,y\n', encoding='utf-8')
    run = run_grader('collection', 'import', tmp_path / 'in.csv', '--collection', tmp_path / 'glass')
    assert run.code == 13
    assert 'a\\u001b[2j' in run.err.lower()
    assert '\x1b' not in run.err

"""What README says about commands, options and exit codes is what the program does."""

import re
import shlex
import subprocess
import sys

import pytest

from grader.cli import COMMANDS as COMMAND_PLACES
from grader.cli import CommandPlace, GroupPlace
from grader.exit_codes import ExitCode
from grader.grade.rules import CURRENT_RULES, load_rules
from tests.support.example_photos import demo_photos
from tests.support.run_grader import ROOT, run_grader

README = (ROOT / 'README.md').read_text(encoding='utf-8')
COMMANDS = re.findall(r'^  (\w+)', run_grader('--help').out.partition('Commands:')[2], re.MULTILINE)


GROUPS = {name: place.commands for name, place in COMMAND_PLACES.items() if isinstance(place, GroupPlace)}
SINGLE_COMMANDS = {
    **{name: place for name, place in COMMAND_PLACES.items() if isinstance(place, CommandPlace)},
    **{f'{group} {name}': place for group, places in GROUPS.items() for name, place in places.items()},
}


@pytest.mark.parametrize('name', SINGLE_COMMANDS)
def test_summaries_are_those_of_the_commands(name):
    place = SINGLE_COMMANDS[name]
    assert place.load().__doc__.splitlines()[0] == place.summary


@pytest.mark.parametrize('group', GROUPS)
def test_each_command_of_a_group_has_help(group):
    for name in GROUPS[group]:
        assert f'Usage: grader {group} {name} ' in run_grader(group, name, '--help').out


def test_help_needs_none_of_the_libraries_of_the_work():
    code = "import sys, grader.cli; print({'cv2', 'numpy', 'scipy', 'PIL', 'pydantic'} & set(sys.modules))"
    run = subprocess.run([sys.executable, '-c', code], capture_output=True, text=True, cwd=ROOT, check=True)
    assert run.stdout == 'set()\n'


def test_help_lists_commands():
    assert {'card', 'examine', 'batch', 'marks', 'calibrate', 'show', 'demo'} <= set(COMMANDS)


@pytest.mark.parametrize('command', COMMANDS)
def test_each_command_has_help_and_a_place_in_readme(command):
    run = run_grader(command, '--help')
    assert run.code == 0
    assert 'Usage: grader' in run.out
    assert f'grader {command}' in README


def test_each_command_in_readme_exists_with_its_options():
    spans = re.findall(r'`(grader [^`]+)`', README) + re.findall(r'^(?:.*/)?(grader .+)$', README, re.MULTILINE)
    named = [span.split() for span in spans if re.match(r'grader [a-z]+', span)]
    assert len(named) > 6
    for words in named:
        assert words[1] in COMMANDS, words
        within = words[2:3] if words[1] in GROUPS and words[2:3] else []
        assert not within or within[0] in GROUPS[words[1]], words
        help_text = run_grader(words[1], *within, '--help').out
        for option in re.findall(r'--[a-z-]+', ' '.join(words)):
            assert option in help_text, (words, option)


def test_options_in_the_table_of_examine_exist():
    options = re.findall(r'^\| `(--[a-z-]+)', README, re.MULTILINE)
    help_text = run_grader('examine', '--help').out
    assert len(options) > 5
    assert [option for option in options if option not in help_text] == []


def test_exit_codes_are_those_of_the_program():
    listed = {int(code) for code in re.findall(r'^\| (\d+) \|', README, re.MULTILINE)}
    assert listed == {int(code) for code in ExitCode}


def test_examples_run(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv('XDG_CONFIG_HOME', str(tmp_path / 'settings'))
    monkeypatch.setenv('HOME', str(tmp_path))
    for name, photo in zip(('IMG_0412.JPG', 'IMG_0413.JPG'), demo_photos(), strict=True):
        (tmp_path / name).write_bytes(photo.read_bytes())
    examples = re.findall(r'^(grader .+)$', README, re.MULTILINE)
    assert len(examples) >= 2
    for example in examples:
        run = run_grader(*shlex.split(example)[1:])
        assert run.code == 0, (example, run.err)
    assert (tmp_path / 'first-look' / 'IMG_0412.marked.jpg').exists()


def test_words_for_the_condition_are_those_of_the_rules():
    words = ', '.join(band.name for band in load_rules(CURRENT_RULES).bands)
    assert f'from the best: {words}.' in ' '.join(README.split())


def test_changes_keep_the_heading_for_grades_and_millimetres():
    releases = re.split(r'^### ', README.partition('\n## Changes\n')[2], flags=re.MULTILINE)[1:]
    assert releases
    assert all('\n#### May alter a grade or a millimetre\n' in release for release in releases)


def test_links_lead_somewhere():
    targets = re.findall(r'\]\(([^)#]+)\)', README)
    assert targets
    assert [target for target in targets if not (ROOT / target).exists()] == []

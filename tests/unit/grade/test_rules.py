"""Rules are read strictly, and a fault in them is told with its place."""

from importlib.resources import files

import pytest

from grader.errors import SettingsInvalid
from grader.flags import FLAGS
from grader.grade.rules import CURRENT_RULES, load_rules, parse_rules

TEXT = (files('grader.grade') / 'rules_v1.toml').read_text(encoding='utf-8')


def test_current_rules_load():
    rules = load_rules()
    assert rules.version == CURRENT_RULES
    assert len(rules.bands) == 5


def test_flags_that_widen_are_in_the_table():
    assert set(load_rules().doubt.unseen_by_flag) <= set(FLAGS)


def test_readme_names_every_band_and_limit():
    readme = (files('grader.grade') / 'README.md').read_text(encoding='utf-8')
    for band in load_rules().bands:
        assert f"| {band.name} | {band.from_score:g} | {band.meaning} |" in readme


def test_unknown_version_is_refused_with_the_known_ones():
    with pytest.raises(SettingsInvalid, match=r"no grade rules of version 'v0'. Choose one of: v1"):
        load_rules('v0')


@pytest.mark.parametrize(
    ('old', 'new', 'message'),
    [
        ("version = 'v1'", "version = 'v1'\nmood = 1", 'mood: Extra inputs are not permitted'),
        ('from_score = 80.0', 'from_score = 95.0', 'bands must go from best to worst and end at 0'),
        ("name = 'damaged'", "name = 'clean'", 'bands must have different names'),
        ('size_power = 1.0', "size_power = 'big'", 'kinds.chip.size_power: Input should be a valid number'),
        ('[0.35, 1.0]', '[0.35, 0.2]', 'weights_by_radius must go outwards and not rise'),
        ('rim = 0.55', 'foot = 0.55', 'weights_by_zone must name crown, shoulder, rim'),
        ('tail_ratio = 0.025', 'tail_ratio = nan', 'doubt.tail_ratio: Input should be a finite number'),
        ('[place]', '[place', 'is not valid TOML'),
    ],
    ids=['unknown key', 'order', 'names', 'type', 'rising weight', 'zones', 'nan', 'syntax'],
)
def test_faults_are_told_with_their_place(old, new, message):
    assert old in TEXT
    with pytest.raises(SettingsInvalid) as caught:
        parse_rules(TEXT.replace(old, new), 'mine.toml')
    assert 'mine.toml' in str(caught.value)
    assert message in str(caught.value)


@pytest.mark.parametrize(('score', 'index'), [(100.0, 0), (95.0, 0), (94.99, 1), (25.0, 3), (24.9, 4), (-1e-12, 4)])
def test_band_of_a_score(score, index):
    assert load_rules().band_index(score) == index


def test_band_of_no_number_is_refused():
    with pytest.raises(ValueError, match='score must be finite'):
        load_rules().band_index(float('nan'))


def test_readme_tells_the_prices():
    readme = (files('grader.grade') / 'README.md').read_text(encoding='utf-8')
    kinds = load_rules().kinds
    for words, cost in (
        ('chip, ', kinds.chip),
        ('bruise ', kinds.bruise),
        ('bubble ', kinds.bubble),
        ('scratch, ', kinds.scratch),
    ):
        (line,) = [line for line in readme.splitlines() if line.startswith(f"| {words}")]
        assert line.endswith(f"| {cost.cost_points:g} points |")

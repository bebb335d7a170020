"""The import statements keep to the arrows: what is on the left never imports what is on the right."""

import ast
import sys
import tomllib
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# calib <- photos <- outline <- marks, size <- grade <- record <- pipeline, report <- evidence <- commands, cli
# Parts of one rank do not know each other.
RANKS = (
    ('calib',),
    ('grader.version', 'grader.errors', 'grader.flags', 'grader.constants', 'grader.settings', 'grader.progress',
     'grader.exit_codes', 'grader.opencv_pin'),
    ('grader.output',),
    ('grader.photos',),
    ('grader.outline',),
    ('grader.marks', 'grader.size'),
    ('grader.quality',),
    ('grader.grade',),
    ('grader.findings',),
    ('grader.sets',),
    ('grader.compare',),
    ('grader.record_parts',),
    ('grader.quality_facts',),
    ('grader.record',),
    ('grader.comparison',),
    ('grader.comparison_words',),
    ('grader.record_build',),
    ('grader.review',),
    ('grader.comparison_changes',),
    ('grader.comparison_build',),
    ('grader.collection',),
    ('grader.study',),
    ('grader.pipeline', 'grader.report'),
    ('grader.evidence',),
    ('grader.checking', 'grader.side_photos'),
    ('grader.compare_sides',),
    ('grader.documents',),
    ('grader.commands',),
    ('grader.web',),
    ('grader.cli',),
    ('grader.__main__',),
)  # fmt: skip
# These may know one another.
GROUND_RANK = 1
# No part above may know these: they print, exit or write files.
ONLY_FOR_COMMANDS = ('grader.output', 'grader.exit_codes', 'grader.commands', 'grader.cli', 'typer')
# Parts that never see pixels.
BLIND = ('grader.grade', 'grader.report.wording', 'grader.comparison_words')
PIXEL_PACKAGES = ('cv2', 'PIL', 'skimage', 'pillow_heif')

SOURCES = sorted((ROOT / 'calib').rglob('*.py')) + sorted((ROOT / 'grader').rglob('*.py'))


def module_name(path: Path) -> str:
    parts = path.relative_to(ROOT).with_suffix('').parts
    return '.'.join(parts[:-1] if parts[-1] == '__init__' else parts)


def imports_of(path: Path) -> list[tuple[str, bool]]:
    """Full name of each imported module, and whether the statement stands at the top level of the file."""
    tree = ast.parse(path.read_text(encoding='utf-8'))
    found = []
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            found += [(alias.name, node in tree.body) for alias in node.names]
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f'{path}: relative import'
            found.append((str(node.module), node in tree.body))
    return found


def rank_of(module: str) -> tuple[int, str] | None:
    for rank, parts in enumerate(RANKS):
        for part in parts:
            if module == part or module.startswith(part + '.'):
                return rank, part
    return None


@pytest.mark.parametrize('path', SOURCES, ids=module_name)
def test_imports_follow_the_arrows(path):
    own = rank_of(module_name(path))
    if module_name(path) == 'grader':
        assert imports_of(path) == []
        return
    assert own is not None, f'{module_name(path)} has no place among the arrows: add it to RANKS'
    for imported, _ in imports_of(path):
        other = rank_of(imported)
        if other is None:
            assert imported.split('.')[0] not in ('calib', 'grader'), f'{imported} has no place among the arrows'
            continue
        same_part = other[1] == own[1]
        both_ground = own[0] == other[0] == GROUND_RANK
        assert other[0] < own[0] or same_part or both_ground, f'{module_name(path)} must not import {imported}'


@pytest.mark.parametrize('path', SOURCES, ids=module_name)
def test_imports_stand_at_the_top(path):
    hidden = [name for name, at_top in imports_of(path) if not at_top]
    assert hidden == []


@pytest.mark.parametrize('path', SOURCES, ids=module_name)
def test_only_commands_print_exit_and_write(path):
    name = module_name(path)
    if name.startswith(
        ('grader.commands', 'grader.web', 'grader.cli', 'grader.__main__', 'grader.output', 'grader.exit_codes')
    ):
        return
    for imported, _ in imports_of(path):
        assert not imported.startswith(ONLY_FOR_COMMANDS), f'{name} must not import {imported}'
    calls = [node.func.id for node in ast.walk(ast.parse(path.read_text(encoding='utf-8')))
             if isinstance(node, ast.Call) and isinstance(node.func, ast.Name)]  # fmt: skip
    assert not {'print', 'exit', 'quit', 'input'} & set(calls)


@pytest.mark.parametrize('path', SOURCES, ids=module_name)
def test_grade_and_words_never_see_pixels(path):
    name = module_name(path)
    if name.startswith(BLIND):
        assert not [one for one, _ in imports_of(path) if one.split('.')[0] in PIXEL_PACKAGES]


def test_each_imported_package_is_a_declared_dependency():
    project = tomllib.loads((ROOT / 'pyproject.toml').read_text(encoding='utf-8'))['project']
    declared = {entry.split('>')[0].split('=')[0].lower() for entry in project['dependencies']}
    distribution = {
        'cv2': 'opencv-python-headless',
        'PIL': 'pillow',
        'pillow_heif': 'pillow-heif',
        'python_multipart': 'python-multipart',
        'skimage': 'scikit-image',
    }
    used = {one.split('.')[0] for path in SOURCES for one, _ in imports_of(path)}
    foreign = used - set(sys.stdlib_module_names) - {'calib', 'grader'}
    assert {distribution.get(name, name) for name in foreign} == declared


@pytest.mark.parametrize(
    ('module', 'imported', 'allowed'),
    [
        ('grader.outline.see_dome', 'grader.photos.load', True),
        ('grader.photos.load', 'grader.outline.see_dome', False),
        ('calib.card_fit', 'grader.errors', False),
        ('grader.marks.find_marks', 'grader.size.diameter', False),
    ],
)
def test_the_ranks_themselves(module, imported, allowed):
    own, other = rank_of(module), rank_of(imported)
    assert (other[0] < own[0] or other[1] == own[1]) is allowed

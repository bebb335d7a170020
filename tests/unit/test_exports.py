"""The public surface is kept on purpose: an ``__init__`` re-exports what is listed here, and nothing else."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
EXPORTS: dict[str, tuple[str, ...]] = {}
PACKAGES = sorted([*(ROOT / 'calib').rglob('__init__.py'), *(ROOT / 'grader').rglob('__init__.py')])


@pytest.mark.parametrize('path', PACKAGES, ids=lambda path: str(path.parent.relative_to(ROOT)))
def test_init_files_only_re_export(path):
    tree = ast.parse(path.read_text(encoding='utf-8'))
    assert ast.get_docstring(tree), 'says what the package is for'
    statements = tree.body[1:]
    assert all(isinstance(node, ast.ImportFrom | ast.Assign) for node in statements)
    names = tuple(
        alias.asname or alias.name for node in statements if isinstance(node, ast.ImportFrom) for alias in node.names
    )
    assert names == EXPORTS.get('.'.join(path.parent.relative_to(ROOT).parts), ())


def test_each_folder_of_modules_is_a_package():
    folders = {path.parent for top in ('calib', 'grader') for path in (ROOT / top).rglob('*.py')}
    assert [folder for folder in sorted(folders) if not (folder / '__init__.py').exists()] == []

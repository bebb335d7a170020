"""Each number in a constants.py says where it comes from."""

import ast
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
FILES = sorted([*(ROOT / 'calib').rglob('constants.py'), *(ROOT / 'grader').rglob('constants.py')])


def comment_above(lines: list[str], row: int) -> str:
    """Block of comment that ends on the line before `row` (counted from 0), seen through other constants."""
    block: list[str] = []
    row -= 1
    while row >= 0 and lines[row].strip() and not lines[row].lstrip().startswith('#'):
        row -= 1
    while row >= 0 and lines[row].lstrip().startswith('#'):
        block.insert(0, lines[row].strip())
        row -= 1
    return '\n'.join(block)


@pytest.mark.parametrize('path', FILES, ids=lambda path: str(path.relative_to(ROOT)))
def test_each_constant_has_a_source(path):
    text = path.read_text(encoding='utf-8')
    lines, tree = text.splitlines(), ast.parse(text)
    for at, node in enumerate(tree.body):
        if not isinstance(node, ast.Assign | ast.AnnAssign):
            continue
        comment = comment_above(lines, node.lineno - 1)
        after = tree.body[at + 1] if at + 1 < len(tree.body) else None
        if isinstance(after, ast.Expr) and isinstance(after.value, ast.Constant):
            comment += str(after.value.value)
        assert 'Source:' in comment, f'{path.name}, line {node.lineno}: {lines[node.lineno - 1]}'

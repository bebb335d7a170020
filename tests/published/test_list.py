"""README.md lists every file of tests here, and none that is not there."""

import re
from pathlib import Path

HERE = Path(__file__).parent


def test_the_list_is_whole():
    listed = set(re.findall(r'`(test_\w+\.py)`', (HERE / 'README.md').read_text('utf-8')))
    assert listed == {path.name for path in HERE.glob('test_*.py')} - {Path(__file__).name}

"""Names of result files: short, and each used once."""

import pytest

from grader.commands.results import unlike_stems


@pytest.mark.parametrize(
    ('names', 'stems'),
    [
        ([], []),
        (['a.jpg', 'b.jpg'], ['a', 'b']),
        (['a.jpg', 'a.png'], ['a.jpg', 'a.png']),
        (['A.jpg', 'a.png'], ['A.jpg', 'a.png']),
        (['a.jpg', 'a.jpg'], ['a.jpg', 'a.jpg-2']),
        (['a.jpg', 'a.png', 'a.jpg.tif'], ['a.jpg', 'a.png', 'a.jpg-2']),
        (['.jpg'], ['.jpg']),
    ],
    ids=str,
)
def test_unlike_stems(names, stems):
    assert unlike_stems(names) == stems

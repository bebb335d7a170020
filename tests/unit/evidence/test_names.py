"""Names that any disk takes, and names that lead astray."""

import pytest

from grader.evidence.names import clash_key, clashing, path_fault, portable_name, portable_names, shown


@pytest.mark.parametrize(
    ('name', 'expected'),
    [
        ('IMG_0412.JPG', 'IMG_0412.JPG'),
        ('Schneekugel über Köln.jpg', 'Schneekugel über Köln.jpg'),
        ('u\u0308ber.jpg', 'über.jpg'),
        ('文鎮.jpg', '文鎮.jpg'),
        ('😀👍🏽.jpg', '😀👍🏽.jpg'),
        ('a\nb\tc.jpg', 'a_b_c.jpg'),
        ('a:b|c?.jpg', 'a_b_c_.jpg'),
        ('100%.jpg', '100_.jpg'),
        ('gpj.\u202eexe', 'gpj._exe'),
        ('a\u2028b', 'a_b'),
        ('bad \udcff byte', 'bad _ byte'),
        (' edge. ', 'edge'),
        ('...', '_'),
        ('', '_'),
        ('CON', '_CON'),
        ('nul.txt', '_nul.txt'),
        ('com1.tar.gz', '_com1.tar.gz'),
        ('.hidden', '.hidden'),
        ('a/b', 'a_b'),
        ('..', '_'),
    ],
)
def test_portable_name(name, expected):
    assert portable_name(name) == expected


@pytest.mark.parametrize('sign', ['a', 'é', '文', '😀'])
def test_long_names_are_cut_and_keep_their_ending(sign):
    name = portable_name(sign * 400 + '.jpg')
    assert name.endswith('.jpg')
    assert 250 <= len(name.encode()) <= 255
    assert set(name.removesuffix('.jpg')) == {sign}
    assert portable_name(sign * 60 + '.jpg') == sign * 60 + '.jpg'


def test_each_name_is_used_once():
    assert portable_names(['a.jpg', 'A.JPG', 'a?.jpg', 'a*.jpg', 'a_.jpg']) == [
        'a.jpg', 'A-2.JPG', 'a_.jpg', 'a_-2.jpg', 'a_-3.jpg']  # fmt: skip
    long = portable_names(['x' * 255, 'X' * 255, 'x' * 300])
    assert [len(name) for name in long] == [255, 255, 255]
    assert len({clash_key(name) for name in long}) == 3


def test_clashing():
    assert clashing(['a', 'b', 'A', 'e\u0301', 'é', 'c']) == [('A', 'a'), ('e\u0301', 'é')]
    assert clashing(['a', 'b', 'a']) == []


@pytest.mark.parametrize(
    'path', ['data/a', 'data/ü/文.jpg', 'bag-info.txt', 'data/..a', 'data/a..', 'data/~', 'data/a b']
)
def test_harmless_paths(path):
    assert path_fault(path) == ''


@pytest.mark.parametrize(
    ('path', 'words'),
    [
        ('../a', "leads out of its folder"),
        ('data/../../a', "leads out of its folder"),
        ('/a', "does not start in the bag's own folder"),
        ('~/a', "does not start in the bag's own folder"),
        ('C:a', "does not start in the bag's own folder"),
        ('data\\..\\a', "holds a backslash"),
        ('data//a', "roundabout"),
        ('data/./a', "roundabout"),
        ('data/', "roundabout"),
        ('', "roundabout"),
        ('data/a\0', "control characters"),
        ('data/a\u202e', "control characters"),
        ('data/\x1b]0;x\x07', "control characters"),
    ],
)
def test_hostile_paths(path, words):
    assert words in path_fault(path)


def test_shown_leaves_nothing_that_a_terminal_would_act_on():
    assert shown('a\x1b[31m\u202e\n文') == 'a\\u001b[31m\\u202e\\u000a文'

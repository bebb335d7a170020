"""Each error that the owner can mend has a code, and the codes keep their meaning."""

import importlib
import pkgutil

import pytest

import calib
import calib.errors
import grader
from calib.errors import ActionableError, CardNotFound
from grader.exit_codes import CODE_OF_ERROR, ExitCode, exit_code_of


def all_error_classes() -> list[type[ActionableError]]:
    for package in (calib, grader):
        for module in pkgutil.walk_packages(package.__path__, f'{package.__name__}.'):
            importlib.import_module(module.name)
    found, open_classes = [], [ActionableError]
    while open_classes:
        below = open_classes.pop().__subclasses__()
        found += below
        open_classes += below
    return sorted(set(found), key=lambda one: one.__name__)


def test_each_error_class_has_its_own_entry():
    missing = [
        one.__name__
        for one in all_error_classes()
        if one.__module__.startswith(('calib', 'grader')) and one not in CODE_OF_ERROR
    ]
    assert missing == []


def test_codes_are_a_promise():
    assert {code.name: int(code) for code in ExitCode} == {
        'DONE': 0,
        'OUR_BUG': 1,
        'WRONG_COMMAND_LINE': 2,
        'FILE_UNREADABLE': 3,
        'CARD': 4,
        'OUTLINE': 5,
        'PHOTO_SET': 6,
        'OUTPUT': 7,
        'BAG': 8,
        'NOT_COMPARABLE': 9,
        'SETTINGS': 10,
        'NOT_IN_COLLECTION': 11,
        'COLLECTION_BUSY': 12,
        'IMPORT': 13,
        'PAGE': 14,
        'NEW_DAMAGE': 20,
        'NO_PHOTO_USABLE': 21,
        'STOPPED': 130,
    }


def test_a_class_below_takes_the_code_above():
    class CardUpsideDown(CardNotFound):
        pass

    assert exit_code_of(CardUpsideDown('a.jpg', 0, 24, 8)) is ExitCode.CARD


def test_a_class_without_code_is_a_bug():
    with pytest.raises(LookupError, match='ActionableError has no exit code'):
        exit_code_of(ActionableError("Something.", "Do something."))

"""A size that a seller states, and whether the piece has it."""

import re
from dataclasses import dataclass
from typing import Literal

from calib.measured import Measured
from grader.compare.stated_size_constants import STATED_RANGE_MM, UNITS_MM
from grader.constants import COVERAGE_FACTOR
from grader.errors import SettingsInvalid

StatedOf = Literal['width', 'height']
_WORDS: dict[str, StatedOf] = {
    'width': 'width',
    'wide': 'width',
    'across': 'width',
    'diameter': 'width',
    'height': 'height',
    'high': 'height',
    'tall': 'height',
}
_PATTERN = re.compile(
    r'(?:(?P<before>[a-z]+)[ :]+)?'
    r'(?P<whole>\d+)?'
    r'(?:[.,](?P<decimals>\d+)|[ -]?(?<=[\d -])(?P<over>\d+)/(?P<under>\d+)|(?P<over0>\d+)/(?P<under0>\d+))?'
    r' ?(?P<unit>mm|cm|inches|inch|in|"|\'\'|″)'
    r'(?: +(?P<after>[a-z]+))?',
    re.ASCII,
)


@dataclass(frozen=True, slots=True)
class StatedSize:
    """A length as it was stated."""

    text: str
    """As given."""
    length: str
    """The length alone, with its unit, as given."""
    of: StatedOf
    """What it is the length of."""
    mm: float
    """The length."""
    half_step_mm: float
    """Half of the last place given: the stated size is rounded."""


@dataclass(frozen=True, slots=True)
class SizeCheck:
    """A stated size against the measured one."""

    agrees: bool
    """Whether what it may stand for and what the measurement leaves open overlap."""
    apart_mm: float
    """Stated less measured."""


def read_stated_size(text: str) -> StatedSize:
    """Stated size from words such as "75 mm", "7.5 cm", "2 3/4 in" or "height 60 mm".

    Raises
    ------
    SettingsInvalid
        If it is no such size, or one that no paperweight has.
    """
    words = ' '.join(text.lower().split())
    found = _PATTERN.fullmatch(words)
    named = None if found is None else [one for one in (found['before'], found['after']) if one]
    if found is None or named is None or any(one not in _WORDS for one in named):
        raise _not_a_size(text)
    value, step = _value_and_step(found, text)
    unit_mm = UNITS_MM[found['unit']]
    if not STATED_RANGE_MM[0] <= value * unit_mm <= STATED_RANGE_MM[1]:
        raise SettingsInvalid(
            f"--stated-size: \"{text}\" is {value * unit_mm:.0f} mm, and sizes from {STATED_RANGE_MM[0]:.0f} mm to "
            f"{STATED_RANGE_MM[1]:.0f} mm are believed.",
            "Check the number and its unit.",
        )
    length = words.removeprefix(found['before'] or '').removesuffix(found['after'] or '').strip(' :')
    return StatedSize(text, length, _WORDS[named[0]] if named else 'width', value * unit_mm, step / 2 * unit_mm)


def check_stated_size(stated: StatedSize, measured: Measured) -> SizeCheck:
    """Whether a stated size, rounded as it is, fits the measured one within its expanded uncertainty (k = 2)."""
    apart = stated.mm - measured.value
    return SizeCheck(abs(apart) <= stated.half_step_mm + measured.expanded(COVERAGE_FACTOR), apart)


def _value_and_step(found: re.Match[str], text: str) -> tuple[float, float]:
    """Number and its last place, both in the unit given."""
    whole = int(found['whole'] or 0)
    if found['decimals'] is not None:
        step = 10.0 ** -len(found['decimals'])
        return whole + int(found['decimals']) * step, step
    over, under = found['over'] or found['over0'], found['under'] or found['under0']
    if over is None or under is None:
        if found['whole'] is None:
            raise _not_a_size(text)
        return float(whole), 1.0
    if int(under) == 0 or int(over) >= int(under):
        raise _not_a_size(text)
    return whole + int(over) / int(under), 1 / int(under)


def _not_a_size(text: str) -> SettingsInvalid:
    return SettingsInvalid(
        f"--stated-size: \"{text}\" is not a length with its unit.",
        "Give it as \"75 mm\", \"7.5 cm\", \"2 3/4 in\" or, for the height, \"height 60 mm\".",
    )

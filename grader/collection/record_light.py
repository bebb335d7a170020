"""What a list needs of a record, of its review or of a comparison, read without the models.

Those load OpenCV, which takes a second. Where a file is laid out as the program writes it, only the fields that are
needed are parsed; else all of it is. What a list shows is never the truth: whoever opens the examination reads its
record in full.
"""

import hashlib
import json
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

_RECORD_FIELDS = ('grade', 'made_at', 'measurements', 'outline_px', 'photo', 'photos', 'record_version')
_KNOWN_VERSION = 1
_DECODER = json.JSONDecoder()


@dataclass(frozen=True, slots=True)
class LightGrade:
    """A grade."""

    score: float
    low: float
    high: float
    condition: str
    """The word for the score; two where it is borderline."""


@dataclass(frozen=True, slots=True)
class LightRecord:
    """What a list needs of a record."""

    sha256: str
    made_at: str
    """Time that the record states, '' where it states none."""
    grade: LightGrade
    width_words: str
    """Largest width with its expanded uncertainty, '' where it was not measured in mm."""
    photo: str
    """Name of the main photo."""
    photo_sha256: str
    box_px: tuple[float, float, float, float]
    """Left, top, right and bottom of the piece in the main photo."""


class NotLight(Exception):
    """The file is none of ours; the text says why, after "it ..."."""


def light_record(data: bytes) -> LightRecord:
    """What a list needs of a record.

    Raises
    ------
    NotLight
        If it is no record.
    """
    fields = some_fields(data, _RECORD_FIELDS)
    _check_version(fields, 'record_version')
    try:
        photo = fields['photo']
        hashes = [one['sha256'] for one in fields['photos'] if one['name'] == photo]
        outline = fields['outline_px']
        xs, ys = [float(x) for x, _ in outline], [float(y) for _, y in outline]
        width = fields['measurements'].get('diameter_max_mm')
        box = (min(xs), min(ys), max(xs), max(ys))
        if not all(map(math.isfinite, box)):
            raise ValueError('the outline is no outline')
        return LightRecord(
            sha256=hashlib.sha256(data).hexdigest(),
            made_at=_plain(fields['made_at']),
            grade=_grade(fields['grade']),
            width_words='' if width is None else _plain(width['text']).partition(' (')[0],
            photo=_plain(photo),
            photo_sha256=_plain(hashes[0]) if hashes else '',
            box_px=box,
        )
    except (KeyError, TypeError, ValueError, AttributeError, OverflowError) as err:
        raise NotLight("lacks fields of a record") from err


def reviewed_grade(data: bytes, record_sha256: str) -> LightGrade | None:
    """Grade by a review; None where nothing is said in it.

    Raises
    ------
    NotLight
        If it is no review, or that of another record.
    """
    fields = some_fields(data, ('record_sha256', 'review_version', 'entries', 'result'))
    _check_version(fields, 'review_version')
    if fields['record_sha256'] != record_sha256:
        raise NotLight("is the review of other contents of the record")
    try:
        return _grade(fields['result']['grade']) if fields['entries'] else None
    except (KeyError, TypeError, ValueError) as err:
        raise NotLight("lacks fields of a review") from err


def some_fields(data: bytes, names: Sequence[str]) -> dict[str, Any]:
    """Some fields of a JSON object, by name; None for one that it lacks.

    Our files have one blank before the name of each outermost field, and no text in JSON holds the end of a line, so
    such a line is found nowhere else.

    Raises
    ------
    NotLight
        If it is no JSON object.
    """
    text = _text(data)
    found: dict[str, Any] = {}
    try:
        for name in names:
            sign = f'\n "{name}": '
            start = text.find(sign)
            if start < 0:
                break
            found[name] = _DECODER.raw_decode(text, start + len(sign))[0]
        if len(found) == len(names) and text.endswith('\n}\n'):
            return found
        fields = json.loads(text)
    except (ValueError, RecursionError) as err:
        raise NotLight("is not JSON text") from err
    if not isinstance(fields, dict):
        raise NotLight("is not what its name says")
    return {name: fields.get(name) for name in names}


def _check_version(fields: dict[str, Any], name: str) -> None:
    if fields[name] != _KNOWN_VERSION:
        raise NotLight("is of a version that this program does not know")


def _grade(fields: dict[str, Any]) -> LightGrade:
    low, high = fields['interval']
    score, low, high = float(fields['score']), float(low), float(high)
    if not all(map(math.isfinite, (score, low, high))):
        raise ValueError('a score is no number')
    band, other = _plain(fields['band']), _plain(fields['other_band'])
    return LightGrade(score, low, high, f"{band} or {other}" if fields['borderline'] and other else band)


def _plain(value: Any) -> str:
    """Text that can be stored; the file may hold halves of signs."""
    if not isinstance(value, str):
        raise TypeError('text is needed')
    return value.encode(errors='backslashreplace').decode()


def _text(data: bytes) -> str:
    try:
        return data.decode('utf-8')
    except UnicodeDecodeError as err:
        raise NotLight("is not UTF-8 text") from err

"""What the owner tells of a draft's photos: sizes, time, camera, and what each photo shows."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from pydantic import ValidationError

from calib.profile import CameraProfile
from grader.constants import HEIGHT_RANGE_MM
from grader.errors import SettingsInvalid
from grader.web.draft import Draft

_NOTHING = "Nothing was changed."


@dataclass(frozen=True, slots=True)
class Told:
    """What a form tells, as it was typed."""

    n_changes: int
    """State of the draft that the form was made from."""
    height: str = ''
    ruler: str = ''
    time_by: str = 'nobody'
    when: str = ''
    shown: tuple[str, ...] = ()
    """Keys of the photos that the form shows; others keep what is known of them."""
    wiped: tuple[str, ...] = ()
    base: tuple[str, ...] = ()


class DraftChanged(Exception):
    """What is known of the photos was changed in another window meanwhile."""


def told_from(fields: Sequence[tuple[str, str]]) -> Told:
    """What a form tells."""
    first: Mapping[str, str] = dict(reversed(fields))
    state = first.get('n_changes', '')

    def keys(name: str) -> tuple[str, ...]:
        return tuple(value for field, value in fields if field == name)

    return Told(
        n_changes=int(state) if state.isascii() and state.isdigit() else -1,
        height=first.get('height', ''),
        ruler=first.get('ruler', ''),
        time_by=first.get('time_by', 'nobody'),
        when=first.get('when', ''),
        shown=keys('shown'),
        wiped=keys('wiped'),
        base=keys('base'),
    )


def with_told(draft: Draft, told: Told) -> Draft:
    """Draft with what a form tells; what depends on it is to be judged anew.

    Raises
    ------
    SettingsInvalid
        If a value cannot be used.
    DraftChanged
        If the form was made from an earlier state, and tells something else than is known now.
    """
    news: dict[str, Any] = {
        'height_mm': _length_mm(told.height, "The height of the piece", HEIGHT_RANGE_MM),
        'ruler_mm': _length_mm(told.ruler, "The measured ruler", None),
        **_time(draft, told),
        'photos': tuple(
            photo.model_copy(update={'was_wiped': photo.key in told.wiped, 'is_base': photo.key in told.base})
            if photo.key in told.shown
            else photo
            for photo in draft.photos
        ),
    }
    changed = draft.model_copy(update=news)
    changed.settings()
    if changed == draft:
        return draft
    if told.n_changes != draft.n_changes:
        raise DraftChanged
    return _changed(changed, judge_anew=changed.ruler_mm != draft.ruler_mm)


def with_profile(draft: Draft, text: bytes) -> Draft:
    """Draft with a camera's own profile; without one where the text is empty.

    Raises
    ------
    SettingsInvalid
        If the text is no profile.
    """
    try:
        profile = CameraProfile.model_validate_json(text) if text else None
    except ValidationError as err:
        raise SettingsInvalid(
            "This file is not a camera profile.", "Make one with \"grader calibrate\", or leave it out."
        ) from err
    if profile == draft.profile:
        return draft
    return _changed(draft.model_copy(update={'profile': profile}), judge_anew=True)


def _changed(draft: Draft, *, judge_anew: bool) -> Draft:
    photos = draft.photos
    if judge_anew:
        photos = tuple(photo.model_copy(update={'check': None, 'check_job': ''}) for photo in photos)
    return draft.model_copy(update={'n_changes': draft.n_changes + 1, 'photos': photos})


def _length_mm(text: str, what: str, range_mm: tuple[float, float] | None) -> float | None:
    """Length as typed, with a point or a comma, "mm" behind it or not; None for none."""
    text = text.strip().removesuffix('mm').strip().replace(',', '.')
    if not text:
        return None
    try:
        length_mm = float(text)
    except ValueError as err:
        raise SettingsInvalid(
            f"{what}: \"{text[:40]}\" is not a length. {_NOTHING}", "Give a number, such as 58.5."
        ) from err
    low, high = range_mm or (0.0, float('inf'))
    if not low < length_mm < high:
        needed = "" if range_mm is None else f"; {low:.0f} to {high:.0f} mm can be"
        raise SettingsInvalid(f"{what}: {length_mm:g} mm was given{needed}. {_NOTHING}", "Give it in millimetres.")
    return length_mm


def _time(draft: Draft, told: Told) -> dict[str, str]:
    """Who states the time, and which."""
    if told.time_by == 'camera' and draft.camera_time:
        return {'time_by': 'camera', 'when': _iso(draft.camera_time)}
    if told.time_by == 'owner':
        if not told.when.strip():
            raise SettingsInvalid(
                f"The time that you state is missing. {_NOTHING}", "Give date and time, or choose to state none."
            )
        return {'time_by': 'owner', 'when': _iso(told.when.strip())}
    return {'time_by': 'nobody', 'when': ''}


def _iso(text: str) -> str:
    try:
        return datetime.fromisoformat(text).isoformat()
    except ValueError as err:
        raise SettingsInvalid(
            f"\"{text[:40]}\" is not a date and time. {_NOTHING}", "Give it as 2026-03-10T10:09, or state none."
        ) from err

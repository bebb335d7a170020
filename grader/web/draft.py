"""Draft: photos of a piece that wait to be examined, and what is known of them beforehand."""

from collections.abc import Callable
from datetime import datetime
from typing import Any, Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator

from calib.profile import CameraProfile
from grader.checking import CheckedPhoto
from grader.settings import CardSettings, SetSettings, Settings, SizeSettings

TOKEN_PATTERN = r'[0-9a-f]{24}'
_KEY_LENGTH = 16


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)


class DraftPhoto(_Frozen):
    """One photo of a draft."""

    name: str
    """Name of its file in the draft's folder of photos."""
    sha256: str = Field(pattern=r'^[0-9a-f]{64}$')
    n_bytes: int
    size_px: tuple[int, int]
    taken_at: str = ''
    """Time by Exif, '' where there is none."""
    camera: str = ''
    was_wiped: bool = False
    """Whether it was taken after the glass was wiped, as the owner says."""
    is_base: bool = False
    """Whether it shows the base of the upturned piece, as the owner says."""
    check_job: str = ''
    """The job that judges it, '' for none yet."""
    check: CheckedPhoto | None = None
    """What it was judged to be worth; None where that is not known yet."""

    @property
    def key(self) -> str:
        """Its name in addresses: it tells nothing of the file's name, and stays the same when others go."""
        return self.sha256[:_KEY_LENGTH]

    @field_validator('check', mode='wrap')
    @classmethod
    def _forget_foreign(cls, value: Any, inner: Callable[[Any], CheckedPhoto | None]) -> CheckedPhoto | None:
        """A judgement of another version of the program is made anew; the photo is what counts."""
        try:
            return inner(value)
        except ValidationError:
            return None


class Draft(_Frozen):
    """Photos of a piece that wait to be examined."""

    draft_version: Literal[1] = 1
    token: str = Field(pattern=rf'^{TOKEN_PATTERN}$')
    """Its name in addresses, and of its folder."""
    piece_id: str
    begun_at: str
    """When it was begun, by the computer's clock; only to tell drafts apart."""
    height_mm: float | None = None
    """Height of the piece, where the owner measured it."""
    ruler_mm: float | None = None
    """Length of the card's 100 mm ruler, where the owner measured it."""
    time_by: Literal['nobody', 'camera', 'owner'] = 'nobody'
    """Who states when the photos were taken."""
    when: str = ''
    """That time in ISO form, '' for none."""
    profile: CameraProfile | None = None
    n_changes: int = 0
    """Grows with each change of what is known; tells two open pages apart."""
    examine_job: str = ''
    """The job that examines it, '' for none yet."""
    photos: tuple[DraftPhoto, ...] = ()

    @property
    def address(self) -> str:
        """Its page."""
        return f'/pieces/{self.piece_id}/drafts/{self.token}'

    @property
    def camera_time(self) -> str:
        """The earliest time that a camera wrote into a photo, '' where none did."""
        return min((photo.taken_at for photo in self.photos if photo.taken_at), default='')

    def photo(self, key: str) -> DraftPhoto | None:
        """Photo of a key, None where it is not there (any more)."""
        return next((photo for photo in self.photos if photo.key == key), None)

    def settings(self) -> Settings:
        """Settings of the examination.

        Raises
        ------
        SettingsInvalid
            If the ruler cannot be that of this card.
        """
        made = Settings(
            card=CardSettings(measured_ruler_mm=self.ruler_mm, profile=self.profile),
            size=SizeSettings(height_mm=self.height_mm),
            sets=SetSettings(
                wiped=tuple(sorted(photo.name for photo in self.photos if photo.was_wiped)),
                base=tuple(sorted(photo.name for photo in self.photos if photo.is_base)),
            ),
        )
        _ = made.card.print_scale
        return made

    def stated_time(self) -> datetime | None:
        """Time to state in the record, None for none."""
        return datetime.fromisoformat(self.when) if self.when else None

    def to_json(self) -> str:
        """Text of its file."""
        return self.model_dump_json(indent=1, exclude_defaults=True) + '\n'

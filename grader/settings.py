"""Settings of a run: resolved once, at the edge, and handed to the stages in parts."""

from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from calib.errors import ActionableError
from calib.print_scale import PrintScale
from calib.profile import CameraProfile
from grader.constants import HEIGHT_RANGE_MM, MAX_PHOTO_BYTES, MAX_PHOTO_PIXELS, MIN_PHOTO_SIDE_PX
from grader.errors import SettingsInvalid


class _Frozen(BaseModel):
    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)


class PhotoLimits(_Frozen):
    """Limits that keep a wrong or hostile file from filling the memory."""

    max_bytes: int = Field(default=MAX_PHOTO_BYTES, gt=0)
    """Largest file, in bytes."""
    max_pixels: int = Field(default=MAX_PHOTO_PIXELS, gt=0)
    """Largest picture, in pixels."""
    min_side_px: int = Field(default=MIN_PHOTO_SIDE_PX, gt=0)
    """Shortest side of a picture, in pixels."""


class CardSettings(_Frozen):
    """What is known of card and camera before the photo is seen."""

    required: bool = False
    """Whether a photo without a card is an error."""
    measured_ruler_mm: float | None = Field(default=None, gt=0)
    """Length of the card's printed 100 mm ruler as the user measured it; None where nobody did."""
    profile: CameraProfile | None = None
    """The camera's own profile, where there is one."""

    @property
    def print_scale(self) -> PrintScale:
        """The print's scale and its uncertainty.

        Raises
        ------
        SettingsInvalid
            If the ruler's length cannot be that of this card.
        """
        if self.measured_ruler_mm is None:
            return PrintScale()
        try:
            return PrintScale.measured(self.measured_ruler_mm)
        except ActionableError as err:
            raise SettingsInvalid(err.problem, err.remedy) from err


class SizeSettings(_Frozen):
    """What is known of the piece before the photo is seen."""

    height_mm: float | None = Field(default=None, ge=HEIGHT_RANGE_MM[0], le=HEIGHT_RANGE_MM[1])
    """Height of the piece as the user measured it; None where nobody did."""


class SetSettings(_Frozen):
    """What is known of the photos of a set beforehand."""

    wiped: tuple[str, ...] = ()
    """Names of the photos that were taken after the glass was wiped, as the user says."""
    base: tuple[str, ...] = ()
    """Names of the photos that show the upturned piece's base, as the user says."""


class Settings(_Frozen):
    """All settings of an examination; each stage gets its own part."""

    photos: PhotoLimits = PhotoLimits()
    card: CardSettings = CardSettings()
    size: SizeSettings = SizeSettings()
    sets: SetSettings = SetSettings()


def read_profile(path: Path) -> CameraProfile:
    """Camera profile from the file that "grader calibrate" wrote.

    Raises
    ------
    SettingsInvalid
        If the file is missing or no camera profile.
    """
    try:
        return CameraProfile.model_validate_json(path.read_bytes())
    except OSError as err:
        raise SettingsInvalid(
            f"{path}: the camera profile cannot be opened ({err.strerror or err}).", "Check the name and the folder."
        ) from err
    except ValidationError as err:
        raise SettingsInvalid(
            f"{path}: this is not a camera profile.", "Make one with \"grader calibrate\", or leave --profile out."
        ) from err

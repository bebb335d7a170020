"""Settings of a run: resolved once, at the edge, and handed to the stages in parts."""

from pydantic import BaseModel, ConfigDict, Field

from grader.constants import MAX_PHOTO_BYTES, MAX_PHOTO_PIXELS, MIN_PHOTO_SIDE_PX


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

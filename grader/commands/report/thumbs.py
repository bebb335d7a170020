"""Small pictures of photos, read no larger than needed."""

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from PIL import Image, ImageOps

from grader.documents.blocks import Picture
from grader.documents.constants import THUMB_PX
from grader.documents.pictures import picture_of, reduced
from grader.photos.pixels import DECODER_FAULTS


@dataclass(frozen=True, slots=True)
class NoThumb:
    """No picture could be made."""

    reason: str
    """Why, in words."""


def thumb_of(path: Path, words: str) -> Picture | NoThumb:
    """Return a small picture of a photo; what cannot be read is a value, since one bad photo must not end a list."""
    try:
        with Image.open(path) as image:
            # JPEGs are decoded at a half, a quarter or an eighth: a tenth of the time for a phone's photo.
            image.draft('RGB', (2 * THUMB_PX, 2 * THUMB_PX))
            upright = ImageOps.exif_transpose(image.convert('RGB'))
            upright.info.pop('icc_profile', None)
    except FileNotFoundError:
        return NoThumb("the photo is missing.")
    except (*DECODER_FAULTS, Image.DecompressionBombError, MemoryError):
        return NoThumb("the photo cannot be read.")
    return picture_of(reduced(np.asarray(upright), THUMB_PX), words)

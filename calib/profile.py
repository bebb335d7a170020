"""A camera's own profile, made once from several photos of the card."""

import math
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field

from calib.errors import ProfileUnfit


class CameraProfile(BaseModel):
    """What calibration learned of one camera at one zoom setting.

    It serves photos of any size from the same camera, as long as they are not cropped.
    """

    model_config = ConfigDict(frozen=True, extra='forbid', allow_inf_nan=False)

    format: Literal['camera-profile'] = 'camera-profile'
    version: Literal[1] = 1
    width_px: int = Field(gt=0)
    height_px: int = Field(gt=0)
    focal_px: float = Field(gt=0)
    u_focal_px: float = Field(gt=0)
    centre_px: tuple[float, float]
    u_centre_px: float = Field(gt=0)
    k1: float
    u_k1: float = Field(gt=0)
    rms_px: float = Field(ge=0)
    n_views: int = Field(ge=1)

    def scaled_to(self, size_px: tuple[int, int]) -> 'CameraProfile':
        """The profile for a photo of another size, or turned by 90 degrees.

        Raises
        ------
        ProfileUnfit
            If the photo's shape is not that of the profile's photos.
        """
        width, height = size_px
        own_width, own_height = self.width_px, self.height_px
        centre, u_centre_px = self.centre_px, self.u_centre_px
        if (width > height) != (own_width > own_height) and width != height:
            # Turned, but which way is not known: the middle, with its distance as a doubt.
            own_width, own_height = own_height, own_width
            middle = ((own_width - 1) / 2, (own_height - 1) / 2)
            u_centre_px = math.hypot(u_centre_px, middle[0] - centre[1], middle[1] - centre[0])
            centre = middle
        factor = width / own_width
        if abs(height - factor * own_height) > 2:
            raise ProfileUnfit(
                f"The camera profile is of photos of {self.width_px} x {self.height_px} px,"
                f" and this photo has {width} x {height} px, which is another shape.",
                "Use the photo as the camera saved it, not cropped, or leave the profile out.",
            )
        return self.model_copy(
            update={
                'width_px': width,
                'height_px': height,
                'focal_px': self.focal_px * factor,
                'u_focal_px': self.u_focal_px * factor,
                'centre_px': (
                    (centre[0] + 0.5) * factor - 0.5,
                    (centre[1] + 0.5) * factor - 0.5,
                ),
                'u_centre_px': u_centre_px * factor,
            }
        )

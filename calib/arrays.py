"""Named array types of the two image frames and the card frame.

Shapes are part of the name: an image is indexed ``[row, col]``, points are
rows of (x, y) or (x, y, z).
"""

from typing import TypeAlias

import numpy as np
import numpy.typing as npt

GreyImage: TypeAlias = npt.NDArray[np.float32]
"""(H, W) float32, linear light, 0 black to 1 the sensor's white."""

RgbImage: TypeAlias = npt.NDArray[np.uint8]
"""(H, W, 3) uint8, sRGB coded, red first."""

Mask: TypeAlias = npt.NDArray[np.bool_]
"""(H, W) bool."""

PointsPx: TypeAlias = npt.NDArray[np.float64]
"""(N, 2) float64 as (x, y): x right, y down, (0, 0) centre of the top-left pixel."""

PointsMm: TypeAlias = npt.NDArray[np.float64]
"""(N, 2) or (N, 3) float64, card frame: x right, y up, z to the camera, origin card centre."""

FloatArray: TypeAlias = npt.NDArray[np.float64]
"""float64 of the shape that the docstring gives."""

"""How much light a glass surface mirrors."""

import numpy as np

from calib.arrays import FloatArray
from grader.outline.constants import GLASS_INDEX


def fresnel_reflectance(cos_in: FloatArray) -> FloatArray:
    """Share of unpolarised light mirrored by glass at this cosine of incidence, same shape.

    Fresnel's equations; tests hold them against the values for glass of index 1.52.
    """
    cos_out = np.sqrt(1 - (1 - cos_in**2) / GLASS_INDEX**2)
    across = ((cos_in - GLASS_INDEX * cos_out) / (cos_in + GLASS_INDEX * cos_out)) ** 2
    along = ((GLASS_INDEX * cos_in - cos_out) / (GLASS_INDEX * cos_in + cos_out)) ** 2
    return np.asarray((across + along) / 2)

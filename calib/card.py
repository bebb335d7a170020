"""What is printed where on a calibration card, in millimetres of a true print."""

from functools import cache
from importlib import resources
from typing import Literal

import numpy as np
from pydantic import BaseModel, ConfigDict, Field, model_validator

from calib.arrays import FloatArray, PointsMm

CARD_NAMES: tuple[Literal['frame', 'pocket'], ...] = ('frame', 'pocket')


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra='forbid')


class MarkerSpec(_Part):
    """One ArUco marker: its id and the place of its centre."""

    id: int = Field(ge=0, le=99)
    centre_mm: tuple[float, float]


class GreyPatchSpec(_Part):
    """One printed grey square and the share of light that it gives back."""

    centre_mm: tuple[float, float]
    size_mm: float = Field(gt=0)
    reflectance_ratio: float = Field(gt=0, lt=1)


class CardSpec(_Part):
    """The geometry of one calibration card, all lengths as printed at 100 %.

    Attributes
    ----------
    name : {'frame', 'pocket'}
        Short name.
    title : str
        Name in words.
    marker_dictionary : str
        The ArUco dictionary, by OpenCV's name.
    outer_size_mm : (float, float)
        Width and height of the cut card.
    clear_field_mm : (float, float)
        Width and height of the field that the piece stands on, 0 where there is none.
    marker_size_mm : float
        Side of a marker's black square.
    markers_needed : int
        Fewest markers in their places that a measurement may rest on.
    markers, grey_patches : tuples
        What is printed, in the card frame (origin centre, x right, y up).
    """

    name: Literal['frame', 'pocket']
    title: str
    marker_dictionary: Literal['DICT_5X5_100']
    outer_size_mm: tuple[float, float]
    clear_field_mm: tuple[float, float]
    marker_size_mm: float = Field(gt=0)
    markers_needed: int = Field(ge=2)
    markers: tuple[MarkerSpec, ...]
    grey_patches: tuple[GreyPatchSpec, ...]

    @model_validator(mode='after')
    def _ids_are_unique(self) -> 'CardSpec':
        if len(set(self.marker_ids)) != len(self.markers):
            raise ValueError('a marker id may be printed once only')
        return self

    @property
    def marker_ids(self) -> tuple[int, ...]:
        """Ids in printing order."""
        return tuple(marker.id for marker in self.markers)

    def marker_centre_mm(self, marker_id: int) -> FloatArray:
        """Centre of a marker, (3,) float64, card frame."""
        for marker in self.markers:
            if marker.id == marker_id:
                return np.array([*marker.centre_mm, 0.0])
        raise ValueError(f'marker_id must be one of {self.marker_ids}, got {marker_id}')

    def marker_corners_mm(self, marker_id: int) -> PointsMm:
        """Corners of a marker's black square.

        Returns
        -------
        ndarray of shape (4, 3)
            float64, mm, card frame, in OpenCV's order: top left, top right, bottom right,
            bottom left, as printed.
        """
        half = self.marker_size_mm / 2
        offsets = np.array([[-1, 1, 0], [1, 1, 0], [1, -1, 0], [-1, -1, 0]]) * half
        return self.marker_centre_mm(marker_id) + offsets

    def outline_mm(self) -> PointsMm:
        """The cut card's corners, (4, 3) float64, same order as a marker's."""
        width, height = self.outer_size_mm
        return np.array([[-width, height, 0], [width, height, 0], [width, -height, 0], [-width, -height, 0]]) / 2


@cache
def load_card(name: str) -> CardSpec:
    """The spec of 'frame' or 'pocket', from the data that ships with this package."""
    if name not in CARD_NAMES:
        raise ValueError(f'name must be one of {CARD_NAMES}, got {name!r}')
    text = resources.files('calib').joinpath('cards', f'{name}.json').read_text('utf-8')
    return CardSpec.model_validate_json(text)

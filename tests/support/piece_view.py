"""A photo of a plain dome with known truth, and a card that is seen straight from above."""

from dataclasses import dataclass

import numpy as np

from calib.measured import Measured
from grader.outline.dome_view import DomeOutline, DomeView, NoCard, NoEllipse
from grader.photos.load import Photo
from grader.size.diameter import Diameters


@dataclass(frozen=True)
class FlatCard:
    """A card seen from very far above: one scale, turned by an angle about the picture's point (0, 0)."""

    px_per_mm: float
    turn_rad: float = 0.0

    def _axes(self):
        cos, sin = np.cos(self.turn_rad), np.sin(self.turn_rad)
        return self.px_per_mm * np.array([[cos, sin], [sin, -cos]])

    def project_mm(self, points_mm):
        return np.asarray(points_mm)[:, :2] @ self._axes().T

    def to_plane_mm(self, points_px, height_mm=0.0):
        return np.asarray(points_px) @ np.linalg.inv(self._axes()).T


def make_view(radius_px=400.0, size_px=(1300, 1200), centre_px=(640.0, 600.0), card=None, seed=1):
    """A dome of mottled glass on a plain ground."""
    width, height = size_px
    rng = np.random.default_rng(seed)
    rows, columns = np.indices((height, width))
    inside = np.hypot(columns - centre_px[0], rows - centre_px[1]) <= radius_px
    glass = rng.integers(40, 220, (height, width, 3), dtype=np.uint8)
    rgb = np.where(inside[..., None], glass, np.uint8(210))
    rgb.setflags(write=False)
    photo = Photo(
        rgb=rgb, sha256='0' * 64, name='piece.png', f35_mm=None, taken_at='', camera='', file_format='PNG', bit_depth=8,
        n_bytes=1, flags=(),
    )  # fmt: skip
    turn = 2 * np.pi * np.arange(720) / 720
    contour_px = np.array(centre_px) + radius_px * np.column_stack([np.cos(turn), np.sin(turn)])
    outline = DomeOutline(contour_px, 'round', NoEllipse('made by hand'), 0.2, ())
    return DomeView(photo, NoCard("made by hand") if card is None else card, outline)


def make_diameters(view, width_mm=70.0):
    """Widths along x (largest) and y (smallest)."""
    (x0, y0), (x1, y1) = view.outline.contour_px.min(axis=0), view.outline.contour_px.max(axis=0)
    middle = (x0 + x1) / 2, (y0 + y1) / 2
    measured = None if width_mm is None else Measured(width_mm, (('outline', 0.2),))
    return Diameters(
        max_mm=measured, min_mm=measured, max_px=x1 - x0, min_px=y1 - y0, max_direction_deg=0.0,
        min_direction_deg=90.0, max_ends_px=np.array([[x0, middle[1]], [x1, middle[1]]]),
        min_ends_px=np.array([[middle[0], y0], [middle[0], y1]]), ring=NoCard("made by hand"),
    )  # fmt: skip

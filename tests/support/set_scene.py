"""Several views of one dome with marks on it and in it, all places known.

Nothing of the optics comes from the program: where the camera sees a point inside the glass follows from the shortest
optical path (Fermat), not from Snell's law.
"""

from dataclasses import dataclass
from types import SimpleNamespace

import numpy as np
from scipy.optimize import minimize

from grader.outline.dome_view import NoCard
from grader.outline.height import RingHeight
from grader.outline.surface import DomeSurface
from grader.sets.set_photo import SetPhoto
from tests.support.marks import make_mark

RADIUS_MM, RING_MM = 35.0, 25.0
CENTRE_MM = np.array([0.0, 0.0, RING_MM])
INDEX = 1.52
FOCAL_PX = 3000.0
CROP_PX = 900
LIKELY, UNLIKELY = 0.97, 0.002


@dataclass(frozen=True)
class PinEye:
    """A camera without distortion that looks at the middle of the dome; picture point (450, 450) is its middle."""

    position_mm: tuple[float, float, float]

    @property
    def axes(self):
        """(3, 3) rows: right, down, forward."""
        forward = (CENTRE_MM - self.position_mm) / np.linalg.norm(CENTRE_MM - self.position_mm)
        up = np.array([0.0, 1.0, 0.0]) if abs(forward[2]) > 0.8 else np.array([0.0, 0.0, 1.0])
        right = np.cross(forward, up)
        right /= np.linalg.norm(right)
        return np.array([right, np.cross(forward, right), forward])

    def project(self, points):
        x, y, z = ((np.atleast_2d(points) - np.array(self.position_mm)) @ self.axes.T).T
        return np.column_stack([x / z, y / z]) * FOCAL_PX + CROP_PX / 2

    def rays(self, points_px):
        flat = (np.atleast_2d(points_px) - CROP_PX / 2) / FOCAL_PX
        directions = np.column_stack([flat, np.ones(len(flat))]) @ self.axes
        directions /= np.linalg.norm(directions, axis=1, keepdims=True)
        return np.broadcast_to(np.array(self.position_mm), directions.shape), directions


ABOVE = PinEye((8.0, -5.0, 400.0))
ABOVE_TOO = PinEye((-14.0, 12.0, 380.0))
SIDE = PinEye((350.0, 0.0, 130.0))
OTHER_SIDE = PinEye((0.0, -350.0, 120.0))


def surface_of(eye):
    """A sphere of 35 mm, its widest ring 25 mm above the card."""
    turn = np.arange(720) * 2 * np.pi / 720
    distance = np.linalg.norm(CENTRE_MM - np.array(eye.position_mm))
    radius_px = FOCAL_PX * RADIUS_MM / np.sqrt(distance**2 - RADIUS_MM**2)
    contour = CROP_PX / 2 + radius_px * np.column_stack([np.cos(turn), np.sin(turn)])
    ring = RingHeight(RING_MM, 0.1, RADIUS_MM, "made by hand")
    return DomeSurface(CENTRE_MM, np.eye(3) / RADIUS_MM, eye, contour, ring, True)


def place(latitude_deg, azimuth_deg):
    """Unit vector of a place on the dome."""
    up, around = np.radians([latitude_deg, azimuth_deg])
    return np.array([np.cos(up) * np.cos(around), np.cos(up) * np.sin(around), np.sin(up)])


def turned_z(point, turn_deg):
    """A point (3,) turned about the upright axis through the middle."""
    c, s = np.cos(np.radians(turn_deg)), np.sin(np.radians(turn_deg))
    return np.array([c * point[0] - s * point[1], s * point[0] + c * point[1], point[2]])


def pixel_of_inner(eye, inner):
    """Pixel (2,) at which a camera sees a point inside the glass, given in radii about the middle."""
    target = CENTRE_MM + RADIUS_MM * np.asarray(inner)
    start = np.array(eye.position_mm)

    def path(angles):
        entry = CENTRE_MM + RADIUS_MM * place(*np.degrees(angles))
        return np.linalg.norm(entry - start) + INDEX * np.linalg.norm(target - entry)

    toward = (start - CENTRE_MM) / np.linalg.norm(start - CENTRE_MM)
    guess = toward + np.asarray(inner)
    guess = guess / np.linalg.norm(guess)
    angles = [np.arcsin(guess[2]), np.arctan2(guess[1], guess[0])]
    best = minimize(path, angles, method='Nelder-Mead', options={'xatol': 1e-10, 'fatol': 1e-12, 'maxiter': 4000})
    return eye.project(CENTRE_MM + RADIUS_MM * place(*np.degrees(best.x)))[0]


def pixel_of_place(eye, where):
    """Pixel (2,) of a place on the surface."""
    return eye.project(CENTRE_MM + RADIUS_MM * np.asarray(where))[0]


def marks_at(pixels, kinds, confidence=0.8):
    """Small square marks at pixels, one of each kind given."""
    return tuple(
        make_mark(kind, 1.0, confidence=confidence, centre_px=(float(x), float(y)),
                  outline_px=np.array([[x - 5, y - 5], [x + 5, y - 5], [x + 5, y + 5], [x - 5, y + 5]]))
        for (x, y), kind in zip(pixels, kinds, strict=True)
    )  # fmt: skip


def set_photo(name, eye, marks, light=0.0):
    """A photo of the set whose network sees exactly its marks, and nothing elsewhere."""
    surface = surface_of(eye)
    rows, columns = np.mgrid[:CROP_PX, :CROP_PX]
    odds = np.full((5, CROP_PX, CROP_PX), UNLIKELY, np.float16)
    owner = np.zeros((CROP_PX, CROP_PX), np.int16)
    for number, mark in enumerate(marks, start=1):
        x, y = mark.centre_px
        here = np.hypot(columns - x, rows - y) <= 6
        odds[:, here] = LIKELY
        owner[here] = number
    peak = np.full((CROP_PX, CROP_PX), np.log(UNLIKELY / (1 - UNLIKELY)), np.float16)
    for mark in marks:
        x, y = mark.centre_px
        peak[np.hypot(columns - x, rows - y) <= 14] = np.log(LIKELY / (1 - LIKELY))
    is_above = eye.position_mm[2] > 250
    view = SimpleNamespace(
        photo=SimpleNamespace(name=name, sha256=name),
        card=SimpleNamespace(camera_position_mm=np.array(eye.position_mm)) if not is_above else NoCard("made by hand"),
    )
    findings = SimpleNamespace(view=view, surface=surface, marks=tuple(marks), unseen=())
    crop = SimpleNamespace(offset_px=(0.0, 0.0), scale_ratio=1.0, to_photo=lambda points: np.asarray(points, float))
    free = np.ones((CROP_PX, CROP_PX), np.uint8)
    return SetPhoto(findings, crop, odds, peak, owner, free, np.full(4, light), is_above)

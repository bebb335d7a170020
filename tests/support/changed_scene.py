"""Two sides of one dome with spots drawn on it, all places known, for what changed between them."""

from dataclasses import dataclass, replace
from types import SimpleNamespace

import cv2
import numpy as np

from grader.compare.sides import Alignment, Sides
from grader.marks.unseen import GLARE, UnseenArea
from grader.sets.find_turns import PhotoTurn
from tests.support.set_scene import ABOVE, ABOVE_TOO, CROP_PX, marks_at, pixel_of_place, place, set_photo, turned_z

GROUND_CODE = 110
SPOT_PX = 5
TOP_PLACES = tuple(place(latitude, azimuth) for latitude, azimuth in ((70, 20), (55, 140), (60, 260)))


@dataclass(frozen=True)
class Shot:
    """How a photo is taken."""

    eye: object = ABOVE
    light: str = 'coaxial'
    noise_code: float = 2.0
    blur_px: float = 0.7
    turn_deg: float = 0.0
    glare_at: object = None
    seed: int = 1


def take(name, shot, drawn=(), found=(), kinds=None, confidence=0.9, depth_code=50, spot_px=SPOT_PX):
    """A photo of the dome with dark spots at places, of which the network and the list of marks know those in `found`."""
    pixels = [pixel_of_place(shot.eye, turned_z(one, shot.turn_deg)) for one in found]
    kinds = kinds if kinds is not None else ['chip'] * len(pixels)
    photo = set_photo(name, shot.eye, marks_at(pixels, kinds, confidence))
    rgb = _picture(shot, [turned_z(one, shot.turn_deg) for one in drawn], depth_code, spot_px)
    unseen, free = (), photo.free
    if shot.glare_at is not None:
        x, y = pixel_of_place(shot.eye, turned_z(shot.glare_at, shot.turn_deg))
        polygon = np.array([[x - 30, y - 30], [x + 30, y - 30], [x + 30, y + 30], [x - 30, y + 30]])
        unseen = (UnseenArea(GLARE, polygon, 0.01, None),)
        free = free.copy()
        free[int(y) - 30 : int(y) + 31, int(x) - 30 : int(x) + 31] = 0
    quality = SimpleNamespace(
        exposure=SimpleNamespace(paper_light=0.8, lightest=0.8),
        focus=SimpleNamespace(blur_px=shot.blur_px),
        light=SimpleNamespace(kind=shot.light),
        # about one code step is 0.006 of white at that light
        noise=SimpleNamespace(at_piece=shot.noise_code * 0.004),
    )
    view = SimpleNamespace(
        photo=SimpleNamespace(name=name, sha256=name, size_px=(CROP_PX, CROP_PX), rgb=rgb),
        card=photo.findings.view.card,
    )
    findings = SimpleNamespace(
        view=view, surface=photo.surface, marks=photo.findings.marks, unseen=unseen, quality=quality
    )
    crop = SimpleNamespace(**vars(photo.crop), rgb=rgb, depth_px=np.full((CROP_PX, CROP_PX), 100.0, np.float32))
    return replace(photo, findings=findings, crop=crop, free=free)


def _picture(shot, places, depth_code, spot_px):
    """Grey glass with spots, blurred and noisy, uint8 (H, W, 3)."""
    picture = np.full((CROP_PX, CROP_PX), float(GROUND_CODE), np.float32)
    rows, columns = np.mgrid[:CROP_PX, :CROP_PX]
    for one in places:
        x, y = pixel_of_place(shot.eye, one)
        picture[np.hypot(columns - x, rows - y) <= spot_px] -= depth_code
    picture = cv2.GaussianBlur(picture, (0, 0), shot.blur_px)
    picture += np.random.default_rng(shot.seed).normal(0, shot.noise_code, picture.shape)
    return np.repeat(np.clip(np.rint(picture), 0, 255).astype(np.uint8)[..., None], 3, axis=2)


def with_marks(photo, marks):
    """The photo with other marks in its list."""
    return replace(photo, findings=SimpleNamespace(**{**vars(photo.findings), 'marks': tuple(marks)}))


def sides(before, after, turns_deg=(), sure=True):
    """Both sides and how the piece stands in each photo; `turns_deg` are those of the earlier photos."""
    turns = [np.radians(one) for one in turns_deg] or [0.0] * len(before)
    probability = 0.99 if sure else 0.5
    return Sides(tuple(before), tuple(after)), Alignment(
        tuple(PhotoTurn(float(turn), 0.002, probability, 'made by hand') for turn in turns),
        tuple(PhotoTurn(0.0, 0.0, 1.0, 'made by hand') for _ in after),
    )


BEFORE = Shot(eye=ABOVE_TOO, seed=2)
AFTER = Shot(seed=3)

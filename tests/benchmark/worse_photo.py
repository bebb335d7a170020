"""Photos made worse, as listings have them, with their truth: coarser, blurred, noisy, compressed."""

import json
from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

SCALES = (1.0, 0.7, 0.5)
BLURS_PX = (0.0, 1.0, 2.0, 3.0)
NOISES_CODE = (0.0, 4.0, 8.0, 14.0)
QUALITIES = (35, 55, 75, 90)


@dataclass(frozen=True, slots=True)
class Worse:
    """How a photo is made worse."""

    scale: float
    """Px for a px of the photo."""
    blur_px: float
    """Spread of the blur before that."""
    noise_code: float
    """Noise after it, 8-bit codes."""
    quality: int
    """Of the JPEG."""


def draw_worse(rng: np.random.Generator) -> Worse:
    """One of the ways, at random."""
    return Worse(
        float(rng.choice(SCALES)),
        float(rng.choice(BLURS_PX)),
        float(rng.choice(NOISES_CODE)),
        int(rng.choice(QUALITIES)),
    )


def write_worse(photo: Path, how: Worse, out: Path, rng: np.random.Generator) -> None:
    """Write a photo made worse into a folder, and its truth, if there is one beside it, at the new scale."""
    picture = cv2.imread(str(photo)).astype(np.float32)
    if how.blur_px:
        picture = cv2.GaussianBlur(picture, (0, 0), how.blur_px)
    size = tuple(round(n * how.scale) for n in (picture.shape[1], picture.shape[0]))
    picture = cv2.resize(picture, size, interpolation=cv2.INTER_AREA)
    picture += rng.normal(0, how.noise_code, picture.shape)
    codes = np.clip(np.rint(picture), 0, 255).astype(np.uint8)
    cv2.imwrite(str(out / f'{photo.stem}.jpg'), codes, [cv2.IMWRITE_JPEG_QUALITY, how.quality])
    truth_path = photo.with_suffix('.json')
    if truth_path.exists():
        truth = json.loads(truth_path.read_text())
        truth['size_px'] = list(size)
        for mark in truth['marks']:
            for key in ('polyline_px', 'polygon_px'):
                if mark.get(key):
                    mark[key] = ((np.array(mark[key]) + 0.5) * how.scale - 0.5).tolist()
        (out / truth_path.name).write_text(json.dumps(truth))

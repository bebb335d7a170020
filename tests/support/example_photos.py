"""Photos for tests of the command line: those that are shipped, and faulty ones made on the spot."""

from pathlib import Path

import numpy as np
from PIL import Image

import grader
from grader.photos.load import PHOTO_SUFFIXES

DEMO_FOLDER = Path(grader.__path__[0]) / 'demo_photos'


def demo_photos() -> list[Path]:
    """Shipped photos of an invented piece, by name."""
    return sorted(path for path in DEMO_FOLDER.iterdir() if path.suffix.lower() in PHOTO_SUFFIXES)


def journey_photos() -> tuple[Path, Path]:
    """Shipped photos of another piece, before and after a journey on which it got a scratch and two chips."""
    return DEMO_FOLDER / 'journey' / 'before.jpg', DEMO_FOLDER / 'journey' / 'after.jpg'


def empty_ground(path: Path) -> Path:
    """Photo of nothing: even grey with a camera's noise."""
    noise = np.random.default_rng(11).normal(190, 3, (480, 640, 3))
    Image.fromarray(noise.clip(0, 255).astype(np.uint8)).save(path, quality=92)
    return path


def piece_without_card(path: Path) -> Path:
    """Photo of a shaded dark disc of 300 px on a light ground, without a card."""
    y, x = np.mgrid[0:600, 0:800]
    apart = np.hypot(x - 400, y - 300) / 150
    # Edge softened over two pixels, as a lens does.
    cover = np.clip((1 - apart) * 75 + 0.5, 0, 1)[..., None]
    glass = np.array([60, 90, 140]) + 60 * (1 - np.minimum(apart, 1)[..., None] ** 2)
    noise = np.random.default_rng(12).normal(0, 1.5, (600, 800, 3))
    picture = 225 * (1 - cover) + glass * cover + noise
    Image.fromarray(picture.clip(0, 255).astype(np.uint8)).save(path, quality=95)
    return path


def cut_off_file(path: Path) -> Path:
    """Photo file whose second half is missing."""
    piece_without_card(path)
    data = path.read_bytes()
    path.write_bytes(data[: len(data) // 2])
    return path

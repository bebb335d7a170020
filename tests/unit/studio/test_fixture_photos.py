"""The committed photos are those that their list describes, and their truth fits them."""

import hashlib
import json
import re
from pathlib import Path

import cv2
import numpy as np
import pytest
from PIL import Image

ROOT = Path(__file__).parents[3]
LISTED = dict(
    re.findall(
        r'^\| `([^`]+)` \|.*`([0-9a-f]{64})` \|$',
        (ROOT / 'fixtures/photos/README.md').read_text(encoding='utf-8'),
        re.MULTILINE,
    )
)
PICTURES = sorted(name for name in LISTED if name.endswith('.jpg'))


def truth_of(name: str) -> Path:
    """The truth of a listed picture, which lies in the same place below fixtures/photos."""
    below = Path(name).relative_to('grader/demo_photos' if name.startswith('grader/') else 'fixtures/photos')
    return (ROOT / 'fixtures/photos' / below).with_suffix('.json')


def test_list_and_folders_hold_the_same_files():
    there = {
        path.relative_to(ROOT).as_posix()
        for folder in ('fixtures/photos', 'grader/demo_photos')
        for path in (ROOT / folder).rglob('*')
        if path.suffix in ('.jpg', '.json')
    }
    assert there == set(LISTED)


def test_pictures_stay_small():
    assert sum((ROOT / name).stat().st_size for name in LISTED) < 8_000_000


@pytest.mark.parametrize('name', sorted(LISTED))
def test_file_has_its_listed_hash(name):
    assert hashlib.sha256((ROOT / name).read_bytes()).hexdigest() == LISTED[name]


@pytest.mark.parametrize('name', PICTURES)
def test_truth_fits_its_picture(name):
    truth = json.loads(truth_of(name).read_text(encoding='utf-8'))
    picture = Image.open(ROOT / name)
    assert list(picture.size) == truth['size_px']
    focal_mm = picture.getexif().get_ifd(0x8769).get(0xA405)
    if focal_mm is not None:
        # Whole millimetres of the 35 mm-equivalent, by the diagonal of 43.27 mm.
        assert truth['intrinsics']['focal_px'] / np.hypot(*picture.size) * np.hypot(36, 24) == pytest.approx(
            focal_mm, abs=0.51
        )
    numbers = [] if truth['card'] == 'none' else range(24) if truth['card'] == 'frame' else range(40, 48)
    detector = cv2.aruco.ArucoDetector(cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_5X5_100))
    found = detector.detectMarkers(np.asarray(picture.convert('L')))[1]
    seen = set() if found is None else set(found.ravel().tolist())
    assert seen <= set(numbers)
    assert len(seen) >= 0.4 * len(numbers)

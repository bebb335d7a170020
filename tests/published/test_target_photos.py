"""Real photographs of printed targets, against the numbers published for them.

Source: OpenCV and its tutorials; see fixtures/published/targets/README.md.
"""

import hashlib
import json
import re
from pathlib import Path

import cv2
import numpy as np
import pytest

from calib.markers import find_markers, find_markers_of
from tests.support.target_photos import charuco_corners, chessboard_corners, fit_board, read_grey

FOLDER = Path(__file__).parents[2] / 'fixtures' / 'published' / 'targets'
FACTS = json.loads((FOLDER / 'facts.json').read_text('utf-8'))
DICTIONARY = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_6X6_250)
# The published corners are whole px, good to 1 px each way, and outermost dark pixels: half a px inside the edge.
CORNER_TOLERANCE_PX = 1.0
HALF_PIXEL = 0.5


def outward(corners):
    """Which way an edge half a pixel further out moves each corner: the sum of its edges' normals, (N, 4, 2)."""
    along = np.roll(corners, -1, axis=1) - corners
    along = along / np.linalg.norm(along, axis=2, keepdims=True)
    normal = np.stack([along[..., 1], -along[..., 0]], axis=-1)
    return normal + np.roll(normal, 1, axis=1)


def test_the_photos_are_the_published_ones():
    listed = dict(re.findall(r'\| `([^`]+\.jpg)` \| `([0-9a-f]{64})` \|', (FOLDER / 'README.md').read_text('utf-8')))
    found = {
        str(path.relative_to(FOLDER)): hashlib.sha256(path.read_bytes()).hexdigest() for path in FOLDER.rglob('*.jpg')
    }
    assert found == listed


@pytest.mark.parametrize(
    ('group', 'name'), [('markers', 'singlemarkersoriginal.jpg'), ('charuco', 'img_01.jpg')], ids=['markers', 'charuco']
)
def test_ids_and_corners(group, name):
    published = FACTS[group]['corners_px'][name]
    found = find_markers_of(read_grey(FOLDER / group / name), DICTIONARY)
    assert list(found.ids) == sorted(int(one) for one in published)
    corners = np.array([published[str(one)] for one in found.ids], dtype=float)
    off = found.corners_px - corners - HALF_PIXEL * outward(corners)
    assert np.abs(off).max() < CORNER_TOLERANCE_PX
    assert np.abs(off.mean(axis=(0, 1))).max() < 0.2
    assert np.abs(found.centres_px - corners.mean(axis=1)).max() < CORNER_TOLERANCE_PX


def test_a_partly_hidden_board():
    occluded = FACTS['charuco']['occluded']
    found = find_markers(read_grey(FOLDER / 'charuco' / occluded['file']), FACTS['charuco']['dictionary'])
    assert len(found) == occluded['markers']


def test_these_photos_hold_no_marker_of_our_cards():
    for path in sorted((FOLDER / 'charuco').glob('*.jpg')):
        assert len(find_markers(read_grey(path))) == 0


def test_a_chessboard_gives_the_published_camera():
    published = FACTS['chessboard']
    columns, rows = published['inner_corners']
    paths = sorted((FOLDER / 'chessboard').glob('left*.jpg'))
    assert len(paths) == 13
    fit = fit_board([chessboard_corners(path, columns, rows) for path in paths])
    # One radial term against five terms of distortion: OpenCV's own one-term fit has 0.421 px and 535.6 px.
    assert published['published_rms_px'] - 0.02 < fit.rms_px < published['opencv_5_rms_px'] + 0.05
    assert fit.focal_px == pytest.approx(published['published_focal_px'], rel=0.01)
    assert fit.k1 == pytest.approx(published['published_k1'], abs=0.02)


def test_a_charuco_board_gives_the_published_camera():
    published = FACTS['charuco']
    board = cv2.aruco.CharucoBoard(published['squares'], 1.0, published['marker_side_of_square'], DICTIONARY)
    board.setLegacyPattern(True)
    fit = fit_board([charuco_corners(path, board) for path in sorted((FOLDER / 'charuco').glob('img_*.jpg'))])
    assert published['published_rms_px'] - 0.02 < fit.rms_px < published['opencv_5_rms_px'] + 0.03
    # Four views fix it to about 1 % with five terms; one term moves it by 5 % (OpenCV's one-term fit: 482 px).
    assert fit.focal_px == pytest.approx(np.mean(published['published_focal_px']), rel=0.08)

"""Markers and camera model on real photographs of printed targets, against published numbers.

    python tests/benchmark/target_photos.py FOLDER

FOLDER holds charuco/, chessboard/ and markers/ of the OpenCV project's sample photos and a facts.json with
"corner_truth" (marker corners in whole px), see fixtures/published/targets/README.md. Prints ids, corner errors and
reprojection errors; ends with exit code 1 if an id is missed or a corner or reprojection error is past its margin.
"""

import argparse
import json
import os
import sys
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from calib.markers import MarkerCorners, find_markers, find_markers_of
from tests.support.target_photos import charuco_corners, chessboard_corners, fit_board, read_grey

# Published corners are good to 1 px and lie half a pixel inside the printed edge, up to 0.7 px at a corner.
MAX_CORNER_PX = 1.7
MAX_CENTRE_PX = 1.0
SIX = cv2.aruco.getPredefinedDictionary(cv2.aruco.DICT_6X6_250)


def own_dictionary(path: Path) -> cv2.aruco.Dictionary:
    """A dictionary from OpenCV's own file format."""
    dictionary = cv2.aruco.Dictionary()
    storage = cv2.FileStorage(str(path), cv2.FILE_STORAGE_READ)
    dictionary.readDictionary(storage.root())
    return dictionary


def compare(name: str, found: MarkerCorners, published: dict) -> list[str]:
    """Print one photo's errors; faults as text."""
    ids = sorted(int(one) for one in published)
    if list(found.ids) != ids:
        return [f'{name}: ids {found.ids.tolist()}, {ids} were published']
    corners = np.array([published[str(one)] for one in found.ids], dtype=float)
    off, centre_off = found.corners_px - corners, found.centres_px - corners.mean(axis=1)
    print(
        f'{name:24s} {len(ids):3d} markers  corners: median {np.median(np.abs(off)):.2f} px, worst {np.abs(off).max():.2f} px'
        f'  centres: worst {np.abs(centre_off).max():.2f} px'
    )
    faults = []
    if np.abs(off).max() > MAX_CORNER_PX or np.abs(centre_off).max() > MAX_CENTRE_PX:
        faults.append(f'{name}: corners are off')
    return faults


def boards(folder: Path) -> list[str]:
    """Print the reprojection errors of our one-term model; faults as text."""
    faults = []
    board = cv2.aruco.CharucoBoard((5, 7), 1.0, 0.5, SIX)
    board.setLegacyPattern(True)
    grids = {
        'charuco, published 0.182': (
            [charuco_corners(path, board) for path in sorted((folder / 'charuco').glob('img_*.jpg'))],
            0.22,
        ),
        'left, published 0.393': (
            [chessboard_corners(path, 9, 6) for path in sorted((folder / 'chessboard').glob('left*.jpg'))],
            0.46,
        ),
        'right, OpenCV 5 0.459': (
            [chessboard_corners(path, 9, 6) for path in sorted((folder / 'chessboard').glob('right*.jpg'))],
            0.51,
        ),
    }
    for name, (views, limit_px) in grids.items():
        fit = fit_board(views)
        print(
            f'{name:26s} {len(views):2d} views  {fit.rms_px:.3f} px  f {fit.focal_px:.1f} px'
            f' (u {fit.u_focal_px:.1f})  k1 {fit.k1:.3f}'
        )
        if fit.rms_px > limit_px:
            faults.append(f'{name}: {fit.rms_px:.3f} px, at most {limit_px} was expected')
    return faults


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folder', type=Path)
    folder = parser.parse_args().folder
    cv2.setNumThreads(1)
    truth = json.loads((folder / 'facts.json').read_text('utf-8'))['corner_truth']
    tutorial = own_dictionary(folder / 'markers' / 'tutorial_dict.yml')
    photos = {
        'singlemarkersoriginal': ('markers/singlemarkersoriginal.jpg', SIX),
        'gboriginal': ('markers/gboriginal.png', tutorial),
        'charuco/img_01': ('charuco/img_01.jpg', SIX),
    }
    faults = []
    for name, (file, dictionary) in photos.items():
        faults += compare(name, find_markers_of(read_grey(folder / file), dictionary), truth[name])
    diamonds = find_markers_of(read_grey(folder / 'markers' / 'diamondmarkers.png'), tutorial)
    print(f'diamondmarkers           ids {diamonds.ids.tolist()}')
    hidden = find_markers(read_grey(folder / 'charuco' / 'chocclusion_original.jpg'), 'DICT_6X6_250')
    print(f'chocclusion_original     {len(hidden)} markers, 13 published')
    if len(hidden) != 13:
        faults.append('chocclusion_original: 13 markers were published')
    faults += boards(folder)
    for fault in faults:
        print(f'FAIL: {fault}')
    return 1 if faults else 0


if __name__ == '__main__':
    sys.exit(main())

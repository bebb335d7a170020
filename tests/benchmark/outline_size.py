"""How true outline, heights and widths are on photos whose truth is known, and whether the stated doubt holds.

    python tests/benchmark/outline_size.py FOLDER [odd|even] [--typed-height]

FOLDER holds photos NAME.jpg, each with NAME.json that gives "outline_px", "diameter_max_mm", "diameter_min_mm",
"height_mm", "card", "intrinsics" and "camera"; photos whose "shot" is not a "top" view are judged by outline alone.
Prints one line a photo and a summary; z is an error over its stated standard uncertainty. Ends with exit code 1
past the margins below. "odd" or "even" takes every second piece (names up to the second dash): one half for tuning,
the other for checking. The ring's true height is that for which the true outline, seen by the true camera, has the
true widths.
"""

import argparse
import json
import os
import sys
import time
from dataclasses import dataclass, replace
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import cv2
import numpy as np
from scipy.optimize import brentq

sys.path.insert(0, str(Path(__file__).parents[2]))

from calib.card_fit import CardFit, fit_card
from calib.errors import ActionableError, CardNotFound
from grader.opencv_pin import pin_opencv
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.height import SeenHeight, height_knowledge
from grader.outline.judge_height import judge_height
from grader.outline.see_dome import find_outline
from grader.outline.surface import tangent_dome
from grader.photos.load import Photo, load_photo
from grader.settings import PhotoLimits
from grader.size.diameter import measure_diameters

MIN_IOU_MEDIAN, MIN_IOU_WORST = 0.99, 0.96
MAX_ERROR_MEDIAN, MAX_ERROR_P95 = 0.008, 0.025
MIN_COVERAGE, MAX_U_MEDIAN = 0.95, 0.025
MAX_SECONDS = 0.8


@dataclass(frozen=True)
class Result:
    """One photo's figures; ratios to the true width, NaN where there is no card or truth."""

    name: str
    shape: str
    is_top: bool
    iou: float
    seconds: float
    error_max: float = np.nan
    error_min: float = np.nan
    expanded: float = np.nan
    ring_error: float = np.nan
    ring_z: float = np.nan
    height_source: str = ''


def examine(path: Path, truth: dict, typed_height: bool) -> Result:
    photo = load_photo(path, PhotoLimits())
    card = see_card(photo)
    is_top = truth['shot']['view'] == 'top'
    started = time.process_time()
    try:
        outline = find_outline(photo.rgb, card, name=photo.name)
    except ActionableError as err:
        print(err)
        return Result(path.stem, truth['piece']['shape'], is_top, 0.0, time.process_time() - started)
    iou = share_in_common(outline.contour_px, np.array(truth['outline_px']), photo.size_px)
    found = Result(path.stem, truth['piece']['shape'], is_top, iou, time.process_time() - started)
    if isinstance(card, NoCard) or not is_top:
        return found
    before = height_knowledge(truth['height_mm'] if typed_height else None)
    height = judge_height(photo.rgb, card, outline, before)
    sizes = measure_diameters(DomeView(photo, card, outline), height)
    seconds = time.process_time() - started
    ring_mm = true_ring_mm(card, truth)
    assert sizes.max_mm is not None
    assert sizes.min_mm is not None
    return replace(
        found,
        seconds=seconds,
        error_max=sizes.max_mm.value / truth['diameter_max_mm'] - 1,
        error_min=sizes.min_mm.value / truth['diameter_min_mm'] - 1,
        expanded=sizes.max_mm.expanded() / truth['diameter_max_mm'],
        ring_error=(sizes.ring.ring_mm - ring_mm) / truth['diameter_max_mm'],
        ring_z=(sizes.ring.ring_mm - ring_mm) / sizes.ring.u_ring_mm,
        height_source=sizes.ring.source,
    )


def see_card(photo: Photo) -> CardFit | NoCard:
    try:
        return fit_card(photo.rgb, name=photo.name, f35_mm=photo.f35_mm)
    except CardNotFound as err:
        return NoCard(err.problem)


def share_in_common(one: np.ndarray, other: np.ndarray, size_px: tuple[int, int]) -> float:
    masks = []
    for polygon in (one, other):
        mask = np.zeros(size_px[::-1], np.uint8)
        cv2.fillPoly(mask, [np.round(polygon * 16).astype(np.int32)], 1, shift=4)
        masks.append(mask > 0)
    return float((masks[0] & masks[1]).sum() / (masks[0] | masks[1]).sum())


def true_ring_mm(card: CardFit, truth: dict) -> float:
    """Height of the widest ring for which the true outline has the true widths under the true camera."""
    inner, pose = truth['intrinsics'], truth['camera']
    rotation, position = np.array(pose['rotation']), np.array(pose['position_mm'])
    camera = replace(card.camera, focal_px=inner['focal_px'], centre_px=(inner['cx'], inner['cy']), k1=inner['k1'])
    true_card = replace(card, camera=camera, rotation=rotation, translation_mm=-rotation @ position)
    origin, directions = true_card.rays_mm(np.array(truth['outline_px']))
    origins = np.broadcast_to(origin, directions.shape)
    width_mm = np.sqrt(truth['diameter_max_mm'] * truth['diameter_min_mm'])

    def too_wide(ring_mm: float) -> float:
        height = SeenHeight(ring_mm, 0.0, truth['height_mm'] - ring_mm, 'tried')
        return float(2 / np.sqrt(np.linalg.det(tangent_dome(origins, directions, height)[1][:2, :2]))) - width_mm

    share = truth['height_mm']
    return float(brentq(too_wide, 0.05 * share, 0.9 * share))


def summarise(results: list[Result]) -> bool:
    """Print the figures; whether all margins hold."""
    top = [one for one in results if one.is_top]
    iou = np.array([one.iou for one in top])
    sized = [one for one in top if np.isfinite(one.error_max)]
    error = np.abs([one.error_max for one in sized])
    error_min = np.abs([one.error_min for one in sized])
    expanded = np.array([one.expanded for one in sized])
    seconds = np.array([one.seconds for one in top])
    covered = float((error <= expanded).mean())
    ring_z = np.array([one.ring_z for one in sized])
    print(f'outline   {len(top)} photos: IoU median {np.median(iou):.4f}, worst {iou.min():.4f}')
    print(
        f'diameter  {len(sized)} photos: error median {np.median(error):.2%}, 95th percentile '
        f'{np.percentile(error, 95):.2%}, largest {error.max():.2%}; U median {np.median(expanded):.2%}, '
        f'covers {covered:.1%}'
    )
    print(f'smallest  error median {np.median(error_min):.2%}, 95th percentile {np.percentile(error_min, 95):.2%}')
    print(f'ring      z root mean square {np.sqrt((ring_z**2).mean()):.2f}')
    print(f'time      median {np.median(seconds):.2f} s, longest {seconds.max():.2f} s (one core, card fit apart)')
    side = [one.iou for one in results if not one.is_top]
    if side:
        print(f'sideways  {len(side)} photos: IoU median {np.median(side):.4f}, worst {min(side):.4f}')
    return bool(
        np.median(iou) >= MIN_IOU_MEDIAN
        and iou.min() >= MIN_IOU_WORST
        and np.median(error) <= MAX_ERROR_MEDIAN
        and np.percentile(error, 95) <= MAX_ERROR_P95
        and covered >= MIN_COVERAGE
        and np.median(expanded) <= MAX_U_MEDIAN
        and np.median(seconds) <= MAX_SECONDS
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folder', type=Path)
    parser.add_argument('half', nargs='?', choices=('odd', 'even'))
    parser.add_argument('--typed-height', action='store_true', help='tell the program the true height')
    options = parser.parse_args()
    pin_opencv()
    truths = {path: json.loads(path.read_text()) for path in sorted(options.folder.glob('*.json'))}
    pieces = sorted({piece_of(path) for path in truths})
    if options.half:
        pieces = pieces[options.half == 'odd' :: 2]
    results = []
    for path, truth in truths.items():
        if piece_of(path) not in pieces:
            continue
        one = examine(path.with_suffix('.jpg'), truth, options.typed_height)
        results.append(one)
        print(
            f'{one.name:28s} {one.shape:8s} IoU {one.iou:.4f}  max {one.error_max:+7.2%} min {one.error_min:+7.2%} '
            f'U {one.expanded:6.2%}  ring {one.ring_error:+.3f} z {one.ring_z:+5.1f}  {one.seconds:.2f} s  '
            f'{one.height_source}'
        )
    return 0 if summarise(results) else 1


def piece_of(path: Path) -> str:
    return '-'.join(path.stem.split('-')[:3])


if __name__ == '__main__':
    sys.exit(main())

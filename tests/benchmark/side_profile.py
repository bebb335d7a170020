"""How well side photos give a piece's outline, height and width, on photos whose truth is known.

    python tests/benchmark/side_profile.py FOLDER [SET ...]

FOLDER holds sets of photos of one piece, NAME-side0.jpg and so on with NAME-top*.jpg, each with its truth in a JSON file
of the same name (see fixtures/studio/README.md). Fails where a figure is past its limit.
"""

import argparse
import json
import os
import sys
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import cv2
import numpy as np

sys.path.insert(0, str(Path(__file__).parents[2]))

from calib.card_fit import fit_card
from calib.measured import Measured
from grader.opencv_pin import pin_opencv
from grader.outline.dome_view import DomeView
from grader.outline.height import UsualShape
from grader.outline.judge_height import judge_height
from grader.outline.see_dome import find_outline
from grader.outline.side_view import is_side_view
from grader.photos.load import load_photo
from grader.settings import Settings
from grader.size.diameter import measure_diameters
from grader.size.form import judge_form
from grader.size.profile import NoProfile, measure_profile

MIN_IOU_MEDIAN, MAX_ERROR_MEDIAN, MIN_COVERAGE = 0.98, 0.004, 0.95


@dataclass(frozen=True)
class Check:
    """One size against its truth."""

    name: str
    measured: Measured
    true_mm: float

    @property
    def error(self) -> float:
        return self.measured.value / self.true_mm - 1

    @property
    def is_covered(self) -> bool:
        return abs(self.measured.value - self.true_mm) <= self.measured.expanded()

    def __str__(self) -> str:
        miss = '' if self.is_covered else ' MISS'
        return f'{self.name} {self.error:+.2%} (U {self.measured.expanded() / self.true_mm:.2%}){miss}'


def iou(first: np.ndarray, second: np.ndarray, shape: tuple[int, ...]) -> float:
    masks = [np.zeros(shape[:2], np.uint8) for _ in range(2)]
    for mask, polygon in zip(masks, (first, second), strict=True):
        cv2.fillPoly(mask, [np.round(np.asarray(polygon) * 16).astype(np.int32)], 1, shift=4)
    return float((masks[0] & masks[1]).sum() / (masks[0] | masks[1]).sum())


def look(path: Path) -> tuple[DomeView, dict]:
    photo = load_photo(path, Settings().photos)
    card = fit_card(photo.rgb, name=photo.name, f35_mm=photo.f35_mm)
    return DomeView(photo, card, find_outline(photo.rgb, card, name=photo.name)), json.loads(
        path.with_suffix('.json').read_text()
    )


def examine(name: str, paths: list[Path]) -> tuple[list[float], dict[str, list[Check]]]:
    looked = [look(path) for path in paths]
    truth = looked[0][1]
    ious = [
        iou(view.outline.contour_px, one['outline_px'], view.photo.rgb.shape)
        for view, one in looked
        if is_side_view(view.card)
    ]
    views = [view for view, _ in looked]
    profile = measure_profile(views)
    if isinstance(profile, NoProfile):
        raise SystemExit(f'{name}: {profile.reason}')
    checks = {
        'height': [Check('height', profile.height_mm, truth['height_mm'])],
        'width by sides': [Check('width by sides', profile.width_mm, truth['diameter_max_mm'])],
        'alone': [],
        'with sides': [],
    }
    form = '-'
    for view in views:
        if is_side_view(view.card):
            continue
        known = judge_height(view.photo.rgb, view.card, view.outline, UsualShape())
        alone, joined = measure_diameters(view, known), measure_diameters(view, profile.knowledge)
        checks['alone'].append(Check('alone', alone.max_mm, truth['diameter_max_mm']))
        checks['with sides'].append(Check('with sides', joined.max_mm, truth['diameter_max_mm']))
        form = judge_form(view, joined, profile).kind
    print(
        f'{name} ({truth["piece"]["shape"]}, taken for {form}) IoU '
        + ' '.join(f'{one:.3f}' for one in ious)
        + '  '
        + '  '.join(str(check) for group in checks.values() for check in group)
        + f'  {" ".join(profile.flags)}',
        flush=True,
    )
    return ious, checks


def summarise(ious: list[float], checks: dict[str, list[Check]]) -> bool:
    print(f'outline IoU median {np.median(ious):.4f}, least {min(ious):.4f}')
    good = bool(np.median(ious) >= MIN_IOU_MEDIAN)
    for name, group in checks.items():
        if not group:
            continue
        error = float(np.median(np.abs([one.error for one in group])))
        covered = float(np.mean([one.is_covered for one in group]))
        u = float(np.median([one.measured.expanded() / one.true_mm for one in group]))
        print(f'{name:15s} n {len(group):3d}  median error {error:.2%}  U {u:.2%}  within U {covered:.0%}')
        if name in ('height', 'with sides'):
            good &= error <= MAX_ERROR_MEDIAN and covered >= MIN_COVERAGE
    return good


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folder', type=Path)
    parser.add_argument('sets', nargs='*')
    options = parser.parse_args()
    pin_opencv()
    groups: dict[str, list[Path]] = {}
    for path in sorted(options.folder.glob('*-side?.jpg')):
        name = path.stem.rsplit('-', 1)[0]
        if not options.sets or name in options.sets:
            groups[name] = sorted(options.folder.glob(f'{name}-*.jpg'))
    ious: list[float] = []
    checks: dict[str, list[Check]] = {}
    for name, paths in groups.items():
        some, found = examine(name, paths)
        ious += some
        for key, group in found.items():
            checks.setdefault(key, []).extend(group)
    return 0 if summarise(ious, checks) else 1


if __name__ == '__main__':
    sys.exit(main())

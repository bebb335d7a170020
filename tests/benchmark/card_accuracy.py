"""How true the card's mapping is, on photos whose camera is known, and whether its stated doubt holds.

    python tests/benchmark/card_accuracy.py FOLDER [odd|even]

FOLDER holds photos NAME.jpg, each with NAME.json that gives "card", "intrinsics" (focal_px, cx, cy, k1) and
"camera" (position_mm, rotation). Prints one line a photo and a summary; errors of the summary's last column are
divided by their stated standard uncertainties, so 1 is honest, less is cautious. Ends with exit code 1 past the
margins below. "odd" or "even" takes every second photo: one half for tuning, the other for checking.
"""

import argparse
import json
import math
import os
import sys
import time
from dataclasses import dataclass
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import cv2
import numpy as np
from PIL import Image

sys.path.insert(0, str(Path(__file__).parents[2]))

from calib.camera import Camera
from calib.card_fit import CardFit, fit_card
from calib.errors import ActionableError

N_DRAWS = 200
FIELD_MM = 60.0
RAISED_MM = 30.0
# Margins: what the pose owes to a diameter that shall be true to 0.8 %.
MAX_MEDIAN_PLANE_MM = 0.05
MAX_SECONDS = 0.45
Z_LIMITS = (0.1, 1.3)


@dataclass(frozen=True)
class Accuracy:
    """Errors of one photo, and errors over stated uncertainties (z)."""

    name: str
    group: str
    seconds: float
    rms_px: float
    focal_ratio: float
    u_focal_ratio: float
    focal_z: float
    position_mm: float
    position_z: float
    plane_mm: float
    plane_z: float
    raised_mm: float
    raised_z: float


def measure(path: Path, truth: dict) -> Accuracy:
    """Fit one photo's card and compare with the truth."""
    picture = Image.open(path)
    f35_mm = picture.getexif().get_ifd(0x8769).get(0xA405)
    rgb = np.asarray(picture.convert('RGB'))
    start = time.perf_counter()
    fit = fit_card(rgb, name=path.name, f35_mm=f35_mm)
    seconds = time.perf_counter() - start
    draws = fit.sample(np.random.default_rng(1), N_DRAWS)
    focal = truth['intrinsics']['focal_px']
    focal_ratio = fit.camera.focal_px / focal - 1
    u_focal_ratio = fit.camera.u_focal_px / focal
    plane, u_plane = plane_error(fit, draws, truth, 0.0)
    raised, u_raised = plane_error(fit, draws, truth, RAISED_MM)
    position = fit.camera_position_mm - truth['camera']['position_mm']
    u_position = rms([draw.camera_position_mm - fit.camera_position_mm for draw in draws])
    return Accuracy(
        path.name,
        f"{truth['shot']['view']}, {'Exif' if f35_mm else 'no Exif'}",
        seconds,
        fit.rms_px,
        focal_ratio,
        u_focal_ratio,
        focal_ratio / u_focal_ratio,
        float(np.linalg.norm(position)),
        float(np.linalg.norm(position)) / u_position,
        plane,
        plane / u_plane,
        raised,
        raised / u_raised,
    )


def plane_error(fit: CardFit, draws: list[CardFit], truth: dict, height_mm: float) -> tuple[float, float]:
    """Root mean square error of mapped points of the field at a height, mm, and the stated one."""
    x, y = np.meshgrid(np.linspace(-FIELD_MM, FIELD_MM, 5), np.linspace(-FIELD_MM, FIELD_MM, 5))
    points = np.column_stack([x.ravel(), y.ravel(), np.full(x.size, height_mm)])
    inner, outer = truth['intrinsics'], truth['camera']
    camera = Camera(inner['focal_px'], (inner['cx'], inner['cy']), inner['k1'], (1, 1), 0.0, 'truth')
    seen = camera.project((points - outer['position_mm']) @ np.array(outer['rotation']).T)
    mapped = fit.to_plane_mm(seen, height_mm)
    u = rms([draw.to_plane_mm(seen, height_mm) - mapped for draw in draws])
    return rms([mapped - points[:, :2]]), u


def rms(offsets: list[np.ndarray]) -> float:
    """Root mean square length of 2- or 3-vectors."""
    return float(np.sqrt(np.mean([np.sum(np.atleast_2d(one) ** 2, axis=1) for one in offsets])))


def summary(rows: list[Accuracy], group: str) -> None:
    """One line: medians, and root mean squares of z."""

    def median(name: str) -> float:
        return float(np.median([abs(getattr(row, name)) for row in rows]))

    def z(name: str) -> float:
        return math.sqrt(float(np.mean([getattr(row, name) ** 2 for row in rows])))

    print(
        f"{group:16s} {len(rows):3d}  {median('seconds'):5.2f} s  {median('rms_px'):.3f} px"
        f"  focal {100 * median('focal_ratio'):5.2f} % (stated {100 * median('u_focal_ratio'):5.2f} %, z {z('focal_z'):.2f})"
        f"  position {median('position_mm'):5.1f} mm (z {z('position_z'):.2f})"
        f"  plane {median('plane_mm'):.3f} mm (z {z('plane_z'):.2f})"
        f"  {RAISED_MM:.0f} mm up {median('raised_mm'):.2f} mm (z {z('raised_z'):.2f})"
    )


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folder', type=Path)
    parser.add_argument('half', nargs='?', choices=['odd', 'even'])
    options = parser.parse_args()
    cv2.setNumThreads(1)
    truths = [(path, json.loads(path.read_text('utf-8'))) for path in sorted(options.folder.glob('*.json'))]
    truths = [(path, truth) for path, truth in truths if truth.get('card') == 'frame']
    if options.half:
        truths = truths[options.half == 'odd' :: 2]
    rows, failed = [], 0
    for path, truth in truths:
        try:
            row = measure(path.with_name(truth['photo']), truth)
        except ActionableError as error:
            print(f'{path.stem}: {error}')
            failed += 1
            continue
        rows.append(row)
        print(
            f'{row.name:32s} {row.group:14s} {row.seconds:.2f} s  {row.rms_px:.3f} px  focal {100 * row.focal_ratio:6.2f} %'
            f' (u {100 * row.u_focal_ratio:5.2f} %)  position {row.position_mm:5.1f} mm (z {row.position_z:.2f})'
            f'  plane {row.plane_mm:.3f} mm (z {row.plane_z:.2f})  raised {row.raised_mm:.2f} mm (z {row.raised_z:.2f})'
        )
    print()
    for group in sorted({row.group for row in rows}):
        summary([row for row in rows if row.group == group], group)
    summary(rows, 'all')
    return judge(rows, failed)


def judge(rows: list[Accuracy], failed: int) -> int:
    """Exit code 1 if a margin is passed."""
    faults = []
    if failed:
        faults.append(f'{failed} photos have no card fit')
    if np.median([row.plane_mm for row in rows]) > MAX_MEDIAN_PLANE_MM:
        faults.append(f'the median error in the card plane is over {MAX_MEDIAN_PLANE_MM} mm')
    if np.median([row.seconds for row in rows]) > MAX_SECONDS:
        faults.append(f'the median photo takes more than {MAX_SECONDS} s')
    for name in ('focal_z', 'position_z', 'plane_z', 'raised_z'):
        z = math.sqrt(float(np.mean([getattr(row, name) ** 2 for row in rows])))
        if not Z_LIMITS[0] <= z <= Z_LIMITS[1]:
            faults.append(f'{name} is {z:.2f}, {Z_LIMITS[0]} to {Z_LIMITS[1]} was expected')
    for fault in faults:
        print(f'FAIL: {fault}')
    return 1 if faults else 0


if __name__ == '__main__':
    sys.exit(main())

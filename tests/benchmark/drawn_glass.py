"""Whether the confidence of marks on close-ups is right, on drawn close-ups of which every mark is known.

    python tests/benchmark/drawn_glass.py [--first 100] [--count 60] [--fit]

Labels of real photos leave out hairlines, so there a confidence cannot be checked. Here a found mark is real if at
least half of its outline's area lies within NEAR_PX of something drawn, however faint. --fit prints the numbers of
close_up_constants.py that suit these pictures best; they were fitted on pictures 0 to 99. Ends with exit code 1 where
the expected calibration error is above the margin.
"""

import argparse
import os
import sys
from pathlib import Path

os.environ.setdefault('OMP_NUM_THREADS', '1')

import cv2
import numpy as np
from scipy.optimize import minimize

sys.path.insert(0, str(Path(__file__).parents[2]))

from grader.marks.close_up import find_close_up_marks
from tests.benchmark.glass_marks_score import raster
from tests.support.scratched_glass import drawn_close_up

NEAR_PX = 4
LARGEST_ERROR = 0.05


def judged(first: int, count: int) -> np.ndarray:
    """Found marks of drawn close-ups, (N, 3): confidence, salience, and 1 where real."""
    rows = []
    for seed in range(first, first + count):
        rgb, drawn = drawn_close_up(seed)
        near = cv2.dilate(drawn.astype(np.uint8), np.ones((2 * NEAR_PX + 1,) * 2, np.uint8))
        for mark in find_close_up_marks(rgb):
            mask = raster(mark.polygon_px, drawn.shape)
            rows.append((mark.confidence, mark.salience, float((mask & near).sum() >= mask.sum() / 2)))
    return np.array(rows)


def table(confidence: np.ndarray, real: np.ndarray) -> list[tuple[float, float, int]]:
    """Mean confidence, share real, and number, in tenths of confidence."""
    tenth = np.minimum((confidence * 10).astype(int), 9)
    return [
        (float(confidence[tenth == t].mean()), float(real[tenth == t].mean()), int((tenth == t).sum()))
        for t in range(10)
        if (tenth == t).any()
    ]


def calibration_error(rows: list[tuple[float, float, int]]) -> float:
    """Mean gap between confidence and share real, weighted by number."""
    return sum(n * abs(c - s) for c, s, n in rows) / sum(n for _, _, n in rows)


def fitted(salience: np.ndarray, real: np.ndarray) -> np.ndarray:
    """Salience at even odds, and rise of the log odds, by maximum likelihood."""

    def loss(factors: np.ndarray) -> float:
        odds = factors[1] * (salience - factors[0])
        return float(np.mean(np.logaddexp(0, odds) - real * odds))

    return np.asarray(minimize(loss, [2.0, 2.0], method='Nelder-Mead').x)


def main() -> int:
    """Run and print; 1 above the margin."""
    parser = argparse.ArgumentParser(description=__doc__.split('\n', 1)[0])
    parser.add_argument('--first', type=int, default=100)
    parser.add_argument('--count', type=int, default=60)
    parser.add_argument('--fit', action='store_true')
    options = parser.parse_args()
    cv2.setNumThreads(1)
    found = judged(options.first, options.count)
    rows = table(found[:, 0], found[:, 2])
    for confidence, share, number in rows:
        print(f'confidence {confidence:.2f}   real {share:.2f}   marks {number}')
    error = calibration_error(rows)
    print(f'expected calibration error {error:.3f}, {len(found)} marks on {options.count} drawn close-ups')
    if options.fit:
        half, steepness = fitted(found[:, 1], found[:, 2])
        print(f'CONFIDENCE_HALF = {half:.2f}, CONFIDENCE_STEEPNESS = {steepness:.2f}')
    return 0 if error <= LARGEST_ERROR else 1


if __name__ == '__main__':
    sys.exit(main())

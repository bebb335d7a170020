"""A plain recipe to compare with: Sato ridges, thresholded at a multiple of the photo's own median, named by shape.

It stands for what a page of scikit-image gives: what is three times longer than wide is a scratch, small things are
spots, and the rest contusions.
"""

import cv2
import numpy as np
from skimage.filters import apply_hysteresis_threshold, sato

WIDTHS_PX = (1.0, 2.0, 4.0)
LOW, HIGH = 6.0, 12.0  # chosen for the best average precision on the first ten photos by name
SPOT_PX = 40.0
ELONGATION = 3.0
LEAST_AREA_PX = 12


def find_plainly(rgb: np.ndarray) -> list[dict]:
    """Rows of kind, polygon_px and confidence for one photo (H, W, 3), uint8."""
    grey = rgb.mean(axis=2)
    ridge = np.maximum(sato(grey, WIDTHS_PX, black_ridges=False), sato(grey, WIDTHS_PX, black_ridges=True))
    ridge = ridge / np.median(ridge)
    mask = apply_hysteresis_threshold(ridge, LOW, HIGH).astype(np.uint8)
    n, labels, stats, _ = cv2.connectedComponentsWithStats(mask, connectivity=8)
    rows = []
    for number in range(1, n):
        if stats[number, cv2.CC_STAT_AREA] < LEAST_AREA_PX:
            continue
        part = (labels == number).astype(np.uint8)
        contours, _ = cv2.findContours(part, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_SIMPLE)
        outline = max(contours, key=len)
        sides = cv2.minAreaRect(outline)[1]
        long, short = max(sides) + 1, min(sides) + 1
        kind = 'scratch' if long > ELONGATION * short else 'spot' if long < SPOT_PX else 'contusion'
        peak = float(ridge[part > 0].max())
        rows.append({'kind': kind, 'polygon_px': outline[:, 0].tolist(), 'confidence': 1 - HIGH / (HIGH + peak)})
    return rows

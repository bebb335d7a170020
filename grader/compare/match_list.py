"""Details of a design side by side, as pixels of both photos."""

import numpy as np

from calib.arrays import FloatArray
from grader.compare.design_evidence import DesignEvidence
from grader.compare.judgement import DetailMatch
from grader.compare.same_constants import MATCH_APART_RATIO, MATCHES_SHOWN


def list_matches(evidence: DesignEvidence, *, before: int, after: int) -> tuple[DetailMatch, ...]:
    """Details spread over the design, the most alike first.

    Parameters
    ----------
    evidence : DesignEvidence
    before, after : int
        Numbers of the photos that were compared.
    """
    fine = evidence.fine
    if not len(fine.places):
        return ()
    later_px, earlier_px = _pixels(evidence)
    shown = np.asarray(np.isfinite(later_px).all(axis=1) & np.isfinite(earlier_px).all(axis=1))
    chosen = _spread(fine.places, fine.energy, shown)
    found = [
        DetailMatch(before, after, earlier_px[k], later_px[k], float(np.clip(fine.likeness[k], -1.0, 1.0)))
        for k in chosen
    ]
    return tuple(sorted(found, key=lambda one: -one.likeness))


def _pixels(evidence: DesignEvidence) -> tuple[FloatArray, FloatArray]:
    """Pixels (K, 2) of the details in the later photo and in the earlier one."""
    later, earlier = evidence.charts
    half = (len(later.seen) - 1) / 2
    x, y = ((evidence.fine.places - half) / half).T
    dx, dy = evidence.field.shift(x, y)
    turn = evidence.field.base_turn_rad
    moved_x, moved_y = x + dx, y + dy
    there = np.column_stack(
        [
            moved_x * np.cos(turn) - moved_y * np.sin(turn),
            moved_x * np.sin(turn) + moved_y * np.cos(turn),
        ]
    )
    return _read(later.pixels, evidence.fine.places), _read(earlier.pixels, there * half + half)


def _read(pixels: np.ndarray, places: FloatArray) -> FloatArray:
    """Pixels at places (K, 2) of a chart, between its points; not finite outside."""
    last = len(pixels) - 1
    low = np.clip(np.floor(places).astype(int), 0, last - 1)
    part = (places - low)[:, :, None]
    rows, columns = low[:, 1], low[:, 0]
    upper = pixels[rows, columns] * (1 - part[:, 0]) + pixels[rows, columns + 1] * part[:, 0]
    lower = pixels[rows + 1, columns] * (1 - part[:, 0]) + pixels[rows + 1, columns + 1] * part[:, 0]
    inside = np.asarray(((places >= 0) & (places <= last)).all(axis=1))[:, None]
    return np.asarray(np.where(inside, upper * (1 - part[:, 1]) + lower * part[:, 1], np.nan), dtype=np.float64)


def _spread(places: FloatArray, energy: FloatArray, shown: np.ndarray) -> list[int]:
    """Numbers of details far from each other, those with most pattern first."""
    half = float(places.max()) / 2
    chosen: list[int] = []
    for k in sorted(np.flatnonzero(shown).tolist(), key=lambda one: (-energy[one], one)):
        if all(np.hypot(*(places[k] - places[other])) > MATCH_APART_RATIO * half for other in chosen):
            chosen.append(k)
        if len(chosen) == MATCHES_SHOWN:
            break
    return chosen

"""How well two unrolled designs agree when one is turned against the other."""

import numpy as np

from calib.arrays import FloatArray
from grader.sets.constants import DESIGN_RINGS, TURN_STEPS
from grader.sets.design_map import DesignMap


def design_agreement(first: DesignMap, second: DesignMap) -> FloatArray:
    """Agreement, -1 to 1, for each turn of the piece from the first photo to the second, (TURN_STEPS,).

    It is the correlation of the patterns on all rings where both were seen, each ring weighted by its length; of the
    heights at which the design may lie, the one that agrees best counts at each turn.
    """
    return np.asarray(level_agreement(first, second).max(axis=0))


def level_agreement(first: DesignMap, second: DesignMap) -> FloatArray:
    """The same for each height at which the design may lie, (levels, TURN_STEPS)."""
    return np.array(
        [
            _correlation(first.pattern[k], first.seen[k], second.pattern[k], second.seen[k])
            for k in range(len(first.pattern))
        ]
    )


def _correlation(pattern_a: np.ndarray, seen_a: np.ndarray, pattern_b: np.ndarray, seen_b: np.ndarray) -> FloatArray:
    """Correlation over all turns of rings (rings, steps, 3) by fast Fourier transform; equals the sum, turn by turn."""
    lengths = np.linspace(*DESIGN_RINGS)[:, None, None]
    spectrum_a, spectrum_b = _spectrum(pattern_a), _spectrum(pattern_b)
    free_a, free_b = _spectrum(seen_a[..., None]), _spectrum(seen_b[..., None])
    both = _summed(np.conj(spectrum_a) * spectrum_b, lengths)
    power_a = _summed(np.conj(_spectrum(pattern_a**2)) * free_b, lengths)
    power_b = _summed(np.conj(free_a) * _spectrum(pattern_b**2), lengths)
    power = np.sqrt(np.maximum(power_a, 0.0) * np.maximum(power_b, 0.0))
    floor = 1e-3 * float(power.max()) + 1e-9
    return np.where(power > floor, both / np.maximum(power, floor), 0.0)


def _spectrum(rings: np.ndarray) -> np.ndarray:
    return np.asarray(np.fft.rfft(rings.astype(np.float64), axis=1))


def _summed(spectrum: np.ndarray, lengths: FloatArray) -> FloatArray:
    return np.asarray((np.fft.irfft(spectrum, TURN_STEPS, axis=1) * lengths).sum(axis=(0, 2)))

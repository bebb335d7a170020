"""How well pieces are told apart: python -m tests.benchmark.same_piece FOLDER [--listing-px 600 --jpeg 60] [--keep DIR]

The folder holds rendered photos with truth. Each `-after` and `-stranger` is compared with its `-before`, and photos from
above of one piece with each other. With `--listing-px` the earlier photo is made a listing picture: cut out, reduced,
without card or Exif; with `--both` the later one too. Photos are examined once and kept in DIR.
"""

import argparse
import time
from dataclasses import dataclass
from itertools import pairwise
from pathlib import Path

import numpy as np

from calib.arrays import FloatArray
from grader.compare.judgement import PieceJudgement
from grader.compare.same_piece import judge_same_piece
from grader.compare.sides import Sides
from grader.opencv_pin import pin_opencv
from tests.benchmark.piece_pairs import Listing, PiecePair, examined, far_strangers, list_pairs, number_of, truth_of

NEAR_DEG = 3.0  # farther off lies another turn at which a symmetric design agrees
LEVELS = (0.0, 0.1, 0.3, 0.5, 0.7, 0.9, 1.0)


@dataclass(frozen=True, slots=True, eq=False)
class Result:
    """One pair, judged."""

    pair: PiecePair
    judged: PieceJudgement
    off_deg: float
    seconds: float


def main() -> None:
    """Judge all pairs and print what came of it."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument('folder', type=Path)
    parser.add_argument('--listing-px', type=float)
    parser.add_argument('--jpeg', type=int, default=60)
    parser.add_argument('--both', action='store_true')
    parser.add_argument('--keep', type=Path, default=Path('examined'))
    parser.add_argument('--far', type=int, default=0, help='every so many pairs of quite other pieces as well')
    parser.add_argument('--odd', action='store_true', help='only pairs of an odd number')
    options = parser.parse_args()
    pin_opencv()
    listing = Listing(options.listing_px, options.jpeg) if options.listing_px else None
    pairs = list(list_pairs(options.folder)) + (list(far_strangers(options.folder, options.far)) if options.far else [])
    if options.odd:
        pairs = [pair for pair in pairs if number_of(pair.before) % 2]
    results = []
    for pair in pairs:
        small = options.keep / f'listing-{options.listing_px}-{options.jpeg}' if listing else options.keep / 'full'
        before = examined(options.folder, pair.before, listing, small)
        later = listing if options.both else None
        after = examined(options.folder, pair.after, later, small if options.both else options.keep / 'full')
        start = time.process_time()
        judged = judge_same_piece(Sides((before,), (after,)))
        seconds = time.process_time() - start
        results.append(
            Result(pair, judged, _off_deg(options.folder, pair, judged, listed=(bool(listing), bool(later))), seconds)
        )
        print(_line(results[-1]), flush=True)
    print(summary(results))


def summary(results: list[Result]) -> str:
    """AUC, shares called same, and how often each probability is right."""
    given = np.array([one.judged.probability for one in results])
    same = np.array([one.pair.is_same for one in results])
    lines = [
        f'pairs of one piece {same.sum()}, of two {(~same).sum()}',
        f'AUC {auc(given[same], given[~same]):.3f}',
        f'called the same: {(given[same] >= 0.5).mean():.1%} of one piece, {(given[~same] >= 0.5).mean():.1%} of two',
    ]
    for low, high in pairwise(LEVELS):
        within = (given >= low) & ((given < high) | (high == 1.0))
        if within.any():
            lines.append(
                f'given {low:.1f} to {high:.1f}: {within.sum()} pairs, mean {given[within].mean():.2f}, '
                f'{same[within].mean():.0%} of one piece'
            )
    found = [one for one in results if one.pair.is_same and abs(one.off_deg) < NEAR_DEG]
    if found:
        off = np.abs([one.off_deg for one in found])
        doubt = np.degrees([one.judged.alignment.before[0].u_turn_rad for one in found])
        lines.append(
            f'turn, equal ones of symmetric designs apart ({len(found)} pairs): median error {np.median(off):.2f} degrees, '
            f'within 0.2: {(off < 0.2).mean():.0%}, within twice its doubt: {(off < 2 * doubt).mean():.0%}'
        )
    lines.append(f'processor time: mean {np.mean([one.seconds for one in results]):.2f} s a pair')
    return '\n'.join(lines)


def auc(same: FloatArray, other: FloatArray) -> float:
    """Chance that a pair of one piece is given more than a pair of two; ties count half."""
    if not same.size or not other.size:
        return float('nan')
    above = same[:, None] > other[None]
    return float((above + 0.5 * (same[:, None] == other[None])).mean())


def _off_deg(folder: Path, pair: PiecePair, judged: PieceJudgement, *, listed: tuple[bool, bool]) -> float:
    """Error of the turn; of the earlier and the later photo it is told which are listing pictures."""
    spins = [
        _spin_deg(truth_of(folder, name), own) for name, own in zip((pair.before, pair.after), listed, strict=True)
    ]
    turn = np.degrees(judged.alignment.before[0].turn_rad)
    return float((turn - (spins[0] - spins[1]) + 180) % 360 - 180)


def _spin_deg(truth: dict, is_listed: bool) -> float:
    """How the piece is turned: on the card, or without a card in the picture, which the camera's roll turns too."""
    right, down, _ = np.array(truth['camera']['rotation'])
    roll = np.degrees(np.arctan2(-down[0], right[0])) if is_listed else 0.0
    return float(truth['shot']['spin']) + float(roll)


def _line(one: Result) -> str:
    kind = 'same ' if one.pair.is_same else 'other'
    grounds = ', '.join(f'{ground.name} {ground.log_odds:+.1f}' for ground in one.judged.grounds)
    return f'{kind} {one.judged.probability:.3f} {one.judged.design:6} {one.pair.before} {one.pair.after} ({grounds}) {one.off_deg:.2f}'


if __name__ == '__main__':
    main()

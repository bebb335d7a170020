"""Fits the odds that two sides show one piece.

    python -m tests.benchmark.fit_piece_odds FOLDER... [--keep DIR] [--half even|odd|all] [--listing-px 600 300] > grader/compare/piece_odds_v1.json

Folders hold rendered photos with truth: pairs before and after a journey with strangers of the same make, and photos of
other pieces, of which some pairs at random count as strangers too. With `--listing-px` all pairs take part as listing
pictures of these widths as well, cut out and without a card. First the odds of single details are fitted, each pair
of photos counting once; then those of the whole design on what the details say. With `--half` only pairs with even or
odd numbers take part, so that the other half can be used to check.
"""

import argparse
import json
import sys
from dataclasses import dataclass
from pathlib import Path

import numpy as np

from calib.arrays import FloatArray
from grader.compare.fine_match import FineMatch
from grader.compare.piece_colours import ColourMatch
from grader.compare.piece_odds import Logistic, design_features, detail_features, detail_odds_of
from grader.compare.same_constants import CONTRAST_NONE
from grader.compare.same_piece import compare_designs
from grader.compare.sides import Sides
from grader.opencv_pin import pin_opencv
from grader.sets.pair_turn import is_same_light
from tests.benchmark.piece_pairs import Listing, PiecePair, examined, far_strangers, list_pairs, number_of

FAR_STEP = 40  # one in so many pairs of quite other pieces
LISTING_QUALITY = 60  # of JPEG
FAR_WEIGHT = 0.3  # such pairs are easy, and many
DETAIL_RIDGE, DESIGN_RIDGE = 1e-3, 5e-3  # of the mean log-likelihood; few pairs, many features
ROUNDS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Example:
    """One pair of photos, compared."""

    fine: FineMatch
    score: float
    contrast: float
    colours: ColourMatch
    other_light: bool
    is_same: bool
    weight: float


def main() -> None:
    """Compare all pairs and print the two models."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folders', type=Path, nargs='+')
    parser.add_argument('--keep', type=Path, default=Path('examined'))
    parser.add_argument('--half', choices=('even', 'odd', 'all'), default='all')
    parser.add_argument('--listing-px', type=float, nargs='*', default=[])
    options = parser.parse_args()
    pin_opencv()
    examples = []
    for folder in options.folders:
        near = [(pair, 1.0) for pair in list_pairs(folder)]
        for pair, weight in near + [(pair, FAR_WEIGHT) for pair in far_strangers(folder, FAR_STEP)]:
            if options.half == 'all' or (number_of(pair.before) % 2 == 0) == (options.half == 'even'):
                for width_px in (None, *options.listing_px):
                    listing = None if width_px is None else Listing(width_px, LISTING_QUALITY)
                    examples += _example(folder, pair, weight, listing, options.keep / folder.name)
                print(pair.before, pair.after, file=sys.stderr, flush=True)
    print(json.dumps(fitted(examples), indent=1))


def fitted(examples: list[Example]) -> dict:
    """Both models, as they are stored."""
    rows = [detail_features(one.fine, other_light=one.other_light) for one in examples]
    detail = logistic(
        np.vstack(rows),
        np.concatenate([np.full(len(row), float(one.is_same)) for row, one in zip(rows, examples, strict=True)]),
        np.concatenate(
            [np.full(len(row), one.weight / max(len(row), 5)) for row, one in zip(rows, examples, strict=True)]
        ),
        DETAIL_RIDGE,
    )
    whole = [
        design_features(
            detail_odds_of(detail, row), one.fine.energy, one.score, one.colours, other_light=one.other_light
        )
        for row, one in zip(rows, examples, strict=True)
        if one.contrast >= CONTRAST_NONE
    ]
    told = [one for one in examples if one.contrast >= CONTRAST_NONE]
    design = logistic(
        np.array(whole),
        np.array([float(one.is_same) for one in told]),
        np.array([one.weight for one in told]),
        DESIGN_RIDGE,
    )
    return {
        name: {'offset': round(model.offset, 4), 'weights': np.round(model.weights, 4).tolist()}
        for name, model in (('detail', detail), ('design', design))
    }


def logistic(features: FloatArray, is_same: FloatArray, weight: FloatArray, ridge: float) -> Logistic:
    """Logistic regression by Newton steps, the offset free."""
    rows = np.column_stack([np.ones(len(features)), features])
    weight = weight / weight.sum()
    bend = np.diag([1e-9, *np.full(features.shape[1], ridge)])
    values = np.zeros(rows.shape[1])
    for _ in range(ROUNDS):
        chance = 1 / (1 + np.exp(-np.clip(rows @ values, -30, 30)))
        pull = rows.T @ (weight * (is_same - chance)) - bend @ values
        values = values + np.linalg.solve((rows * (weight * chance * (1 - chance))[:, None]).T @ rows + bend, pull)
    return Logistic(float(values[0]), values[1:])


def _example(folder: Path, pair: PiecePair, weight: float, listing: Listing | None, keep: Path) -> list[Example]:
    kept = keep / ('full' if listing is None else f'listing-{listing.width_px}-{listing.quality}')
    before, after = (examined(folder, name, listing, kept) for name in (pair.before, pair.after))
    found = compare_designs(Sides((before,), (after,)))
    if found is None:
        return []
    other_light = not is_same_light(before, after)
    return [
        Example(found.fine, found.match.score, found.match.contrast, found.colours, other_light, pair.is_same, weight)
    ]


if __name__ == '__main__':
    main()

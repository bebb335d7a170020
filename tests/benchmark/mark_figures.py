"""How well records name the marks of photos whose truth is known, and whether their confidence means what it says.

    python tests/benchmark/mark_figures.py PHOTOS RECORDS [--sheets FOLDER] [--half odd|even]

PHOTOS holds NAME.jpg with the truth NAME.json, RECORDS the records NAME.json of ``grader batch``. Only photos from
above are judged. Prints figures by kind, a table of reliability (of the marks given 0.8 about 80 % should be real) with
its expected calibration error, and how often the stated uncertainty of a mark's size holds. With --sheets it draws the
misses and the false alarms, one by one, into contact sheets.
"""

import argparse
import json
import sys
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from contact_sheet import Tile, write_sheet
from mark_truth import DAMAGE_AND_BUBBLES, Matched, match_marks

REPORTED = 0.5  # a mark counts as reported from this confidence on
N_BINS = 10
SIZE_OF = {'scratch': 'length_mm', 'chip': 'diameter_mm', 'bubble': 'diameter_mm', 'bruise': 'diameter_mm'}


@dataclass
class Tally:
    """What is counted over all photos."""

    n_photos: int = 0
    asked: dict[str, int] = field(default_factory=lambda: dict.fromkeys(DAMAGE_AND_BUBBLES, 0))
    hit: dict[str, int] = field(default_factory=lambda: dict.fromkeys(DAMAGE_AND_BUBBLES, 0))
    kind_right: int = 0
    false: int = 0
    dust_taken: int = 0
    n_dust: int = 0
    curve: list[tuple[float, bool]] = field(default_factory=list)
    said: list[tuple[float, bool]] = field(default_factory=list)
    sizes: dict[str, list[tuple[float, float]]] = field(
        default_factory=lambda: {kind: [] for kind in DAMAGE_AND_BUBBLES}
    )
    missed_tiles: list[Tile] = field(default_factory=list)
    false_tiles: list[Tile] = field(default_factory=list)


def add_photo(tally: Tally, truth: dict, record: dict, photo: Path) -> None:
    """Count one photo."""
    every = [mark for mark in record['marks'] if mark['kind'] != 'dust']
    sure = [mark for mark in every if mark['confidence'] >= REPORTED]
    low, high = match_marks(truth, every), match_marks(truth, sure)
    tally.n_photos += 1
    tally.false += len(high.false)
    tally.dust_taken += high.dust_taken
    tally.n_dust += high.n_dust
    for mark, best in high.found:
        tally.asked[mark['kind']] += 1
        if best is not None:
            tally.hit[mark['kind']] += 1
            tally.kind_right += best['kind'] == mark['kind']
            _add_size(tally, mark, best)
    tally.curve += [(best['confidence'], True) for _, best in low.found if best is not None]
    tally.curve += [(mark['confidence'], False) for mark in low.false]
    tally.said += [(mark['confidence'], True) for mark in low.true] + [
        (mark['confidence'], False) for mark in low.false
    ]
    _add_tiles(tally, low, high, photo)


def _add_size(tally: Tally, mark: dict, best: dict) -> None:
    """Relative error of a size and, in units of its stated standard uncertainty, the same."""
    name = SIZE_OF[mark['kind']]
    if best['kind'] == mark['kind'] and best.get(name) is not None:
        error = best[name] - mark[name]
        tally.sizes[mark['kind']].append((abs(error) / mark[name], abs(error) / max(best['u_' + name], 1e-9)))


def _add_tiles(tally: Tally, low: Matched, high: Matched, photo: Path) -> None:
    """Remember what was missed and what was false, for the contact sheets."""
    found_low = {id(mark): best for mark, best in low.found}
    for mark, best in high.found:
        if best is None:
            faint = found_low.get(id(mark))
            told = f'{faint["kind"]} {faint["confidence"]:.2f}' if faint else 'not seen'
            outline = mark.get('polygon_px') or [*mark['polyline_px'], *mark['polyline_px'][::-1]]
            tally.missed_tiles.append(Tile(photo, outline, f'{mark["kind"]}: {told}', mark['contrast'][1]))
    for mark in high.false:
        words = f'{mark["kind"]} {mark["confidence"]:.2f}'
        tally.false_tiles.append(Tile(photo, mark['outline_px'], words, mark['confidence']))


def average_precision(curve: list[tuple[float, bool]], n_asked: int) -> float:
    """Area under precision over recall, each precision the best at that recall or beyond."""
    ordered = np.array([real for _, real in sorted(curve, key=lambda one: -one[0])], bool)
    precision = np.cumsum(ordered) / np.arange(1, len(ordered) + 1)
    best = np.maximum.accumulate(precision[::-1])[::-1]
    return float(best[ordered].sum() / max(n_asked, 1))


def reliability(said: list[tuple[float, bool]]) -> tuple[list[tuple[float, float, int]], float]:
    """(mean confidence, share that is real, number) of each filled bin, and the expected calibration error.

    The error is the mean distance of both over bins of equal width, weighted by number (Guo and others 2017,
    "On calibration of modern neural networks", arXiv:1706.04599).
    """
    confidence, real = np.array([c for c, _ in said]), np.array([r for _, r in said], float)
    place = np.minimum((confidence * N_BINS).astype(int), N_BINS - 1)
    rows = [
        (float(confidence[place == k].mean()), float(real[place == k].mean()), int((place == k).sum()))
        for k in range(N_BINS)
        if (place == k).any()
    ]
    return rows, sum(abs(c - r) * n for c, r, n in rows) / max(len(said), 1)


def report(tally: Tally) -> str:
    """The figures in words and tables."""
    n_asked, n_hit = sum(tally.asked.values()), sum(tally.hit.values())
    recall, precision = n_hit / max(n_asked, 1), n_hit / max(n_hit + tally.false, 1)
    lines = [
        f'photos {tally.n_photos}, marks asked for {n_asked}',
        f'F1 {2 * recall * precision / max(recall + precision, 1e-9):.3f}  precision {precision:.3f}  recall {recall:.3f}'
        f'  average precision {average_precision(tally.curve, n_asked):.3f}',
        f'false alarms a photo {tally.false / max(tally.n_photos, 1):.2f}  kind right {tally.kind_right / max(n_hit, 1):.3f}'
        f'  dust taken for damage {tally.dust_taken / max(tally.n_dust, 1):.3f}',
        *(f'{kind:8} found {tally.hit[kind]:3d} of {tally.asked[kind]:3d}' for kind in DAMAGE_AND_BUBBLES),
    ]
    for kind, pairs in tally.sizes.items():
        if pairs:
            ratio, z = np.array(pairs).T
            lines.append(
                f'{kind:8} {SIZE_OF[kind]} error {np.median(ratio):.3f} median, within U (k = 2) {np.mean(z <= 2):.2f}'
            )
    rows, error = reliability(tally.said)
    lines += ['said  real  marks', *(f'{c:.2f}  {r:.2f}  {n:5d}' for c, r, n in rows)]
    return '\n'.join([*lines, f'expected calibration error {error:.3f}'])


def main() -> None:
    """Read the command line, count, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument('photos', type=Path)
    ask.add_argument('records', type=Path)
    ask.add_argument('--sheets', type=Path)
    ask.add_argument('--half', choices=('odd', 'even'), help='every second photo, by name')
    told = ask.parse_args()
    tally = Tally()
    paths = [path for path in sorted(told.photos.glob('*.json')) if (told.records / path.name).exists()]
    if told.half:
        paths = paths[told.half == 'odd' :: 2]
    for path in paths:
        truth = json.loads(path.read_text())
        if truth['shot']['view'] == 'top':
            record = json.loads((told.records / path.name).read_text())
            add_photo(tally, truth, record, path.with_suffix('.jpg'))
    print(report(tally))
    if told.sheets:
        told.sheets.mkdir(parents=True, exist_ok=True)
        write_sheet(tally.missed_tiles, told.sheets / 'missed.png')
        write_sheet(tally.false_tiles, told.sheets / 'false.png')


if __name__ == '__main__':
    main()

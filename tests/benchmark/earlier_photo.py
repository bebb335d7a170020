"""How often comparisons claim new damage rightly, and say rightly what the earlier photo could have shown.

    python -m tests.benchmark.earlier_photo FOLDER [--half odd|even] [--only NAME ...] [--worse] [--list]

FOLDER holds pairs NAME-before and NAME-after, each a photo with its truth beside it, as ``fixtures.studio.make_pairs``
renders them; NAME-then is the photo before, had the new damage been there already. The truth is read here only, to
judge; with --half only every second pair is judged, by its number. With --worse the photos before are made coarser,
blurred, noisy and compressed first, each pair in another way, so that many marks lie around what can be seen. Prints

- new damage asked for (numbers from 100 on, shown well enough), found, and claimed where there is none; how many
  undamaged pairs got a claim; and the reliability of the confidence of what is called new;
- for each new mark that the later photo shows, what was said of the earlier photo against what NAME-then shows. A mark
  is *to be seen* there if the mark finder reports it in that photo, with a confidence of one half; it is *not to be
  seen* if it finds nothing there at all. What lies between is counted apart, and is no error either way.
"""

import argparse
import json
from collections import Counter
from dataclasses import dataclass, field
from itertools import pairwise
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np

from calib.errors import ActionableError
from grader.compare.change import Change, is_new_damage
from grader.compare.find_changes import find_changes
from grader.compare.same_piece import judge_same_piece
from grader.compare.sides import Sides
from grader.findings import PhotoFindings
from grader.photos.load import PHOTO_SUFFIXES
from grader.pipeline import examine_photos
from grader.progress import SilentProgress
from grader.sets.set_photo import see_set_photo
from grader.settings import Settings
from tests.benchmark.mark_truth import match_marks
from tests.benchmark.worse_photo import draw_worse, write_worse

NEW_FROM = 100
REPORTED = 0.5
WORSE_SEED = 31
BINS = (0.0, 0.2, 0.4, 0.6, 0.8, 0.95, 1.0)
VERDICTS = ('would have been seen', 'could not be seen', 'open', 'was seen')


@dataclass
class Tally:
    """What is counted over all pairs."""

    pairs: int = 0
    asked: int = 0
    found: int = 0
    false: int = 0
    undamaged: int = 0
    undamaged_with_claim: int = 0
    said_new: list[tuple[float, bool]] = field(default_factory=list)
    verdicts: Counter[tuple[str, str]] = field(default_factory=Counter)
    lines: list[str] = field(default_factory=list)


def add_pair(
    tally: Tally, name: str, changes: tuple[Change, ...], truth: dict, then: tuple[dict, list[dict]] | None
) -> None:
    """Count one pair.

    Parameters
    ----------
    name, changes
        The pair's name and what was found.
    truth : dict
        Of the later photo.
    then
        Truth of the photo before with the new damage, and the marks found in it; None where nothing is new.
    """
    only_new = truth | {'marks': [one for one in truth['marks'] if one['id'] >= NEW_FROM], 'as_made_bubbles': 0}
    claims = [as_reported(one) for one in changes if is_new_damage(one)]
    judged = match_marks(only_new, claims)
    tally.pairs += 1
    tally.asked += len(judged.found)
    tally.found += sum(best is not None for _, best in judged.found)
    tally.false += len(judged.false)
    tally.undamaged += not only_new['marks']
    tally.undamaged_with_claim += bool(not only_new['marks'] and judged.false)
    called_new = [as_reported(one) for one in changes if one.change == 'new' and one.mark.kind != 'dust']
    fits = match_marks(only_new, called_new)
    tally.said_new += [(one['confidence'], True) for one in fits.true]
    tally.said_new += [(one['confidence'], False) for one in fits.false]
    tally.lines += [f'{name}: false claim, {one["kind"]} {one["confidence"]:.2f}' for one in judged.false]
    tally.lines += [
        f'{name}: missed {mark["kind"]} {mark["contrast"][1]:.2f}' for mark, best in judged.found if not best
    ]
    if then is not None:
        add_verdicts(tally, name, changes, only_new, then)


def add_verdicts(
    tally: Tally, name: str, changes: tuple[Change, ...], new: dict, then: tuple[dict, list[dict]]
) -> None:
    """Count what was said of the earlier photo for each new mark that the later photo shows."""
    truth_then, marks_then = then
    shown = {one['id']: seen_share(truth_then, one['id'], marks_then) for one in truth_then['marks']}
    later = [one for one in changes if one.best.side == 'after']
    for mark in new['marks']:
        alone = new | {'marks': [mark]}
        touching = [
            one for one in later if match_marks(alone, [as_reported(one)]).true and one.other_look.verdict != 'was seen'
        ]
        if touching:
            best = max(touching, key=lambda one: one.mark.confidence)
            there = shown.get(mark['id'], 'not to be seen')
            tally.verdicts[best.other_look.verdict, there] += 1
            look = best.other_look
            tally.lines.append(f'{name}: {mark["kind"]} {mark["id"]}: {look.verdict} ({look.probability:.2f}), {there}')


def seen_share(truth_then: dict, number: int, marks_then: list[dict]) -> str:
    """Whether a mark of the photo before with the new damage is found in it."""
    alone = truth_then | {'marks': [one for one in truth_then['marks'] if one['id'] == number], 'as_made_bubbles': 0}
    sure = [one for one in marks_then if one['confidence'] >= REPORTED]
    if match_marks(alone, sure).true:
        return 'to be seen'
    return 'between' if match_marks(alone, marks_then).true else 'not to be seen'


def as_reported(change: Change) -> dict:
    """A change as the matching wants it."""
    return {
        'kind': change.mark.kind.value,
        'confidence': change.confidence,
        'outline_px': change.mark.outline_px.tolist(),
    }


def print_tally(tally: Tally) -> None:
    """Print the figures."""
    print(f'{tally.pairs} pairs, {tally.undamaged} of them undamaged')
    claims = tally.found + tally.false
    print(f'new damage: {tally.found} of {tally.asked} found ({percent(tally.found, tally.asked)})')
    print(f'claims that touch no new damage: {tally.false} (precision {percent(tally.found, claims)})')
    print(f'undamaged pairs with a claim: {tally.undamaged_with_claim}')
    said = np.array(tally.said_new, dtype=float).reshape(-1, 2)
    for low, high in pairwise(BINS):
        here = said[(said[:, 0] >= low) & (said[:, 0] < high + (high == 1.0))]
        if len(here):
            print(f'called new with {low:.2f} to {high:.2f}: {len(here)}, {here[:, 1].mean():.2f} of them new')
    print('of new marks, said of the earlier photo / what it would have shown:')
    for verdict in VERDICTS:
        row = {there: tally.verdicts[verdict, there] for there in ('to be seen', 'between', 'not to be seen')}
        wrong = {'would have been seen': 'not to be seen', 'could not be seen': 'to be seen'}.get(verdict)
        told = f'; wrong {percent(row[wrong], sum(row.values()))}' if wrong and sum(row.values()) else ''
        print(f'  {verdict}: ' + ', '.join(f'{there} {n}' for there, n in row.items()) + told)


def percent(part: int, whole: int) -> str:
    """A share in words."""
    return f'{100 * part / whole:.1f} %' if whole else 'none'


def main() -> None:
    """Compare all pairs of a folder and print the figures."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument('folder', type=Path)
    parser.add_argument('--half', choices=('odd', 'even'))
    parser.add_argument('--only', nargs='*')
    parser.add_argument('--worse', action='store_true')
    parser.add_argument('--list', action='store_true')
    options = parser.parse_args()
    tally = Tally()
    for name in pairs_in(options.folder, options.half, options.only):
        try:
            with TemporaryDirectory() as worse:
                earlier = made_worse(options.folder, name, Path(worse)) if options.worse else options.folder
                compare_pair(tally, name, options.folder, earlier)
        except ActionableError as err:
            tally.lines.append(f'{name}: passed over: {err}')
    if options.list:
        print('\n'.join(tally.lines))
    print_tally(tally)


def compare_pair(tally: Tally, name: str, folder: Path, earlier: Path) -> None:
    """Compare one pair, the photos before taken from a folder of their own, and count it."""
    after, before = examined(folder, f'{name}-after'), examined(earlier, f'{name}-before')
    changes = compared(before, after)
    truth_then, then = earlier / f'{name}-then.json', None
    if truth_then.exists():
        marks = [
            {'kind': one.kind.value, 'confidence': one.confidence, 'outline_px': one.outline_px.tolist()}
            for one in examined(earlier, f'{name}-then').marks
        ]
        then = json.loads(truth_then.read_text()), marks
    add_pair(tally, name, changes, json.loads((folder / f'{name}-after.json').read_text()), then)


def made_worse(folder: Path, name: str, out: Path) -> Path:
    """A folder with the photos before of a pair, made worse in one way."""
    seed = [WORSE_SEED, *name.encode()]
    how = draw_worse(np.random.default_rng(seed))
    for word in ('before', 'then'):
        for path in sorted(folder.glob(f'{name}-{word}.*')):
            if path.suffix.lower() in PHOTO_SUFFIXES:
                write_worse(path, how, out, np.random.default_rng(seed))
    return out


def pairs_in(folder: Path, half: str | None, only: list[str] | None) -> list[str]:
    """Names of the pairs in a folder."""
    names = sorted(path.stem.removesuffix('-after') for path in folder.glob('*-after.json'))
    wanted = {'odd': 1, 'even': 0}.get(half or '')
    numbers = {name: int(''.join(c for c in name if c.isdigit()) or 0) for name in names}
    return [
        name for name in names if (only is None or name in only) and (wanted is None or numbers[name] % 2 == wanted)
    ]


def examined(folder: Path, stem: str) -> PhotoFindings:
    """What one photo shows by itself."""
    path = next(p for p in sorted(folder.glob(f'{stem}.*')) if p.suffix.lower() in PHOTO_SUFFIXES)
    return examine_photos([path], Settings(), now=None, progress=SilentProgress()).findings[0]


def compared(before: PhotoFindings, after: PhotoFindings) -> tuple[Change, ...]:
    """What changed between two photos of one piece."""
    sides = Sides((see_set_photo(before),), (see_set_photo(after),))
    return find_changes(sides, judge_same_piece(sides).alignment)


if __name__ == '__main__':
    main()

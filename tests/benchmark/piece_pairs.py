"""Pairs of photos of a folder of rendered pieces: of one piece, and of two; at full size, or as a listing shows them."""

import json
import pickle
from collections.abc import Iterator
from dataclasses import dataclass
from itertools import combinations
from pathlib import Path

import cv2
import numpy as np

from grader.pipeline import examine_photos
from grader.progress import SilentProgress
from grader.sets.set_photo import SetPhoto, see_set_photo
from grader.settings import Settings

LISTING_MARGIN = 0.09  # of the piece's width: cuts the card off


@dataclass(frozen=True, slots=True)
class PiecePair:
    """Two photos from above, by name without suffix."""

    before: str
    after: str
    is_same: bool


@dataclass(frozen=True, slots=True)
class Listing:
    """A listing picture: the piece cut out, at most so many px wide, saved with a quality."""

    width_px: float
    quality: int


def truth_of(folder: Path, name: str) -> dict:
    """Truth of a photo."""
    return json.loads((folder / f'{name}.json').read_text(encoding='utf-8'))


def piece_of(name: str) -> str:
    """pair-open-1-after -> pair-open-1; the stranger is a piece of its own."""
    stem, _, last = name.rpartition('-')
    if last in ('stranger', 'then'):
        return name
    if name.startswith(('single', 'loose')):
        return name
    return stem.removesuffix('-top')


def number_of(name: str) -> int:
    """pair-0012-after -> 12."""
    return int(next(part for part in name.split('-') if part.isdigit()))


def list_pairs(folder: Path) -> tuple[PiecePair, ...]:
    """Before and after, before and stranger, and all pairs of other photos of one piece from above."""
    groups: dict[str, list[str]] = {}
    for path in sorted(folder.glob('*.json')):
        name = path.stem
        if (folder / f'{name}.jpg').exists() and not name.endswith('-then'):
            truth = truth_of(folder, name)
            if truth['shot']['view'] == 'top':
                groups.setdefault(piece_of(name), []).append(name)
    pairs = []
    for names in groups.values():
        ordered = sorted(names, key=lambda name: (not name.endswith('before'), name))
        pairs += [PiecePair(a, b, True) for a, b in combinations(ordered, 2)]
        stranger = f'{piece_of(names[0])}-stranger'
        before = [name for name in names if name.endswith('before')]
        pairs += [PiecePair(name, stranger, False) for name in before if stranger in groups]
    return tuple(pairs)


def far_strangers(folder: Path, step: int) -> Iterator[PiecePair]:
    """Every so many pairs of photos of two pieces that are of no one make."""
    names = sorted({name for pair in list_pairs(folder) for name in (pair.before, pair.after)})
    other = [
        (a, b)
        for a, b in combinations(names, 2)
        if piece_of(a).removesuffix('-stranger') != piece_of(b).removesuffix('-stranger')
    ]
    for a, b in other[::step]:
        yield PiecePair(a, b, False)


def examined(folder: Path, name: str, listing: Listing | None, keep: Path) -> SetPhoto:
    """A photo, examined; kept in a folder for the next time."""
    kept = keep / f'{name}.pkl'
    if kept.exists():
        return pickle.loads(kept.read_bytes())
    keep.mkdir(parents=True, exist_ok=True)
    path = folder / f'{name}.jpg' if listing is None else _listed(folder, name, listing, keep)
    found = examine_photos([path], Settings(), now=None, progress=SilentProgress())
    photo = see_set_photo(found.findings[0])
    kept.write_bytes(pickle.dumps(photo))
    return photo


def _listed(folder: Path, name: str, listing: Listing, keep: Path) -> Path:
    """The listing picture of a photo, without Exif."""
    picture = cv2.imread(str(folder / f'{name}.jpg'))
    outline = np.array(truth_of(folder, name)['outline_px'])
    low, high = outline.min(axis=0), outline.max(axis=0)
    width = float((high - low).max())
    left, top = np.maximum(np.floor(low - LISTING_MARGIN * width).astype(int), 0)
    right, bottom = np.ceil(high + LISTING_MARGIN * width).astype(int)
    share = min(1.0, listing.width_px / width)
    small = cv2.resize(picture[top:bottom, left:right], None, fx=share, fy=share, interpolation=cv2.INTER_AREA)
    path = keep / f'{name}.jpg'
    cv2.imwrite(str(path), small, [cv2.IMWRITE_JPEG_QUALITY, listing.quality])
    return path

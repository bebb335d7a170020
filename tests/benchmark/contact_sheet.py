"""Contact sheets: places of photos side by side, plain and outlined, the clearest first."""

from dataclasses import dataclass
from pathlib import Path

import cv2
import numpy as np

HALF_PX = 60  # of the photo shown round a place
TILE_PX, COLUMNS, MOST = 200, 5, 60


@dataclass(frozen=True)
class Tile:
    """One place to look at."""

    photo: Path
    outline_px: list
    words: str
    order: float
    """The largest come first."""


def write_sheet(tiles: list[Tile], path: Path) -> None:
    """Draw the first tiles into one PNG; nothing is written where there are none."""
    if not tiles:
        return
    drawn = [_draw(tile) for tile in sorted(tiles, key=lambda one: -one.order)[:MOST]]
    drawn += [np.zeros_like(drawn[0])] * (-len(drawn) % COLUMNS)
    rows = [np.hstack(drawn[i : i + COLUMNS]) for i in range(0, len(drawn), COLUMNS)]
    cv2.imwrite(str(path), np.vstack(rows))


def _draw(tile: Tile) -> np.ndarray:
    """The place twice, plain and with its outline, (TILE_PX, 2 TILE_PX, 3)."""
    picture = cv2.imread(str(tile.photo), cv2.IMREAD_COLOR)
    points = np.asarray(tile.outline_px, float)
    middle = np.round(points.mean(0)).astype(int)
    wide = cv2.copyMakeBorder(picture, *[HALF_PX] * 4, cv2.BORDER_REPLICATE)
    x, y = np.clip(middle, 0, [picture.shape[1] - 1, picture.shape[0] - 1])
    plain = cv2.resize(
        wide[y : y + 2 * HALF_PX, x : x + 2 * HALF_PX], (TILE_PX, TILE_PX), interpolation=cv2.INTER_CUBIC
    )
    marked = plain.copy()
    line = ((points - [x - HALF_PX, y - HALF_PX]) * TILE_PX / (2 * HALF_PX)).round().astype(np.int32).reshape(-1, 1, 2)
    cv2.polylines(marked, [line], True, (0, 255, 255), 1)
    for row, words in ((12, tile.words), (TILE_PX - 6, tile.photo.stem)):
        cv2.putText(marked, words, (2, row), cv2.FONT_HERSHEY_SIMPLEX, 0.38, (0, 0, 255), 1)
    return np.hstack([plain, marked])

"""What several photos from the side say together: the one piece that all of them show best."""

from collections.abc import Sequence

import numpy as np

from calib.arrays import RgbImage
from calib.card_fit import CardFit
from grader.outline.constants import WORK_SIDE_PX
from grader.outline.see_dome import reduced
from grader.outline.side_outline import SidePicture
from grader.outline.turned_piece import TurnedPiece


def agree_on_piece(
    photos: Sequence[tuple[RgbImage, CardFit]], pieces: Sequence[TurnedPiece]
) -> tuple[TurnedPiece, ...]:
    """The piece of that photo which all photos bear out best, at its place in each of them.

    A photo can mislead: a shadow's end is taken for the foot, or a rim is not to be told from the table behind it. The
    others hardly err in the same way.

    Parameters
    ----------
    photos : sequence of (ndarray of shape (H, W, 3), CardFit)
        Each photo and its frame card.
    pieces : sequence of TurnedPiece
        The piece as each photo shows it by itself.
    """
    pictures = []
    for rgb, card in photos:
        work, scale = reduced(rgb, WORK_SIDE_PX)
        pictures.append(SidePicture(work, card, scale))
    costs, found = [], []
    for piece in pieces:
        placed = tuple(picture.placed(piece, where) for picture, where in zip(pictures, pieces, strict=True))
        costs.append(np.mean([picture.costs(one).mean() for picture, one in zip(pictures, placed, strict=True)]))
        found.append(placed)
    return found[int(np.argmin(costs))]

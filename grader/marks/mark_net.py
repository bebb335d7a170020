"""Runs the mark network (see fixtures/mark_net for how it was made) on a crop."""

from functools import cache
from importlib.resources import files

import cv2
import numpy as np

from grader.marks.constants import DEPTH_SCALE_PX
from grader.marks.mark import MarkKind
from grader.marks.piece_crop import PieceCrop

NETWORK_KINDS = (MarkKind.SCRATCH, MarkKind.CHIP, MarkKind.BUBBLE, MarkKind.BRUISE, MarkKind.DUST)
"""Order of the network's outputs."""

NETWORK_FILE = 'mark_net_v1.onnx'


def mark_odds(crop: PieceCrop, n_quarters: int = 0) -> np.ndarray:
    """Probability of each kind at each pixel, before calibration.

    The mean of what the network says of the picture and of its mirror image.

    Parameters
    ----------
    crop : PieceCrop
    n_quarters : int
        Quarter turns against the clock by which the picture is turned before the network sees it, and its answer
        turned back: so that it sees the piece alike, however the camera was held.

    Returns
    -------
    ndarray of shape (5, H, W), float32
        In the order of ``NETWORK_KINDS``; zero outside the piece.
    """
    depth = np.tanh(crop.depth_px / DEPTH_SCALE_PX)
    planes = np.concatenate([crop.rgb.transpose(2, 0, 1).astype(np.float32) / 255, depth[None]])
    logits = _turned_logits(planes, crop.pad_px, n_quarters)
    odds = 1 / (1 + np.exp(-np.clip(logits, -30, 30)))
    return np.where(crop.depth_px[None] > -1.0, odds, 0).astype(np.float32)


def _turned_logits(planes: np.ndarray, pad_px: tuple[int, int], n_quarters: int) -> np.ndarray:
    """The network's mean answer (5, H, W) to planes (4, H, W) and their mirror image, seen after some quarter turns."""
    height, width = planes.shape[1] - pad_px[0], planes.shape[2] - pad_px[1]
    # What pads the crop goes to the same edges after the turn: the network's steps are counted from the others.
    turned = np.rot90(planes[:, :height, :width], n_quarters, axes=(1, 2))
    pads = pad_px if n_quarters % 2 == 0 else pad_px[::-1]
    turned = np.pad(turned, ((0, 0), (0, pads[0]), (0, pads[1])), mode='edge')
    logits = (_logits(turned) + _logits(turned[:, :, ::-1])[:, :, ::-1]) / 2
    shown = logits[:, : turned.shape[1] - pads[0], : turned.shape[2] - pads[1]]
    back = np.rot90(shown, -n_quarters, axes=(1, 2))
    return np.pad(back, ((0, 0), (0, pad_px[0]), (0, pad_px[1])), mode='edge')


def _logits(planes: np.ndarray) -> np.ndarray:
    """The network's answer to planes (4, H, W), float32 (5, H, W)."""
    network = _network()
    network.setInput(np.ascontiguousarray(planes[None], np.float32))
    return np.asarray(network.forward()[0])


@cache
def _network() -> cv2.dnn.Net:
    data = files('grader.marks').joinpath(NETWORK_FILE).read_bytes()
    return cv2.dnn.readNetFromONNX(np.frombuffer(data, np.uint8))

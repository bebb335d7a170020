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


def mark_odds(crop: PieceCrop) -> np.ndarray:
    """Probability of each kind at each pixel, before calibration.

    The mean of what the network says of the picture and of its mirror image.

    Returns
    -------
    ndarray of shape (5, H, W), float32
        In the order of ``NETWORK_KINDS``; zero outside the piece.
    """
    depth = np.tanh(crop.depth_px / DEPTH_SCALE_PX)
    planes = np.concatenate([crop.rgb.transpose(2, 0, 1).astype(np.float32) / 255, depth[None]])
    logits = (_logits(planes) + _logits(planes[:, :, ::-1])[:, :, ::-1]) / 2
    odds = 1 / (1 + np.exp(-np.clip(logits, -30, 30)))
    return np.where(crop.depth_px[None] > -1.0, odds, 0).astype(np.float32)


def _logits(planes: np.ndarray) -> np.ndarray:
    """The network's answer to planes (4, H, W), float32 (5, H, W)."""
    network = _network()
    network.setInput(np.ascontiguousarray(planes[None], np.float32))
    return np.asarray(network.forward()[0])


@cache
def _network() -> cv2.dnn.Net:
    data = files('grader.marks').joinpath(NETWORK_FILE).read_bytes()
    return cv2.dnn.readNetFromONNX(np.frombuffer(data, np.uint8))

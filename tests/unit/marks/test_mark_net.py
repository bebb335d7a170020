"""The network's odds: same picture, same odds; a mirrored picture has mirrored odds; nothing outside the piece."""

import numpy as np
import pytest

from grader.marks.mark_net import NETWORK_KINDS, mark_odds
from grader.marks.piece_crop import PieceCrop, crop_piece


@pytest.fixture(scope='module')
def crop():
    rng = np.random.default_rng(5)
    rows, columns = np.indices((160, 160))
    away = np.hypot(columns - 80, rows - 80)
    rgb = (90 + 20 * np.sin(columns / 9)[..., None] + rng.normal(0, 3, (160, 160, 3))).clip(0, 255).astype(np.uint8)
    rgb[np.hypot(columns - 95, rows - 70) < 5] = 240
    return PieceCrop(rgb, (70 - away).astype(np.float32), (0.0, 0.0), 1.0)


def test_odds_are_probabilities_of_each_kind_and_nothing_outside(crop):
    odds = mark_odds(crop)
    assert odds.shape == (len(NETWORK_KINDS), 160, 160)
    assert odds.min() >= 0
    assert odds.max() <= 1
    assert not odds[:, crop.depth_px < -1].any()


def test_the_same_picture_has_the_same_odds(crop):
    assert np.array_equal(mark_odds(crop), mark_odds(crop))


def test_a_mirrored_picture_has_mirrored_odds(crop):
    mirrored = PieceCrop(crop.rgb[:, ::-1], crop.depth_px[:, ::-1], crop.offset_px, crop.scale_ratio)
    assert mark_odds(mirrored)[:, :, ::-1] == pytest.approx(mark_odds(crop), abs=1e-4)


@pytest.mark.parametrize('px_per_mm', [None, 5.0, 20.0])
def test_crop_and_photo_points_agree(px_per_mm):
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    contour = np.column_stack([400 + 250 * np.cos(turn), 300 + 220 * np.sin(turn)])
    rgb = np.zeros((600, 800, 3), np.uint8)
    rgb[280:321, 380:421] = 255
    crop = crop_piece(rgb, contour, px_per_mm)
    assert [n % 16 for n in crop.rgb.shape[:2]] == [0, 0]
    assert crop.scale_ratio == pytest.approx(min(1.0, 10.0 / px_per_mm) if px_per_mm else 1.0, rel=0.01)
    rows, columns = np.nonzero(crop.rgb[..., 0] > 127)
    assert crop.to_photo(np.array([[columns.mean(), rows.mean()]]))[0] == pytest.approx([400, 300], abs=0.6)


@pytest.mark.parametrize('n_quarters', [1, 2, 3])
def test_a_turned_picture_is_seen_alike_once_it_is_turned_back(crop, n_quarters):
    # No multiple of the network's step, so that what pads it matters.
    rgb, depth = crop.rgb[20:124, 40:130], crop.depth_px[20:124, 40:130]

    def padded(picture, depth):
        below, right = ((-n) % 16 for n in depth.shape)
        return PieceCrop(
            np.pad(picture, ((0, below), (0, right), (0, 0)), mode='edge'),
            np.pad(depth, ((0, below), (0, right)), mode='edge'),
            (0.0, 0.0), 1.0, (below, right),
        )  # fmt: skip

    upright = mark_odds(padded(rgb, depth))[:, :104, :90]
    # Turned the other way, as by a camera held askew; the card tells by how much to turn it back.
    askew = padded(np.rot90(rgb, -n_quarters), np.rot90(depth, -n_quarters))
    rows, columns = np.rot90(depth, -n_quarters).shape
    seen = np.rot90(mark_odds(askew, n_quarters)[:, :rows, :columns], n_quarters, axes=(1, 2))
    np.testing.assert_allclose(seen, upright, atol=1e-6)
    assert upright.max() > 0.01

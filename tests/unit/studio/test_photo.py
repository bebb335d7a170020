"""Rendered truth: skipped where the renderer is not installed."""

import dataclasses
import os
import pathlib

import numpy as np
import pytest

if 'DRJIT_LIBLLVM_PATH' not in os.environ:
    library = next(iter(sorted(pathlib.Path('/usr/lib/x86_64-linux-gnu').glob('libLLVM.so.19*'))), None)
    if library:
        os.environ['DRJIT_LIBLLVM_PATH'] = str(library)
pytest.importorskip('mitsuba', exc_type=ImportError)

from fixtures.studio import pieces, render, scene, shot, truth


@pytest.fixture(scope='module')
def taken():
    """A clear dome with six scratches, a chip and a bubble, its labels in a small picture, and the shot."""
    try:
        render.start()
    except (ImportError, RuntimeError) as error:
        pytest.skip(f'renderer cannot run here: {error}')
    piece = pieces.sample_piece(
        5,
        family='clear',
        kind='round',
        counts={'scratch': 6, 'chip': 1, 'bubble': 1, 'bruise': 0, 'dust': 0},
        mark_seed=3,
    )
    where = shot.sample_shot(
        np.random.default_rng(4), lighting='coaxial', backing='grey', card='frame', size_px=(1500, 1500)
    )
    built = scene.build_scene(piece, where, marked=True)
    outline = truth.outline_px(built, where)
    low, high = np.floor(outline.min(0)).astype(int) - 4, np.ceil(outline.max(0)).astype(int) + 4
    labels = np.full((1500, 1500), truth.OUTSIDE, np.uint8)
    window = np.s_[low[1] : high[1], low[0] : high[0]]
    labels[window] = truth.label_pixels(built, piece, where, render.pixel_grid(tuple(low), tuple(high))).reshape(
        labels[window].shape
    )
    return piece, where, built, labels


def test_lines_are_labelled_where_the_pinhole_puts_them(taken):
    piece, where, _, labels = taken
    seen = hits = 0
    for mark in (m for m in piece.marks if m.path is not None):
        facing_up = mark.path[mark.path[:, 2] > piece.shape.centre_z_mm + 12.0]
        x, y = np.round(where.project(where.to_card(facing_up))).astype(int).T
        near = np.max([labels[y + dy, x + dx] == mark.number for dx in (-1, 0, 1) for dy in (-1, 0, 1)], axis=0)
        seen += len(near)
        hits += near.sum()
    assert seen > 25
    # The faint last pixel of a line may go unlabelled.
    assert hits >= 0.9 * seen


def test_labelled_piece_fills_its_outline(taken):
    _, where, built, labels = taken
    outline = truth.outline_px(built, where)
    x, y = outline.T
    area = 0.5 * abs((x * np.roll(y, -1) - y * np.roll(x, -1)).sum())
    assert (labels != truth.OUTSIDE).sum() == pytest.approx(area, rel=0.005)


def test_projection_undoes_the_rays(taken):
    _, where, _, _ = taken
    points = np.array([[10.0, 20.0], [200.0, 400.0], [1430.0, 33.0]])
    mi = render.mi
    d = np.asarray(render.directions(where, mi.Float(points[:, 0]), mi.Float(points[:, 1]))).T
    assert where.project(where.position_mm + 300 * d) == pytest.approx(points, abs=0.01)


@pytest.mark.slow
def test_white_paper_has_the_radiance_of_one_by_lamp_light(taken):
    piece, where, _, _ = taken
    dim = dataclasses.replace(where, ambient=1e-6, window=None, lamp_tint=(1.0, 1.0, 1.0))
    built = scene.build_scene(piece, dim, marked=False)
    # Paper between markers 3 and 4 of the card's top edge.
    middle = np.round(dim.project(np.array([[14.0, 84.0, 0.0]]))[0]).astype(int)
    pixels = render.pixel_grid(tuple(middle - 3), tuple(middle + 4))
    light = render.photograph(built.scene, dim, pixels, samples=256, seed=1)
    # Light that the piece and the card throw about adds a little; grain of 49 pixels is below one per cent.
    assert light.mean() == pytest.approx(1.0, abs=0.04)

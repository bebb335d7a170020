"""Lines drawn into the studio's surface map against their truth."""

import numpy as np
import pytest

from fixtures.studio import marks as mk
from fixtures.studio import pieces
from fixtures.studio import shape as form

BALL = form.PieceShape('round', 40.0, 40.0, 40.0, 30.0)


def scratch(direction) -> mk.StudioMark:
    mark = mk.make_line(np.random.default_rng(3), BALL, 7, 'scratch', np.asarray(direction, float))
    return mk.StudioMark(
        **{name: getattr(mark, name) for name in mark.__dataclass_fields__}
        | {'widths': np.full(len(mark.path), 0.3), 'levels': np.ones(len(mark.path))}
    )


def test_drawn_scratch_covers_its_length_times_its_width():
    mark = scratch([0.0, 0.3, 0.954])
    strength, numbers = mk.surface_maps(BALL, [mark])
    # Near the top one map pixel spans the angle 2 MAP_THETA / MAP_SIZE in both directions, up to sin(x)/x.
    pixel_mm = 2 * form.MAP_THETA / mk.MAP_SIZE * 40.0
    covered_mm2 = strength.sum() / 255 * pixel_mm**2
    assert covered_mm2 == pytest.approx(0.3 * mark.length_mm, rel=0.06)
    assert set(np.unique(numbers)) == {0, 7}


def test_drawn_scratch_lies_where_its_path_lies():
    mark = scratch([0.7, 0.1, 0.707])
    _, numbers = mk.surface_maps(BALL, [mark])
    away = mark.path - [0, 0, 30.0]
    uv = form.map_uv(away / np.linalg.norm(away, axis=1, keepdims=True))
    col, row = (uv * mk.MAP_SIZE).astype(int).T
    assert (numbers[row, col] == 7).all()


def test_piece_is_told_by_its_seed_alone():
    one, two, other = (pieces.sample_piece(seed) for seed in (31, 31, 32))
    assert [m.centre.tolist() for m in one.marks] == [m.centre.tolist() for m in two.marks]
    assert one.shape == two.shape
    assert one.shape != other.shape


@pytest.mark.parametrize('seed', range(40, 48))
def test_bubbles_and_bruises_lie_inside_the_glass(seed):
    piece = pieces.sample_piece(
        seed, family='swirl', counts={'scratch': 0, 'chip': 0, 'bubble': 6, 'bruise': 3, 'dust': 0}
    )
    for mark in piece.marks:
        away = mk.inner_mesh(mark).vertices.astype(float) - [0, 0, piece.shape.centre_z_mm]
        distance = np.linalg.norm(away, axis=1)
        assert (distance < form.radius(piece.shape, away / distance[:, None])).all(), mark.kind

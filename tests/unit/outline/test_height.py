import numpy as np
import pytest

from grader.outline.constants import (
    RING_OF_RISE_RATIO,
    RING_OF_WIDTH_RATIO,
    RISE_OF_WIDTH_RATIO,
    SHAPE_KINDS,
    U_RING_OF_RISE_RATIO,
    U_RING_OF_WIDTH_RATIO,
)
from grader.outline.height import SeenHeight, TypedHeight, UsualShape, height_knowledge


def test_the_usual_ring_follows_from_usual_foot_and_rise():
    # Monte Carlo over the two distributions that the constants are drawn from; 1e6 draws are good to 0.1 %.
    rng = np.random.default_rng(1)
    share, usual, u = np.array(SHAPE_KINDS).T
    kind = rng.choice(len(share), 1_000_000, p=share)
    rise = rng.normal(usual[kind], u[kind]) / 2
    ring = rise * rng.normal(RING_OF_RISE_RATIO, U_RING_OF_RISE_RATIO, len(rise))
    assert ring.mean() == pytest.approx(RING_OF_WIDTH_RATIO, abs=0.003)
    assert ring.std() == pytest.approx(U_RING_OF_WIDTH_RATIO, abs=0.003)
    assert rise.mean() == pytest.approx(RISE_OF_WIDTH_RATIO, abs=0.003)


def test_a_usual_shape_grows_with_the_width():
    small, large = UsualShape().ring_height(40.0), UsualShape().ring_height(80.0)
    assert large.ring_mm == pytest.approx(2 * small.ring_mm)
    assert large.u_ring_mm == pytest.approx(2 * small.u_ring_mm)


def test_a_typed_height_is_shared_out_and_narrower():
    typed = TypedHeight(60.0, 0.8).ring_height(70.0)
    assert typed.ring_mm + typed.rise_mm == pytest.approx(60.0)
    assert typed.u_ring_mm < UsualShape().ring_height(70.0).u_ring_mm / 2


def test_odds_fall_away_from_what_is_known():
    assert UsualShape().log_odds(24, 33, 70) > UsualShape().log_odds(24, 60, 70)
    typed = TypedHeight(57.0, 0.8)
    assert typed.log_odds(24, 33, 70) > typed.log_odds(24, 36, 70)
    seen = SeenHeight(24.0, 0.5, 33.0, 'seen')
    assert seen.log_odds(24, 33, 70) > seen.log_odds(26, 33, 70)
    assert seen.ring_height(99.0).ring_mm == 24.0


def test_a_height_that_was_not_typed_leaves_the_usual_shape():
    assert height_knowledge(None) == UsualShape()
    assert height_knowledge(55.0).height_mm == 55.0


def test_heights_must_be_positive():
    with pytest.raises(ValueError, match='must be positive'):
        TypedHeight(0.0, 1.0)

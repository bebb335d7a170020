"""What a region is, and how sure that is, follows from its odds and its company."""

import numpy as np
import pytest

from grader.marks.confidence import FEATURES, OUTCOMES, OutcomeModel, judge_regions, outcome_chances, region_features
from grader.marks.mark import MarkKind
from grader.marks.regions import find_regions
from tests.support.odds_picture import make_crop, make_odds


def judge(marks):
    regions = find_regions(make_odds(marks))
    return judge_regions(regions, make_crop())


def test_no_regions_give_no_judgements():
    assert judge_regions((), make_crop()) == ()


@pytest.mark.parametrize('kind', [MarkKind.CHIP, MarkKind.BUBBLE])
def test_a_lone_and_sure_spot_is_believed(kind):
    (judged,) = judge([(kind, 0.999, (100, 100, 8), 0)])
    assert judged.kind is kind
    assert judged.confidence > 0.5


@pytest.mark.parametrize('kind', list(MarkKind))
def test_lower_odds_are_believed_less(kind):
    shape = ([(60, 100), (140, 104)], 3) if kind in (MarkKind.SCRATCH, MarkKind.DUST) else ((100, 100, 8), 0)
    (sure,) = judge([(kind, 0.999, *shape)])
    (doubtful,) = judge([(kind, 0.4, *shape)])
    assert doubtful.confidence < sure.confidence


def test_many_spots_alike_are_believed_less_than_one():
    (alone,) = judge([(MarkKind.CHIP, 0.99, (100, 100, 8), 0)])
    crowd = judge([(MarkKind.CHIP, 0.99, (20 + 32 * i, 20 + 32 * j, 8), 0) for i in range(5) for j in range(5)])
    assert len(crowd) == 25
    assert max(one.confidence for one in crowd) < alone.confidence


def test_kind_odds_sum_to_one():
    for judged in judge([(MarkKind.CHIP, 0.7, (50, 60, 9), 0), (MarkKind.SCRATCH, 0.8, [(20, 150), (180, 160)], 2)]):
        assert judged.kind_odds.sum() == pytest.approx(1)
        assert 0 <= judged.confidence <= 1


def test_features_are_named_and_finite():
    regions = find_regions(make_odds([(MarkKind.CHIP, 1.0, (50, 60, 9), 0), (MarkKind.DUST, 0.3, (150, 150, 2), 0)]))
    features = region_features(regions, make_crop())
    assert features.shape == (2, len(FEATURES))
    assert np.isfinite(features).all()
    assert features[0, FEATURES.index('surer regions')] == 0
    assert features[1, FEATURES.index('surer regions')] == pytest.approx(np.log(2))


def test_a_model_without_weights_knows_nothing():
    n = len(FEATURES)
    model = OutcomeModel(np.zeros(n), np.ones(n), np.zeros((1 + n, len(OUTCOMES))))
    chances = outcome_chances(np.random.default_rng(1).normal(size=(7, n)), model)
    assert chances == pytest.approx(np.full((7, len(OUTCOMES)), 1 / len(OUTCOMES)))

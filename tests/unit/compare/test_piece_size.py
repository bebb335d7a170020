"""What widths say for one piece or two."""

import pytest

from calib.measured import Measured
from grader.compare.piece_size import size_log_odds
from grader.size.diameter import RING_HEIGHT


def width(value, u=0.1):
    return Measured(value, (('outline', u),))


def test_equal_widths_speak_for_one_piece_the_more_the_surer_they_are():
    assert size_log_odds(width(70, 0.05), width(70, 0.05)) > size_log_odds(width(70, 1.0), width(70, 1.0)) > -1


@pytest.mark.parametrize('other', [72.0, 80.0])
def test_widths_far_apart_speak_against_it(other):
    assert size_log_odds(width(70), width(other)) < -1


def test_the_order_of_the_sides_does_not_matter():
    assert size_log_odds(width(70), width(71)) == pytest.approx(size_log_odds(width(71), width(70)))


def test_the_height_that_both_share_does_not_blur_the_comparison():
    doubtful = [Measured(value, (('outline', 0.1), (RING_HEIGHT, 2.0))) for value in (70.0, 72.0)]
    assert size_log_odds(*doubtful) == pytest.approx(size_log_odds(width(70), width(72)))

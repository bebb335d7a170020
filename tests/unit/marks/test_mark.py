"""A mark checks what it is given and tells damage from what is none."""

from dataclasses import FrozenInstanceError, replace

import numpy as np
import pytest

from grader.marks.mark import Mark, MarkKind, is_damage
from grader.marks.zones import CROWN_RADIUS_RATIO, SHOULDER_RADIUS_RATIO, zone_of

MARK = Mark(
    kind=MarkKind.CHIP,
    confidence=0.8,
    kind_odds=((MarkKind.CHIP, 0.6), (MarkKind.BUBBLE, 0.3), (MarkKind.SCRATCH, 0.1)),
    outline_px=np.array([[0.0, 0.0], [4.0, 0.0], [0.0, 3.0]]),
    centre_px=(1.3, 1.0),
    length_px=5.0,
    width_px=2.4,
    diameter_px=2.76,
    length_mm=None,
    width_mm=None,
    diameter_mm=None,
    area_mm2=None,
    clock_h=11.9,
    zone='crown',
    facing=0.9,
)


def test_damage_probability_leaves_out_bubbles():
    assert MARK.damage_probability == pytest.approx(0.8 * 0.7)


@pytest.mark.parametrize(
    ('kind', 'damage'),
    [('scratch', True), ('chip', True), ('bruise', True), ('bubble', False), ('dust', False)],
)
def test_kinds_that_are_damage(kind, damage):
    assert is_damage(MarkKind(kind)) is damage


def test_odds_of_a_kind_not_listed_are_zero():
    assert MARK.odds_of(MarkKind.DUST) == 0.0
    assert MARK.odds_of(MarkKind.BUBBLE) == 0.3


def test_outline_is_a_read_only_copy():
    outline_px = np.zeros((3, 2))
    mark = replace(MARK, outline_px=outline_px)
    outline_px[0, 0] = 7.0
    assert mark.outline_px[0, 0] == 0.0
    with pytest.raises(ValueError, match='read-only'):
        mark.outline_px[0, 0] = 1.0


def test_a_mark_cannot_be_changed():
    with pytest.raises(FrozenInstanceError):
        MARK.confidence = 1.0


@pytest.mark.parametrize(
    ('change', 'message'),
    [
        ({'confidence': 1.2}, r'confidence must lie in \[0, 1\], got 1.2'),
        ({'zone': 'foot'}, "zone must be one of .* got 'foot'"),
        ({'clock_h': 12.0}, r'clock_h must lie in \[0, 12\), got 12.0'),
        ({'outline_px': np.zeros((4, 3))}, r'outline_px must have shape \(N, 2\), got \(4, 3\)'),
    ],
    ids=['confidence', 'zone', 'clock', 'outline'],
)
def test_wrong_values_are_refused(change, message):
    with pytest.raises(ValueError, match=message):
        replace(MARK, **change)


@pytest.mark.parametrize(
    ('radius_ratio', 'zone'),
    [
        (0.0, 'crown'),
        (CROWN_RADIUS_RATIO, 'crown'),
        (0.6, 'shoulder'),
        (SHOULDER_RADIUS_RATIO, 'shoulder'),
        (1.02, 'rim'),
    ],
)
def test_zone_of(radius_ratio, zone):
    assert zone_of(radius_ratio) == zone


def test_zone_of_refuses_negative():
    with pytest.raises(ValueError, match='must not be negative'):
        zone_of(-0.1)

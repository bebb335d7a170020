import numpy as np
import pytest

from calib.card import load_card
from grader.outline.dome_view import DomeOutline, DomeView, NoCard, NoEllipse
from grader.outline.fit_ellipse import fit_ellipse
from grader.outline.height import SeenHeight, TypedHeight, UsualShape
from grader.size.diameter import measure_diameters
from tests.support.card_scene import CardScene
from tests.support.dome_scene import DomeScene
from tests.support.known_card import card_fit_of
from tests.support.piece_view import make_view

SCENE = DomeScene(
    CardScene(load_card('frame'), tilt_deg=5.0, turn_deg=20.0),
    middle_mm=(6.0, -4.0), half_axes_mm=(36.0, 33.0), turn_deg=25.0, ring_mm=24.0, rise_mm=31.0,
)  # fmt: skip
KNOWN = SeenHeight(24.0, 0.0, 31.0, 'known')


def view_of(scene=SCENE, u_edge_px=0.2, **card):
    contour = scene.outline_px()
    ellipse = fit_ellipse(contour, np.ones(len(contour)))
    outline = DomeOutline(contour, 'round', ellipse, u_edge_px, ())
    return DomeView(make_view().photo, card_fit_of(scene.card, **card), outline)


def test_the_ring_is_measured_not_the_silhouette():
    sizes = measure_diameters(view_of(), KNOWN)
    # The caliper lies on 240 points of the ring: between two of them a ten-thousandth of the half-axis is missed.
    assert sizes.max_mm.value == pytest.approx(72.0, abs=4e-3)
    assert sizes.min_mm.value == pytest.approx(66.0, abs=4e-3)
    assert sizes.max_direction_deg == pytest.approx(25.0, abs=0.6)
    assert sizes.min_direction_deg == pytest.approx(115.0, abs=0.6)
    assert sizes.ring.ring_mm == 24.0


def test_the_causes_of_doubt_have_names():
    sizes = measure_diameters(view_of(), UsualShape())
    assert [name for name, _ in sizes.max_mm.components] == [
        'card print', 'marker corners', 'outline', 'camera distance', 'height of the widest ring',
    ]  # fmt: skip


def test_each_cause_is_as_large_as_geometry_says():
    # Camera straight above at H: a length at height c reads (H - c) / H of what it is on the card.
    straight = DomeScene(CardScene(load_card('frame')), half_axes_mm=(35.0, 35.0), ring_mm=20.0, rise_mm=30.0)
    height = SeenHeight(20.0, 2.0, 30.0, 'known')
    sizes = measure_diameters(view_of(straight, u_print_ratio=0.003, u_log_distance=0.02), height)
    parts = dict(sizes.max_mm.components)
    assert parts['card print'] == pytest.approx(0.003 * 70)
    assert parts['height of the widest ring'] == pytest.approx(-70 * 2 / 380, rel=0.02)
    # Focal length and distance grow together: the card keeps its size, the ring seems lower in proportion, and
    # less of the silhouette is due to grazing, 1 - (rise / distance)^2 / 2.
    assert parts['camera distance'] == pytest.approx(70 * (20 / 380 + (30 / 380) ** 2) * 0.02, rel=0.05)
    assert parts['marker corners'] == pytest.approx(0.0, abs=1e-3)
    px_per_mm = straight.card.focal_px / 380
    assert parts['outline'] == pytest.approx(2 * 0.2 / px_per_mm, rel=0.1)


@pytest.mark.parametrize(
    ('wider', 'narrower'),
    [
        ({'u_print_ratio': 0.01}, {'u_print_ratio': 0.001}),
        ({'u_edge_px': 2.0}, {'u_edge_px': 0.2}),
        ({'u_log_distance': 0.1}, {'u_log_distance': 0.01}),
    ],
    ids=['print', 'edge', 'distance'],
)
def test_more_doubt_never_narrows_the_result(wider, narrower):
    assert measure_diameters(view_of(**wider), KNOWN).max_mm.u > measure_diameters(view_of(**narrower), KNOWN).max_mm.u


def test_a_typed_height_narrows_the_result():
    usual = measure_diameters(view_of(), UsualShape()).max_mm
    typed = measure_diameters(view_of(), TypedHeight(55.0, 0.8)).max_mm
    assert typed.u < 0.6 * usual.u
    assert typed.value == pytest.approx(72.0, abs=2 * typed.u)
    assert usual.value == pytest.approx(72.0, abs=2 * usual.u)


def test_the_widths_ends_lie_on_the_outline_across_from_each_other():
    view = view_of()
    sizes = measure_diameters(view, KNOWN)
    for ends, length in ((sizes.max_ends_px, sizes.max_px), (sizes.min_ends_px, sizes.min_px)):
        gaps = np.linalg.norm(view.outline.contour_px[:, None] - ends[None], axis=2).min(axis=0)
        assert gaps.max() < 1e-9
        assert np.linalg.norm(ends[1] - ends[0]) == pytest.approx(length, rel=0.02)


def test_without_a_card_there_are_px_only():
    turn = np.linspace(0, 2 * np.pi, 720, endpoint=False)
    contour = np.column_stack([300 + 100 * np.cos(turn), 200 + 90 * np.sin(turn)])
    outline = DomeOutline(contour, 'free', NoEllipse('made by hand'), 0.2, ())
    sizes = measure_diameters(DomeView(make_view().photo, NoCard('none'), outline), UsualShape())
    assert sizes.max_mm is None and sizes.min_mm is None
    assert (sizes.max_px, sizes.min_px) == pytest.approx((200, 180), abs=0.01)
    assert sizes.max_direction_deg % 180 == pytest.approx(0, abs=0.5)
    assert sizes.min_direction_deg == pytest.approx(90, abs=0.5)

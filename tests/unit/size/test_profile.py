import numpy as np
import pytest

from grader.outline.height import UsualShape
from grader.outline.judge_height import judge_height
from grader.outline.turned_piece import TurnedPiece
from grader.size.diameter import measure_diameters
from grader.size.profile import NoProfile, Profile, measure_profile
from tests.support.side_views import DOME, EGG, FLAT_TOPPED, card_from, four_sides, side_view
from tests.unit.size.test_diameter import SCENE, view_of

MOVED = ((0.0, 0.0), (4.0, -3.0), (-5.0, 2.0), (1.0, 6.0))


@pytest.mark.parametrize('piece', [DOME, FLAT_TOPPED, EGG], ids=['dome', 'flat on top', 'egg'])
def test_exact_silhouettes_give_the_true_sizes(piece):
    profile = measure_profile(four_sides(piece, places=MOVED))
    assert isinstance(profile, Profile)
    # What is usual for paperweights draws a little, a tenth of what is stated.
    assert profile.height_mm.value == pytest.approx(piece.height_mm, rel=2e-3)
    assert profile.width_mm.value == pytest.approx(2 * piece.radius_mm, rel=2e-3)
    assert profile.ring_mm.value == pytest.approx(piece.ring_mm, rel=0.02)
    assert profile.base_mm.value == pytest.approx(2 * piece.base_radius_mm, rel=0.02)
    np.testing.assert_allclose(profile.places_mm, MOVED, atol=0.3)
    assert abs(profile.height_mm.value - piece.height_mm) < profile.height_mm.expanded()
    assert profile.n_photos == 4
    assert profile.flags == ()


def test_a_ring_that_is_no_circle_has_its_largest_width():
    oval = TurnedPiece(0.0, 0.0, 34.0, 24.0, 33.0, 33.0, 1.0, 0.004, -0.003)
    profile = measure_profile(four_sides(oval))
    assert profile.width_mm.value == pytest.approx(68.34, rel=2e-3)
    assert profile.mean_width_mm.value == pytest.approx(68.0, rel=2e-3)


def test_the_causes_of_doubt_have_names_and_add_up():
    profile = measure_profile(four_sides(DOME, u_print_ratio=0.003))
    assert [name for name, _ in profile.height_mm.components] == [
        'card print', 'marker corners', 'outline', 'form of the glass',
    ]  # fmt: skip
    assert profile.height_mm.component('card print') == pytest.approx(0.003 * profile.height_mm.value)
    assert profile.height_mm.component('marker corners') == pytest.approx(0, abs=0.02)


def test_a_wider_doubt_of_the_outline_is_a_wider_doubt_of_the_height():
    def u_at(u_edge_px):
        views = [side_view(DOME, card_from(around), u_edge_px) for around in (0, 120)]
        return measure_profile(views).height_mm.component('outline')

    assert u_at(2.0) > 3 * u_at(0.2)


def test_one_photo_is_enough_and_knows_less():
    one = measure_profile([side_view(DOME, card_from(75.0))])
    assert one.n_photos == 1
    assert abs(one.height_mm.value - DOME.height_mm) < one.height_mm.expanded()
    assert one.height_mm.u > measure_profile(four_sides(DOME)).height_mm.u


def test_photos_of_two_pieces_disagree_and_tell_the_one_from_above_nothing():
    profile = measure_profile([*four_sides(DOME)[:2], *four_sides(EGG)[2:]])
    assert profile.flags == ('sides-disagree',)
    assert profile.knowledge == UsualShape()
    assert profile.height_mm.expanded() > 0.15 * profile.height_mm.value


def test_photos_from_above_alone_give_no_profile():
    none = measure_profile([view_of()])
    assert isinstance(none, NoProfile)
    assert none.reason == "no photo from the side with the card under the piece"


def test_the_same_views_give_the_same_numbers():
    first, second = (measure_profile(four_sides(DOME, places=MOVED)[:2]) for _ in range(2))
    assert first.height_mm == second.height_mm
    assert first.width_mm == second.width_mm


def test_side_photos_narrow_the_width_from_above():
    # The scene of the top photo as a body: 36.0 and 35.7 mm at 25 degrees, ring at 24, top at 55.
    stretch = 0.3 / 71.7 * np.array([np.cos(np.deg2rad(50)), np.sin(np.deg2rad(50))])
    body = TurnedPiece(6.0, -4.0, 35.85, 24.0, 31.0, 31.0, 1.0, *stretch)
    scene = SCENE.but(half_axes_mm=(36.0, 35.7))
    top = view_of(scene, u_log_distance=0.02, u_print_ratio=0.003)
    profile = measure_profile([top, *[side_view(body, card_from(a, u_print_ratio=0.003)) for a in (20, 105, 200, 290)]])
    alone, joined = (measure_diameters(top, known) for known in (UsualShape(), profile.knowledge))
    assert joined.max_mm.u < 0.5 * alone.max_mm.u
    assert abs(joined.max_mm.value - 72.0) < joined.max_mm.expanded()
    assert joined.max_mm.component('card print') == pytest.approx(0.003 * 72, rel=0.01)
    assert joined.max_mm.component('photos from the side') > 0
    # The ratio of the widths is that of the photo from above.
    assert joined.max_mm.value / joined.min_mm.value == pytest.approx(36 / 35.7, rel=1e-3)


def test_photos_from_the_side_know_better_than_mirror_images():
    profile = measure_profile(four_sides(DOME))
    view, known = view_of(SCENE), profile.knowledge
    assert judge_height(view.photo.rgb, view.card, view.outline, known) is known
    assert known.ring_height(70.0).source == "photos from the side"
    assert known.log_odds(profile.ring_mm.value, 30.0, 70.0) == 0

import cv2
import numpy as np
import pytest

from grader.errors import OutlineNotFound
from grader.outline.dome_view import EllipseFit, NoCard, NoEllipse, polygon_centre
from grader.outline.see_dome import find_outline
from tests.support.dome_photos import SCENES, photo_of
from tests.support.known_card import card_fit_of

NO_CARD = NoCard('made by hand')


def share_in_common(one, other, size_px):
    masks = []
    for polygon in (one, other):
        mask = np.zeros(size_px[::-1], np.uint8)
        cv2.fillPoly(mask, [np.round(polygon * 16).astype(np.int32)], 1, shift=4)
        masks.append(mask > 0)
    return (masks[0] & masks[1]).sum() / (masks[0] | masks[1]).sum()


@pytest.mark.parametrize('name', ['round on grey', 'dark on black', 'egg on white'])
def test_a_round_piece_on_the_card(name):
    scene = SCENES[name]
    outline = find_outline(photo_of(name), card_fit_of(scene.card), name=name)
    true = scene.outline_px()
    assert outline.shape == 'round' and isinstance(outline.ellipse, EllipseFit)
    off = (
        np.linalg.norm(outline.contour_px - true.mean(axis=0), axis=1).mean()
        - np.linalg.norm(true - true.mean(axis=0), axis=1).mean()
    )
    # 0.6 px of 120 px: half a per cent, in scenes of half the usual size.
    assert abs(off) < 0.6
    assert share_in_common(outline.contour_px, true, scene.card.size_px) > 0.985
    np.testing.assert_allclose(outline.centre_px, polygon_centre(true), atol=0.4)


def test_a_faceted_piece_is_followed_point_by_point():
    scene = SCENES['six facets']
    outline = find_outline(photo_of('six facets'), card_fit_of(scene.card), name='six facets')
    assert outline.shape == 'free' and isinstance(outline.ellipse, NoEllipse)
    # The flats lie 0.9 of the half-axis out, the arcs between them on the ellipsoid.
    true = scene.outline_px()
    middle = true.mean(axis=0)
    reach = np.linalg.norm(outline.contour_px - middle, axis=1) / np.linalg.norm(true - middle, axis=1).mean()
    assert 0.87 < reach.min() < 0.94
    assert 0.97 < reach.max() < 1.03


def test_a_photo_without_a_card_gives_the_same_outline():
    # Only the clear field: no print in the picture.
    scene = SCENES['round on grey']
    middle = np.round(scene.outline_px().mean(axis=0)).astype(int)
    low, high = middle - 165, middle + 165
    part = np.ascontiguousarray(photo_of('round on grey')[low[1] : high[1], low[0] : high[0]])
    alone = find_outline(part, NO_CARD, name='part')
    with_card = find_outline(photo_of('round on grey'), card_fit_of(scene.card), name='whole')
    assert alone.ellipse.mean_radius_px == pytest.approx(with_card.ellipse.mean_radius_px, abs=0.3)
    np.testing.assert_allclose(alone.centre_px + low, with_card.centre_px, atol=0.3)


def test_a_photo_of_twice_the_size_gives_twice_the_outline():
    scene = SCENES['round on grey']
    large = cv2.resize(photo_of('round on grey'), None, fx=3, fy=3, interpolation=cv2.INTER_CUBIC)
    card = card_fit_of(scene.card.but(focal_px=3 * scene.card.focal_px, size_px=(2100, 2100)))
    outline = find_outline(large, card, name='large')
    true = (scene.outline_px() + 0.5) * 3 - 0.5
    assert outline.ellipse.mean_radius_px == pytest.approx(
        np.linalg.norm(true - true.mean(axis=0), axis=1).mean(), rel=0.005
    )


def test_the_outline_runs_from_x_to_y_and_cannot_be_changed():
    outline = find_outline(photo_of('round on grey'), card_fit_of(SCENES['round on grey'].card), name='photo')
    x, y = outline.contour_px.T
    assert (x * np.roll(y, -1) - np.roll(x, -1) * y).sum() > 0
    assert not outline.contour_px.flags.writeable
    assert outline.flags == ()


def test_the_same_photo_gives_the_same_outline():
    card = card_fit_of(SCENES['dark on black'].card)
    first, second = (find_outline(photo_of('dark on black'), card, name='photo') for _ in range(2))
    assert np.array_equal(first.contour_px, second.contour_px)


def test_bare_ground_is_told():
    ground = np.random.default_rng(1).normal(120, 2, (500, 500, 3)).clip(0, 255).astype(np.uint8)
    with pytest.raises(OutlineNotFound) as caught:
        find_outline(ground, NO_CARD, name='IMG_1.JPG')
    assert caught.value.problem == "IMG_1.JPG: no piece of glass stands out from the ground."
    assert "in the middle of the card" in caught.value.remedy


def test_a_piece_cut_by_the_edge_is_told():
    x, y = np.meshgrid(np.arange(500.0), np.arange(400.0))
    disc = np.clip(101 - np.hypot(x - 30, y - 200), 0, 1)[..., None]
    picture = 200 * (1 - disc) + np.array([40.0, 60, 90]) * disc
    noise = np.random.default_rng(1).normal(0, 1.5, picture.shape)
    with pytest.raises(OutlineNotFound) as caught:
        find_outline((picture + noise).clip(0, 255).astype(np.uint8), NO_CARD, name='IMG_2.JPG')
    assert caught.value.problem.startswith("IMG_2.JPG: the piece reaches over the edge of the picture")
    assert "further away" in caught.value.remedy


def test_a_ring_light_in_the_picture_is_not_the_piece():
    x, y = np.meshgrid(np.arange(700.0), np.arange(700.0))
    apart = np.hypot(x - 340, y - 355)
    disc = np.clip(91 - apart, 0, 1)[..., None]
    lamp = np.clip(1.5 - np.abs(apart - 300) / 12, 0, 1)[..., None]
    picture = (120 - 0.1 * apart[..., None]) * (1 - disc) + np.array([30.0, 50, 40]) * disc
    picture = picture * (1 - lamp) + 255 * lamp
    noise = np.random.default_rng(1).normal(0, 1.5, picture.shape)
    outline = find_outline((picture + noise).clip(0, 255).astype(np.uint8), NO_CARD, name='IMG_3.JPG')
    assert outline.ellipse.mean_radius_px == pytest.approx(90.5, abs=1.0)

"""The light: rings drawn where geometry puts them, ground that grows lighter by a known amount, lamps in the picture."""

import cv2
import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.linear_light import encode_srgb, linear_grey
from grader.marks.unseen_shapes import piece_picture
from grader.outline.dome_view import DomeView, NoCard
from grader.outline.height import UsualShape
from grader.outline.surface import fit_surface
from grader.quality.ground_light import ground_rise
from grader.quality.lamp_seen import is_lamp_in_picture
from grader.quality.light import is_from_above, light_of
from grader.quality.light_constants import RISE_LOW
from grader.quality.mirrored_ring import facing_axis, tilts_of_rings
from tests.support.card_scene import CardScene, photograph
from tests.support.piece_view import make_view

CENTRE, RADIUS, SIZE = (320.0, 300.0), 200.0, (650, 600)


def with_picture(view, rgb):
    photo = view.photo
    rgb = np.ascontiguousarray(rgb)
    rgb.flags.writeable = False
    return DomeView(type(photo)(**{name: rgb if name == 'rgb' else getattr(photo, name) for name in photo.__slots__}),
                    view.card, view.outline)  # fmt: skip


def plain_piece(ground=90, glass=70):
    rgb = np.full((600, 650, 3), ground, np.uint8)
    cv2.circle(rgb, (320, 300), 200, (glass,) * 3, -1)
    noise = np.random.default_rng(3).normal(0, 2, rgb.shape)
    return (rgb + noise).clip(0, 255).astype(np.uint8)


def ring_drawn(rgb, surface, tilts_deg):
    """The picture with white where a dome of this shape is tilted so much against a view from straight above."""
    y, x = np.indices(rgb.shape[:2])
    located = surface.locate(np.column_stack([x.ravel(), y.ravel()]).astype(float))
    tilt = np.degrees(np.arccos(located.facing)).reshape(x.shape)
    inside = located.inside.reshape(x.shape)
    return np.where(((tilt > tilts_deg[0]) & (tilt < tilts_deg[1]) & inside)[..., None], np.uint8(235), rgb)


@pytest.fixture(scope='module')
def dome():
    view = make_view(RADIUS, SIZE, CENTRE)
    return view, fit_surface(view.outline, view.card, UsualShape())


@pytest.mark.parametrize(
    ('tilts_deg', 'span_deg'), [((8.0, 10.0), 33.0), ((4.0, 5.2), 18.0), ((40.0, 46.0), 66.0)], ids=str
)
def test_a_ring_is_found_at_the_tilt_that_mirrors_it(dome, tilts_deg, span_deg):
    view, surface = dome
    rgb = ring_drawn(plain_piece(), surface, tilts_deg)
    found = tilts_of_rings(piece_picture(rgb, view.outline.contour_px), surface, facing_axis(surface), span_deg)
    # Half the ring's width: it is wide, and edges are found to one step of the search.
    assert found[0] == pytest.approx(np.mean(tilts_deg), abs=np.ptp(tilts_deg) / 2)


def test_coaxial_low_and_neither(dome):
    view, surface = dome
    plain = plain_piece()
    assert light_of(with_picture(view, ring_drawn(plain, surface, (8.0, 10.0))), surface).kind == 'coaxial'
    low = light_of(with_picture(view, ring_drawn(plain, surface, (40.0, 46.0))), surface)
    assert (low.kind, low.comes_low) == ('low', True)
    neither = light_of(with_picture(view, plain), surface)
    assert (neither.kind, neither.comes_low) == ('unknown', None)
    assert light_of(with_picture(view, plain), None).kind == 'unknown'


@pytest.mark.parametrize('middle', [(320, 300), (330, 280)], ids=str)
def test_a_lamp_round_the_piece_is_seen(dome, middle):
    view, _ = dome
    rgb = plain_piece()
    cv2.circle(rgb, middle, 280, (255, 255, 255), 20)
    assert is_lamp_in_picture(rgb, view.outline.contour_px)
    assert light_of(with_picture(view, rgb), None).kind == 'low'


def test_over_exposed_ground_is_no_lamp(dome):
    view, _ = dome
    assert not is_lamp_in_picture(plain_piece(ground=255), view.outline.contour_px)
    rgb = plain_piece()
    rgb[:90] = 255  # a bright table behind
    assert not is_lamp_in_picture(rgb, view.outline.contour_px)


@pytest.mark.parametrize('rise', [-0.2, 0.0, 0.5])
def test_ground_rise_is_what_was_put_in(rise):
    scene = CardScene(load_card('frame'), size_px=(900, 900), focal_px=1700.0, tilt_deg=3.0, noise=0.004)
    rgb = photograph(scene)
    card = fit_card(rgb)
    y, x = np.indices(rgb.shape[:2])
    places = card.to_plane_mm(np.column_stack([x.ravel(), y.ravel()]).astype(float)).reshape(*x.shape, 2)
    light = linear_grey(rgb) * np.exp(rise * ((places / 70) ** 2).sum(axis=2)) * 0.5
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    contour_px = card.project_mm(np.column_stack([30 * np.cos(turn), 30 * np.sin(turn), 0 * turn]))
    shaded = np.round(255 * encode_srgb(np.repeat(light[..., None], 3, axis=2))).astype(np.uint8)
    assert ground_rise(shaded, card, contour_px) == pytest.approx(rise, abs=0.02)
    assert (rise >= RISE_LOW) is (rise == 0.5)


def test_a_piece_that_fills_the_card_leaves_no_ground():
    scene = CardScene(load_card('frame'), size_px=(900, 900), focal_px=1700.0)
    rgb = photograph(scene)
    card = fit_card(rgb)
    turn = np.linspace(0, 2 * np.pi, 200, endpoint=False)
    contour_px = card.project_mm(np.column_stack([90 * np.cos(turn), 90 * np.sin(turn), 0 * turn]))
    assert ground_rise(rgb, card, contour_px) is None


def test_no_card_is_taken_as_a_view_from_above():
    view = make_view()
    assert isinstance(view.card, NoCard) and is_from_above(view)

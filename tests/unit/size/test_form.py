import numpy as np
import pytest

from grader.outline.height import UsualShape
from grader.outline.turned_piece import TurnedPiece
from grader.size.diameter import measure_diameters
from grader.size.form import FormKind, count_facets, judge_form
from grader.size.profile import measure_profile
from tests.support.piece_view import make_diameters, make_view
from tests.support.side_views import DOME, EGG, FLAT_TOPPED, card_from, side_view
from tests.unit.size.test_diameter import SCENE, view_of

DISC = TurnedPiece(0.0, 0.0, 40.0, 9.0, 13.0, 12.0)


def form_of(piece):
    top = view_of(SCENE)
    profile = measure_profile([side_view(piece, card_from(around)) for around in (30, 150)])
    return judge_form(top, measure_diameters(top, UsualShape()), profile)


@pytest.mark.parametrize(
    ('piece', 'kind', 'names'),
    [
        (DOME, FormKind.DOME, ["diameter", "height", "width of the foot"]),
        (EGG, FormKind.EGG, ["height", "girth at the widest", "widest across", "width of the foot"]),
        (FLAT_TOPPED, FormKind.FACETED,
         ["largest width, corner to corner", "smallest width, across flats", "height", "width of the foot"]),
        (DISC, FormKind.FLAT, ["largest width", "smallest width", "thickness", "width of the foot"]),
    ],
    ids=['dome', 'egg', 'flat on top', 'disc'],
)  # fmt: skip
def test_each_form_has_its_words_and_sizes(piece, kind, names):
    form = form_of(piece)
    assert form.kind == kind
    assert [name for name, _ in form.sizes] == names
    assert form.n_facets is None
    if kind == FormKind.EGG:
        girth = dict(form.sizes)["girth at the widest"]
        assert girth.value == pytest.approx(2 * np.pi * 30.0, rel=5e-3)
        assert form.words == "an egg, taller than wide"


def test_without_side_photos_the_height_is_not_guessed():
    top = view_of(SCENE)
    form = judge_form(top, measure_diameters(top, UsualShape()), measure_profile([top]))
    assert form.kind == FormKind.UNKNOWN
    assert [name for name, _ in form.sizes] == ["diameter"]


def test_without_a_card_there_are_no_sizes():
    view = make_view()
    assert judge_form(view, make_diameters(view, None), measure_profile([view])).sizes == ()


@pytest.mark.parametrize('n_sides', [4, 5, 6, 8])
def test_facets_are_counted_on_a_polygon(n_sides):
    turn = 2 * np.pi * np.arange(720) / 720 + 0.1
    step = 2 * np.pi / n_sides
    radius = 300 * np.cos(step / 2) / np.cos(turn % step - step / 2)
    assert count_facets(radius[:, None] * np.column_stack([np.cos(turn), np.sin(turn)])) == n_sides


def test_a_circle_and_an_odd_shape_have_no_count():
    turn = 2 * np.pi * np.arange(720) / 720
    ring = np.column_stack([np.cos(turn), np.sin(turn)])
    assert count_facets(300 * ring) is None
    assert count_facets(300 * np.minimum(1, 0.8 / np.maximum(np.cos(turn), 0.1))[:, None] * ring) is None

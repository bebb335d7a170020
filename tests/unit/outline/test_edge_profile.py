import numpy as np
import pytest

from grader.outline.edge_profile import misfit, profiles_along, rim_transmission

PLACES = np.arange(-6, 8.01, 0.5)


def test_outside_the_rim_nothing_comes_through():
    assert np.all(rim_transmission(np.array([4.0, 10.0]), 300, 0.9) < 1e-4)


def test_deep_inside_all_but_the_mirrored_part_comes_through():
    # Source: Fresnel at normal incidence, ((1.52 - 1) / (1.52 + 1))^2 = 4.258 %.
    assert rim_transmission(np.array([-300.0]), 300, 0.9)[0] == pytest.approx(1 - 0.04258, abs=1e-4)


def test_at_75_degrees_a_quarter_is_mirrored():
    # Source: Fresnel for n = 1.52 at 75 degrees, 25.672 %; the rim is sin 75 = 0.9659 of the radius out.
    depth = -300 * (1 - np.sin(np.radians(75)))
    assert rim_transmission(np.array([depth]), 300, 0.05)[0] == pytest.approx(1 - 0.25672, abs=2e-3)


def test_transmission_rises_inwards():
    assert np.all(np.diff(rim_transmission(np.arange(-50, 5, 0.5), 300, 0.9)) <= 1e-12)


@pytest.mark.parametrize('shift', [-1.5, -0.25, 0.0, 0.75, 2.0])
@pytest.mark.parametrize('glass', [0.9, 0.05], ids=['light glass', 'dark glass'])
def test_the_rim_is_found_where_it_is(shift, glass):
    ground = 0.4 + 0.003 * PLACES
    through = rim_transmission(PLACES - shift, 300, 0.9)
    profile = ground + (glass - 0.4) * through * (1 - 0.01 * PLACES)
    noise = np.random.default_rng(1).normal(0, 0.002, (20, 3, len(PLACES)))
    shifts = np.arange(-3, 3.01, 0.25)
    cost = misfit((profile + noise).astype(np.float32), PLACES, shifts, 300, 0.9)
    # Half a step of the grid that is tried.
    assert np.abs(shifts[cost.argmin(axis=1)] - shift).max() <= 0.13


def test_profiles_run_outwards_and_average_neighbours():
    x, y = np.meshgrid(np.arange(101.0), np.arange(101.0))
    light = np.repeat(np.hypot(x - 50, y - 50)[..., None], 3, axis=2).astype(np.float32)
    turn = np.linspace(0, 2 * np.pi, 180, endpoint=False)
    normals = np.column_stack([np.cos(turn), np.sin(turn)])
    for joined in (0, 2):
        found = profiles_along(light, 50 + 30 * normals, normals, np.array([-5.0, 0.0, 5.0]), joined)
        np.testing.assert_allclose(found, np.broadcast_to([25, 30, 35], (180, 3, 3)), atol=0.02)

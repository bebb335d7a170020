"""The outline of a sphere that touches the card, seen from the side.

A sphere of radius R whose middle is d from the camera and an angle t off the axis has an ellipse as outline, of
half-axes f sin a cos a / (cos^2 t - sin^2 a) and f sin a / sqrt(cos^2 t - sin^2 a) with sin a = R / d: the section of
the tangent cone (the closed forms of test_sphere_outline.py).
"""

import numpy as np
import pytest

from grader.outline.fit_ellipse import fit_ellipse
from grader.outline.turned_piece import TurnedPiece
from tests.support.side_views import card_from


@pytest.mark.parametrize('place_mm', [(0.0, 0.0), (25.0, -14.0), (-30.0, 22.0)])
def test_the_silhouette_of_a_sphere_is_the_ellipse_of_the_closed_form(place_mm):
    card = card_from(35.0, 18.0)
    sphere = TurnedPiece(*place_mm, 30.0, 30.0, 30.0, 30.0)
    hull = sphere.silhouette(card)
    fit = fit_ellipse(hull, np.ones(len(hull)))
    middle = card.rotation @ np.array([*place_mm, 30.0]) + card.translation_mm
    distance = np.linalg.norm(middle)
    sin_a, cos_t = 30.0 / distance, middle[2] / distance
    under = cos_t**2 - sin_a**2
    # The points lie on the curve itself; what is left is their rounding to single precision.
    assert fit.semi_major_px == pytest.approx(3000 * sin_a * np.sqrt(1 - sin_a**2) / under, rel=1e-5)
    assert fit.semi_minor_px == pytest.approx(3000 * sin_a / np.sqrt(under), rel=1e-5)

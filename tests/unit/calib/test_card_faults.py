"""What can be wrong with a card, and the words for it."""

import cv2
import numpy as np
import pytest

from calib.card import load_card
from calib.card_fit import fit_card
from calib.card_flags import CARD_FLAGS
from calib.errors import ActionableError, CardNotFound, CardUnfit
from tests.support.card_scene import CardScene, photograph

SCENE = CardScene(load_card('frame'), distance_mm=440, tilt_deg=4, turn_deg=5)
F35_MM = SCENE.focal_px * np.hypot(36, 24) / np.hypot(*SCENE.size_px)


@pytest.fixture(scope='module')
def photo():
    return photograph(SCENE)


def test_a_blank_photo():
    with pytest.raises(CardNotFound) as caught:
        fit_card(np.full((400, 400, 3), 128, dtype=np.uint8), name='IMG_0412.JPG')
    assert str(caught.value) == (
        'IMG_0412.JPG: no marker of a calibration card is visible, at least 8 are needed. Take it again with the'
        " whole card in the picture and no lamp reflected in its border."
    )


@pytest.mark.parametrize(('cols', 'n', 'verb'), [(slice(0, 210), 7, 'are'), (slice(0, 100), 0, None)])
def test_too_few_markers(photo, cols, n, verb):
    with pytest.raises(CardNotFound) as caught:
        fit_card(np.ascontiguousarray(photo[:, cols]), name='IMG_1.JPG')
    assert caught.value.n_seen == n
    if n:
        assert caught.value.problem == f"IMG_1.JPG: {n} of the card's 24 markers {verb} visible, at least 8 are needed."


def test_one_marker_is_visible_in_the_singular():
    assert "1 of the card's 24 markers is visible" in str(CardNotFound('a.jpg', 1, 24, 8))


def test_a_mirrored_photo(photo):
    with pytest.raises(
        CardUnfit, match=r"selfie.jpg: the photo is a mirror image, 24 of the card's 24 markers"
    ) as caught:
        fit_card(np.ascontiguousarray(photo[:, ::-1]), name='selfie.jpg')
    assert 'flip the photo back' in caught.value.remedy


def test_another_card(photo):
    with pytest.raises(CardUnfit, match=r'x.jpg: 24 markers of another card are visible, and 0 of a card'):
        fit_card(photo, name='x.jpg', specs=(load_card('pocket'),))


def test_a_badly_bent_card():
    bent = photograph(SCENE.but(bend_mm=8.0))
    with pytest.raises(
        CardUnfit, match=r'b.jpg: the card is bent, its edge stands [78]\.\d mm off its plane, at most 4.0 mm'
    ):
        fit_card(bent, name='b.jpg', f35_mm=F35_MM)


def test_a_slightly_bent_card_is_flagged_and_still_measured():
    scene = SCENE.but(bend_mm=2.0)
    fit = fit_card(photograph(scene), f35_mm=F35_MM)
    assert fit.flags == ('card-bent',)
    middle = np.array([[-20.0, 0, 0], [20, 0, 0], [0, 20, 0]])
    assert np.abs(fit.to_plane_mm(scene.project_mm(middle)) - middle[:, :2]).max() < 0.1


def test_a_flat_card_is_not_called_bent(photo):
    assert fit_card(photo, f35_mm=F35_MM).flags == ()


@pytest.mark.parametrize('f35_mm', [F35_MM, None], ids=['Exif', 'no Exif'])
def test_a_picture_stretched_in_one_direction(photo, f35_mm):
    narrow = cv2.resize(photo, (640, 800), interpolation=cv2.INTER_AREA)
    with pytest.raises(
        CardUnfit, match=r'n.jpg: no camera sees a flat card of this kind so. The picture was stretched'
    ):
        fit_card(narrow, name='n.jpg', f35_mm=f35_mm)


def test_a_cut_off_card_is_flagged(photo):
    fit = fit_card(np.ascontiguousarray(photo[:, :600]), f35_mm=None)
    assert 'card-cut-off' in fit.flags
    assert 8 <= len(fit.corners) < 24


def test_a_small_copy_of_the_card_in_the_picture_is_left_out(photo):
    double = photo.copy()
    copy = photo[::3, ::3]
    double[300 : 300 + len(copy), 280 : 280 + copy.shape[1]] = copy
    fit = fit_card(double, f35_mm=F35_MM)
    assert fit.flags == ('markers-in-glass',)
    assert len(fit.corners) == 24
    assert fit.rms_px < 0.1


def test_hidden_markers_cost_nothing_but_certainty(photo):
    hidden = photo.copy()
    hidden[:300, 500:] = 40
    whole, part = fit_card(photo, f35_mm=F35_MM), fit_card(hidden, f35_mm=F35_MM)
    assert len(part.corners) < len(whole.corners)
    assert np.trace(part.covariance) > np.trace(whole.covariance)
    grid = np.array([[-50.0, 0, 0], [50, 0, 0]])
    assert np.abs(part.to_plane_mm(SCENE.project_mm(grid)) - grid[:, :2]).max() < 0.05


def test_a_marker_with_a_smeared_side_is_dropped(photo):
    smeared = photo.copy()
    x, y = np.round(SCENE.project_mm(SCENE.spec.marker_corners_mm(5))[0]).astype(int)
    smeared[y - 6 : y + 4, x - 10 : x + 60] = 25
    fit = fit_card(smeared, f35_mm=F35_MM)
    grid = np.array([[-50.0, 0, 0], [50, 0, 0]])
    assert np.abs(fit.to_plane_mm(SCENE.project_mm(grid)) - grid[:, :2]).max() < 0.03


def test_each_flag_has_words():
    for name, (short, long) in CARD_FLAGS.items():
        assert name == name.lower()
        assert not short.endswith('.')
        assert long.endswith('.')


def test_errors_are_the_owners_to_mend():
    assert issubclass(CardUnfit, ActionableError)
    assert str(CardUnfit("It is so.", "Do this.")) == "It is so. Do this."


def test_a_cropped_picture_is_noticed_and_doubted(photo):
    fit = fit_card(np.ascontiguousarray(photo[:, :660]), f35_mm=F35_MM)
    assert 'picture-cropped' in fit.flags
    assert abs(fit.camera.focal_px - SCENE.focal_px) < 2 * fit.camera.u_focal_px
    grid = np.array([[-50.0, 0, 0], [50, 0, 0], [0, 50, 0]])
    assert np.abs(fit.to_plane_mm(SCENE.project_mm(grid)) - grid[:, :2]).max() < 0.02

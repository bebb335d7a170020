"""A camera's profile from several photos."""

from dataclasses import dataclass

import numpy as np
import pytest
from pydantic import ValidationError

from calib.calibrate import calibrate
from calib.card import load_card
from calib.errors import CardNotFound, ProfileUnfit, ViewsUnfit
from calib.profile import CameraProfile
from tests.support.card_scene import CardScene, photograph

CAMERA = CardScene(load_card('frame'), focal_px=1000, size_px=(800, 600), centre_off_px=(6, -4), k1=-0.06, noise=0.004)
VIEWS = (
    CAMERA.but(distance_mm=420, tilt_deg=2),
    CAMERA.but(distance_mm=430, tilt_deg=32, turn_deg=5),
    CAMERA.but(distance_mm=430, tilt_deg=-30, turn_deg=80),
    CAMERA.but(distance_mm=400, tilt_deg=25, turn_deg=190, aim_mm=(10, 0)),
)


@dataclass(frozen=True)
class Shot:
    """What calibration needs of a photo."""

    rgb: np.ndarray
    name: str
    f35_mm: float | None = None


@pytest.fixture(scope='module')
def shots():
    return tuple(Shot(photograph(view), f'IMG_{k}.JPG') for k, view in enumerate(VIEWS))


@pytest.fixture(scope='module')
def profile(shots):
    return calibrate(shots)


def test_the_camera_is_found_within_its_doubt(profile):
    assert abs(profile.focal_px - 1000) < 3 * profile.u_focal_px
    assert profile.u_focal_px < 4
    assert abs(profile.k1 + 0.06) < 3 * profile.u_k1
    assert profile.u_k1 < 0.003
    off = np.array(profile.centre_px) - [399.5 + 6, 299.5 - 4]
    assert np.abs(off).max() < 3 * profile.u_centre_px
    assert profile.rms_px < 0.15
    assert profile.n_views == 4


def test_the_profile_survives_its_file(profile):
    assert CameraProfile.model_validate_json(profile.model_dump_json()) == profile


def test_unknown_fields_are_refused(profile):
    with pytest.raises(ValidationError, match='Extra inputs'):
        CameraProfile.model_validate({**profile.model_dump(), 'zoom': 2})


def test_order_does_not_matter(shots, profile):
    turned = calibrate(shots[::-1])
    assert turned.focal_px == pytest.approx(profile.focal_px, rel=1e-4)


def test_too_few_photos(shots):
    with pytest.raises(ViewsUnfit, match='3 photos were given, at least 4 are needed'):
        calibrate(shots[:3])


def test_photos_too_much_alike(shots):
    with pytest.raises(
        ViewsUnfit, match=r'too much alike: they give the focal length to \d+\.\d %, and 0.7 % is needed'
    ) as caught:
        calibrate([Shot(shots[0].rgb, f'IMG_{k}.JPG') for k in range(4)])
    assert 'slantwise' in caught.value.remedy


def test_photos_of_different_sizes(shots):
    turned = Shot(np.ascontiguousarray(np.rot90(shots[3].rgb)), 'IMG_9.JPG')
    with pytest.raises(ViewsUnfit, match=r'IMG_9.JPG: the photo has 600 x 800 px, and the first one 800 x 600 px'):
        calibrate((*shots[:3], turned))


def test_a_photo_without_a_card_is_named(shots):
    blank = Shot(np.full((600, 800, 3), 90, dtype=np.uint8), 'IMG_7.JPG')
    with pytest.raises(CardNotFound, match=r'^IMG_7.JPG: no marker'):
        calibrate((*shots, blank))


def test_different_cards(shots):
    pocket = Shot(photograph(CardScene(load_card('pocket'), size_px=(800, 600), focal_px=1000, tilt_deg=10)), 'p.JPG')
    with pytest.raises(ViewsUnfit, match='The photos show different cards'):
        calibrate((*shots, pocket))


def test_a_profile_serves_other_sizes_of_the_same_shape(profile):
    double = profile.scaled_to((1600, 1200))
    assert double.focal_px == pytest.approx(2 * profile.focal_px)
    assert double.centre_px[0] == pytest.approx(2 * (profile.centre_px[0] + 0.5) - 0.5)
    assert double.u_focal_px / double.focal_px == pytest.approx(profile.u_focal_px / profile.focal_px)
    assert double.k1 == profile.k1


def test_a_turned_photo_doubts_the_principal_point(profile):
    turned = profile.scaled_to((600, 800))
    assert turned.centre_px == (299.5, 399.5)
    assert turned.u_centre_px > np.hypot(4, 3)
    assert turned.focal_px == pytest.approx(profile.focal_px)


def test_a_cropped_photo_is_refused(profile):
    with pytest.raises(ProfileUnfit, match='800 x 600 px, and this photo has 700 x 600 px') as caught:
        profile.scaled_to((700, 600))
    assert 'not cropped' in caught.value.remedy


@pytest.mark.parametrize('number', ['NaN', 'Infinity', '-Infinity', '1e999'])
def test_a_profile_with_a_number_that_is_none(profile, number):
    text = profile.model_dump_json().replace(f'"k1":{profile.k1}', f'"k1":{number}')
    assert number in text
    with pytest.raises(ValidationError):
        CameraProfile.model_validate_json(text)

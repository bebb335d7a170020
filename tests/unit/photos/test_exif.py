"""Exif comes from outside: each field alone may be missing, wrong or hostile."""

import pytest
from PIL import Image

from grader.photos.exif import read_exif


def image_with(tags: dict | None = None, camera_tags: dict | None = None) -> Image.Image:
    image = Image.new('RGB', (4, 4))
    exif = image.getexif()
    exif.update(tags or {})
    exif.get_ifd(0x8769).update(camera_tags or {})
    return image


def test_no_exif():
    fields = read_exif(image_with())
    assert (fields.orientation, fields.f35_mm, fields.taken_at, fields.camera, fields.stored_size_px) == (
        1, None, '', '', (0, 0),
    )  # fmt: skip


@pytest.mark.parametrize('value', [0, 9, -1, 'six', b'\x06', (6,), None, 6.0])
def test_orientation_outside_the_standard_is_upright(value):
    assert read_exif(image_with({0x0112: value})).orientation == 1


@pytest.mark.parametrize(('value', 'f35_mm'), [(26, 26.0), (0, None), (65535, None), ('26', None), (b'26', None)])
def test_focal_length(value, f35_mm):
    assert read_exif(image_with(camera_tags={0xA405: value})).f35_mm == f35_mm


@pytest.mark.parametrize(
    ('moment', 'zone', 'text'),
    [
        ('2026:03:10 10:09:00', '', '2026-03-10 10:09:00'),
        ('2026:03:10 10:09:00', '-05:30', '2026-03-10 10:09:00-05:30'),
        ('2026:03:10 10:09:00', 'Z', '2026-03-10 10:09:00'),
        ('    :  :     :  :  ', '', ''),
        ('2026:03:10', '', ''),
        (20260310, '', ''),
        ('2026:03:10 10:09:00<script>', '', ''),
    ],
)
def test_time(moment, zone, text):
    assert read_exif(image_with(camera_tags={0x9003: moment, 0x9011: zone})).taken_at == text


@pytest.mark.parametrize(
    ('make', 'model', 'camera'),
    [
        ('Maker', 'One', 'Maker One'),
        ('Maker', 'Maker One', 'Maker One'),
        ('Maker\x00\x00', 'One\n\x1b[31m', 'Maker One[31m'),
        ('', 'One', 'One'),
        (7, 'One', 'One'),
    ],
)
def test_camera(make, model, camera):
    assert read_exif(image_with({0x010F: make, 0x0110: model})).camera == camera


def test_long_text_is_cut():
    assert len(read_exif(image_with({0x0110: 'x' * 10_000})).camera) == 100

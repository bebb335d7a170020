"""Counting of scans, on JPEGs that Pillow wrote."""

import io

import pytest
from PIL import Image

from grader.constants import MAX_JPEG_SCANS
from grader.errors import PhotoUnreadable
from grader.photos.jpeg_scans import n_scans
from grader.photos.load import load_photo
from grader.settings import PhotoLimits


def jpeg(**options: object) -> bytes:
    data = io.BytesIO()
    Image.linear_gradient('L').resize((240, 220)).convert('RGB').save(data, 'JPEG', **options)
    return data.getvalue()


def with_more_scans(data: bytes, n: int) -> bytes:
    """The last scan stands in it n times more."""
    return data[:-2] + data[data.rfind(b'\xff\xda') : -2] * n + data[-2:]


@pytest.mark.parametrize(
    ('data', 'n'),
    [(jpeg(), 1), (jpeg(progressive=True), 10), (with_more_scans(jpeg(progressive=True), 7), 17), (b'', 0)],
    ids=['plain', 'progressive', 'repeated', 'nothing'],
)
def test_scans(data, n):
    assert n_scans(data, 100) == n


def test_a_small_picture_within_it_does_not_count():
    inner = b'\xff\xe1' + (len(jpeg()) + 2).to_bytes(2) + jpeg()
    assert n_scans(jpeg()[:2] + inner + jpeg()[2:], 100) == 1


def test_nor_does_what_follows_the_picture():
    assert n_scans(jpeg() + b'\xff\xda\x00\x02' * 500, 100) == 1


def test_counting_ends_early():
    assert n_scans(with_more_scans(jpeg(progressive=True), 5000), 20) == 21


def test_a_photo_of_very_many_scans_is_refused(tmp_path):
    path = tmp_path / 'scans.jpg'
    path.write_bytes(with_more_scans(jpeg(progressive=True), MAX_JPEG_SCANS))
    with pytest.raises(PhotoUnreadable, match=r'scans\.jpg: the picture is written in more than 100 passes.*anew'):
        load_photo(path, PhotoLimits())
    path.write_bytes(with_more_scans(jpeg(progressive=True), MAX_JPEG_SCANS - 10))
    assert load_photo(path, PhotoLimits()).size_px == (240, 220)

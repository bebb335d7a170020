"""Pictures for the page: the photo's own pixels, decoded once, whatever the file's kind."""

import io

import numpy as np
import pillow_heif
import pytest
from PIL import Image

from grader.errors import PhotoSetUnusable
from grader.photos.load import load_photo
from grader.settings import PhotoLimits
from grader.web import pictures
from grader.web.pictures import PhotoSource, n_levels, photo_pixels, png_of, reduced, reduced_jpeg, tile_of
from grader.web.viewer_constants import TILE_PX
from tests.support.shown_examination import glass_picture

SIZE_PX = (1100, 700)


def source_of(path):
    photo = load_photo(path, PhotoLimits())
    return PhotoSource(path.name, photo.sha256, photo.size_px, PhotoLimits(), lambda: path)


@pytest.fixture
def rgb():
    return glass_picture(SIZE_PX)


def saved(folder, rgb, kind):
    path = folder / f'a.{kind}'
    if kind == 'heic':
        pillow_heif.from_pillow(Image.fromarray(rgb)).save(path, quality=-1)
    elif kind == 'tif':
        # 16 bits a channel.
        Image.fromarray(rgb[..., 0].astype(np.uint16) * 257).save(path)
    elif kind == 'jpg':
        exif = Image.Exif()
        exif[0x0112] = 6
        Image.fromarray(rgb).save(path, quality=95, exif=exif)
    else:
        Image.fromarray(rgb).save(path)
    return path


@pytest.mark.parametrize('kind', ['png', 'jpg', 'tif', 'heic'])
def test_pixels_are_those_of_the_examination(tmp_path, rgb, kind):
    path = saved(tmp_path, rgb, kind)
    pixels = photo_pixels(tmp_path / 'cache', source_of(path))
    assert np.array_equal(pixels, load_photo(path, PhotoLimits()).rgb)
    if kind == 'jpg':
        assert pixels.shape == (1100, 700, 3)  # upright


def test_a_photo_is_decoded_once(tmp_path, rgb):
    source = source_of(saved(tmp_path, rgb, 'png'))
    cache = tmp_path / 'cache'
    first = photo_pixels(cache, source)
    gone = PhotoSource(source.name, source.sha256, source.size_px, source.limits, lambda: tmp_path / 'nowhere.png')
    assert np.array_equal(photo_pixels(cache, gone), first)
    reduced_jpeg(cache, source, 100)
    for path in cache.glob('*.npy'):
        path.unlink()
    assert Image.open(io.BytesIO(reduced_jpeg(cache, gone, 100))).size == (100, 64)


@pytest.mark.parametrize('damage', [b'', b'\x93NUMPY', b'junk' * 100], ids=['empty', 'cut', 'junk'])
def test_a_damaged_cache_is_made_anew(tmp_path, rgb, damage):
    source = source_of(saved(tmp_path, rgb, 'png'))
    cache = tmp_path / 'cache'
    cache.mkdir()
    (cache / f'{source.sha256}.npy').write_bytes(damage)
    assert np.array_equal(photo_pixels(cache, source), rgb)


def test_a_cache_that_cannot_be_written_does_no_harm(tmp_path, rgb):
    source = source_of(saved(tmp_path, rgb, 'png'))
    in_the_way = tmp_path / 'cache'
    in_the_way.write_text('a file')
    assert np.array_equal(photo_pixels(in_the_way, source), rgb)
    assert reduced_jpeg(in_the_way, source, 100)


def test_another_photo_of_that_name_is_not_shown(tmp_path, rgb):
    path = saved(tmp_path, rgb, 'png')
    source = source_of(path)
    Image.fromarray(255 - rgb).save(path)
    with pytest.raises(PhotoSetUnusable, match="not as it was when it was examined"):
        photo_pixels(tmp_path / 'cache', source)


def test_the_oldest_pixels_make_room(tmp_path, rgb, monkeypatch):
    monkeypatch.setattr(pictures, 'CACHE_MOST_BYTES', 5_000_000)
    cache = tmp_path / 'cache'
    sources = []
    for k in range(3):
        path = tmp_path / f'{k}.png'
        Image.fromarray(np.roll(rgb, k, axis=0)).save(path)
        sources.append(source_of(path))
        photo_pixels(cache, sources[-1])
    assert (cache / f'{sources[-1].sha256}.npy').exists()
    assert sum(path.stat().st_size for path in cache.glob('*.npy')) <= 5_000_000


def test_tiles_of_the_first_level_make_up_the_photo(rgb):
    made = np.zeros_like(rgb)
    for row in range(2):
        for column in range(3):
            tile = np.asarray(Image.open(io.BytesIO(png_of(tile_of(rgb, 0, column, row)))))
            made[row * TILE_PX : row * TILE_PX + len(tile), column * TILE_PX : column * TILE_PX + tile.shape[1]] = tile
    assert np.array_equal(made, rgb)


def test_tiles_of_the_next_level_are_means_of_four_pixels():
    rgb = np.random.default_rng(3).integers(0, 256, (800, 1200, 3)).astype(np.uint8)
    tile = tile_of(rgb, 1, 1, 0)
    part = rgb[:, 1024:1200].astype(float)
    means = (part[::2, ::2] + part[1::2, ::2] + part[::2, 1::2] + part[1::2, 1::2]) / 4
    assert tile.shape == (400, 88, 3)
    assert np.abs(tile - means).max() <= 0.5


@pytest.mark.parametrize(('size_px', 'levels'), [((512, 512), 1), ((513, 100), 2), ((1024, 3), 2), ((4000, 3000), 4)])
def test_levels_go_down_to_one_tile(size_px, levels):
    assert n_levels(size_px) == levels


@pytest.mark.parametrize('place', [(-1, 0, 0), (0, 3, 0), (0, 0, 2), (0, -1, 0), (9, 0, 0)])
def test_there_is_no_tile_beyond_the_photo(rgb, place):
    assert tile_of(rgb, *place) is None


def test_a_small_picture_is_not_enlarged(rgb):
    assert reduced(rgb, 5000).shape == rgb.shape
    assert reduced(rgb, 110).shape == (70, 110, 3)

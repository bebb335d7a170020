"""Files of every sort become the same upright photo, or an error that says what to do."""

import hashlib
import io
from pathlib import Path

import numpy as np
import pillow_heif
import pytest
from PIL import Image, ImageCms

from grader.errors import PhotoUnreadable
from grader.photos.load import load_photo
from grader.settings import PhotoLimits

LIMITS = PhotoLimits()
# JPEG, HEIC and CMYK go through another colour space at reduced precision; seen: below 1 level on smooth pictures.
LOSSY_MEAN_LEVELS = 2.0


def smooth_picture(width: int = 300, height: int = 220) -> np.ndarray:
    """(H, W, 3) uint8 with a different gradient in each channel, so that swapped axes or channels show."""
    y, x = np.mgrid[0:height, 0:width]
    return np.stack([20 + x * 200 // width, 30 + y * 190 // height, 128 + 0 * x], axis=-1).astype(np.uint8)


def saved(path: Path, image: Image.Image, **options) -> Path:
    image.save(path, **options)
    return path


@pytest.mark.parametrize(
    ('name', 'mode', 'options', 'mean_levels'),
    [
        ('a.png', 'RGB', {}, 0),
        ('a.tif', 'RGB', {}, 0),
        ('a.webp', 'RGB', {'lossless': True}, 0),
        ('a.png', 'RGBA', {}, 0),
        ('a.tif', 'CMYK', {}, 0),
        ('a.jpg', 'RGB', {'quality': 95}, LOSSY_MEAN_LEVELS),
        ('a.jpg', 'CMYK', {'quality': 95}, LOSSY_MEAN_LEVELS),
    ],
    ids=lambda value: str(value),
)
def test_same_pixels_from_each_format(tmp_path, name, mode, options, mean_levels):
    truth = smooth_picture()
    path = saved(tmp_path / name, Image.fromarray(truth).convert(mode), **options)

    photo = load_photo(path, LIMITS)

    assert photo.rgb.dtype == np.uint8
    assert photo.rgb.shape == truth.shape
    assert not photo.rgb.flags.writeable
    assert photo.size_px == (300, 220)
    assert np.abs(photo.rgb.astype(int) - truth).mean() <= mean_levels
    assert photo.bit_depth == 8
    assert photo.flags == ()


def test_hash_is_of_the_files_bytes(tmp_path):
    path = saved(tmp_path / 'a.jpg', Image.fromarray(smooth_picture()))
    photo = load_photo(path, LIMITS)
    assert photo.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    assert photo.n_bytes == len(path.read_bytes())
    assert photo.name == 'a.jpg'


@pytest.mark.parametrize('mode', ['L', 'LA', '1', 'P'])
def test_grey_and_palette_become_colour(tmp_path, mode):
    grey = smooth_picture()[..., 0]
    truth = np.where(grey > 127, 255, 0) if mode == '1' else grey
    image = Image.fromarray(truth.astype(np.uint8)).convert(mode)
    photo = load_photo(saved(tmp_path / 'a.png', image), LIMITS)
    assert np.array_equal(photo.rgb, np.repeat(truth[..., None], 3, axis=2))


@pytest.mark.parametrize('name', ['a.png', 'a.tif'])
def test_sixteen_bit_grey_keeps_the_upper_byte(tmp_path, name):
    deep = np.linspace(0, 65535, 300 * 220).astype(np.uint16).reshape(220, 300)
    photo = load_photo(saved(tmp_path / name, Image.fromarray(deep)), LIMITS)
    assert photo.bit_depth == 16
    assert np.array_equal(photo.rgb[..., 1], (deep >> 8).astype(np.uint8))


@pytest.mark.parametrize('suffix', ['png', 'tif'])
def test_sixteen_bit_colour_keeps_the_upper_byte(tmp_path, suffix):
    cv2 = pytest.importorskip('cv2')
    deep = smooth_picture().astype(np.uint16) * 257
    path = tmp_path / f'a.{suffix}'
    assert cv2.imwrite(str(path), deep[..., ::-1])
    photo = load_photo(path, LIMITS)
    assert photo.bit_depth == 16
    assert np.array_equal(photo.rgb, smooth_picture())


@pytest.mark.parametrize(('bit_depth', 'mode'), [(8, 'RGB'), (10, 'RGB;16')])
def test_heic(tmp_path, bit_depth, mode):
    truth = smooth_picture()
    path = tmp_path / 'a.heic'
    values = truth if bit_depth == 8 else truth.astype(np.uint16) * 257
    pillow_heif.encode(mode, (300, 220), values.tobytes(), str(path), quality=95)
    photo = load_photo(path, LIMITS)
    assert (photo.file_format, photo.bit_depth) == ('HEIF', bit_depth)
    assert np.abs(photo.rgb.astype(int) - truth).mean() <= LOSSY_MEAN_LEVELS


def test_transparent_parts_become_white_and_are_flagged(tmp_path):
    rgba = np.dstack([smooth_picture(), np.full((220, 300), 255, np.uint8)])
    rgba[:100, :, 3] = 0
    photo = load_photo(saved(tmp_path / 'a.png', Image.fromarray(rgba)), LIMITS)
    assert (photo.rgb[:100] == 255).all()
    assert np.array_equal(photo.rgb[100:], smooth_picture()[100:])
    assert photo.flags == ('transparency-filled',)


def test_first_of_several_pictures(tmp_path):
    first, second = Image.fromarray(smooth_picture()), Image.new('RGB', (300, 220))
    photo = load_photo(saved(tmp_path / 'a.tif', first, save_all=True, append_images=[second]), LIMITS)
    assert np.array_equal(photo.rgb, smooth_picture())
    assert photo.flags == ('first-picture-only',)


def test_phone_file_of_several_jpegs_is_a_jpeg(tmp_path):
    first, second = Image.fromarray(smooth_picture()), Image.new('RGB', (300, 220))
    path = saved(tmp_path / 'a.jpg', first, format='MPO', save_all=True, append_images=[second])
    photo = load_photo(path, LIMITS)
    assert (photo.file_format, photo.flags) == ('JPEG', ())
    assert np.abs(photo.rgb.astype(int) - smooth_picture()).mean() <= LOSSY_MEAN_LEVELS


def wide_gamut_profile() -> bytes:
    """Matrix profile with sRGB's curve whose red and green columns are swapped: not sRGB, and known by hand."""
    data = bytearray(ImageCms.ImageCmsProfile(ImageCms.createProfile('sRGB')).tobytes())
    n_tags = int.from_bytes(data[128:132], 'big')
    place = {bytes(data[132 + 12 * i : 136 + 12 * i]): 132 + 12 * i for i in range(n_tags)}
    red, green = place[b'rXYZ'], place[b'gXYZ']
    data[red : red + 4], data[green : green + 4] = b'gXYZ', b'rXYZ'
    return bytes(data)


def test_embedded_profile_is_converted(tmp_path):
    path = saved(tmp_path / 'a.png', Image.fromarray(smooth_picture()), icc_profile=wide_gamut_profile())
    photo = load_photo(path, LIMITS)
    swapped = smooth_picture()[..., [1, 0, 2]].astype(int)
    # Rounding of the colour engine on both ways: one level.
    assert np.abs(photo.rgb.astype(int) - swapped).max() <= 1
    assert photo.flags == ()


def test_srgb_profile_leaves_the_pixels_alone(tmp_path):
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile('sRGB')).tobytes()
    noise = np.random.default_rng(5).integers(0, 256, (220, 300, 3), dtype=np.uint8)
    photo = load_photo(saved(tmp_path / 'a.png', Image.fromarray(noise), icc_profile=profile), LIMITS)
    assert np.array_equal(photo.rgb, noise)


def test_broken_profile_is_flagged(tmp_path):
    path = saved(tmp_path / 'a.png', Image.fromarray(smooth_picture()), icc_profile=b'not a profile')
    photo = load_photo(path, LIMITS)
    assert np.array_equal(photo.rgb, smooth_picture())
    assert photo.flags == ('colour-profile-ignored',)


def exif_bytes(orientation: int = 1, camera_tags: dict | None = None, tags: dict | None = None) -> bytes:
    exif = Image.Exif()
    exif[0x0112] = orientation
    exif.update(tags or {})
    exif.get_ifd(0x8769).update(camera_tags or {})
    return exif.tobytes()


@pytest.mark.parametrize('name', ['a.jpg', 'a.png', 'a.tif', 'a.webp', 'a.heic'])
def test_orientation_is_applied_once(tmp_path, name):
    # Orientation 6: the stored rows show the right side of the scene, so the upright picture is the stored one
    # turned by 90 degrees clockwise.
    stored = smooth_picture()
    options = {'lossless': True} if name == 'a.webp' else {}
    path = saved(tmp_path / name, Image.fromarray(stored), exif=exif_bytes(6), **options)
    photo = load_photo(path, LIMITS)
    assert photo.size_px == (220, 300)
    assert np.abs(photo.rgb.astype(int) - np.rot90(stored, -1)).mean() <= LOSSY_MEAN_LEVELS


def test_exif_fields_reach_the_photo(tmp_path):
    exif = exif_bytes(
        camera_tags={0xA405: 26, 0x9003: '2026:03:10 10:09:00', 0x9011: '+02:00', 0xA002: 600, 0xA003: 440},
        tags={0x010F: 'Maker', 0x0110: 'Maker One'},
    )
    photo = load_photo(saved(tmp_path / 'a.jpg', Image.fromarray(smooth_picture()), exif=exif), LIMITS)
    assert photo.f35_mm == 26.0
    assert photo.taken_at == '2026-03-10 10:09:00+02:00'
    assert photo.camera == 'Maker One'
    assert photo.flags == ('size-differs-from-exif',)


def test_damaged_exif_costs_only_the_exif(tmp_path):
    data = exif_bytes(camera_tags={0xA405: 26})
    damaged = data[:10] + b'\xff' * (len(data) - 10)
    photo = load_photo(saved(tmp_path / 'a.jpg', Image.fromarray(smooth_picture()), exif=damaged), LIMITS)
    assert photo.f35_mm is None
    assert photo.size_px == (300, 220)


def cut_file(path: Path, part: float) -> Path:
    data = path.read_bytes()
    path.write_bytes(data[: int(len(data) * part)])
    return path


@pytest.mark.parametrize('name', ['a.jpg', 'a.png', 'a.tif', 'a.webp', 'a.heic'])
@pytest.mark.parametrize('part', [0.3, 0.6, 0.95])
def test_truncated_file(tmp_path, name, part):
    noise = np.random.default_rng(3).integers(0, 256, (220, 300, 3), dtype=np.uint8)
    path = cut_file(saved(tmp_path / name, Image.fromarray(noise)), part)
    with pytest.raises(PhotoUnreadable, match=f'^{name}: the file is damaged or cut short, .* Copy it again'):
        load_photo(path, LIMITS)


@pytest.mark.parametrize('data', [b'hello', b'%PDF-1.7 text', bytes(1000)], ids=['text', 'pdf', 'zeros'])
def test_not_a_photo(tmp_path, data):
    path = tmp_path / 'a.jpg'
    path.write_bytes(data)
    with pytest.raises(PhotoUnreadable, match=r'^a\.jpg: this is not a photo that can be read; .* Save or export'):
        load_photo(path, LIMITS)


def test_empty_file(tmp_path):
    path = tmp_path / 'a.jpg'
    path.touch()
    with pytest.raises(PhotoUnreadable, match=r'^a\.jpg: the file is empty\. Copy it again'):
        load_photo(path, LIMITS)


def test_folder_and_missing_file(tmp_path):
    with pytest.raises(PhotoUnreadable, match='this is a folder, and a photo is needed'):
        load_photo(tmp_path, LIMITS)
    with pytest.raises(PhotoUnreadable, match=r'^no\.jpg: there is no such file\. Check the name'):
        load_photo(tmp_path / 'no.jpg', LIMITS)


def test_unfit_kinds_of_pixels(tmp_path):
    values = smooth_picture()[..., 0].astype(np.float32)
    path = saved(tmp_path / 'a.tif', Image.fromarray(values))
    with pytest.raises(PhotoUnreadable, match=r'its pixels are of the kind "F", .* Save it as an ordinary JPEG'):
        load_photo(path, LIMITS)


def test_too_many_bytes(tmp_path):
    path = saved(tmp_path / 'a.png', Image.fromarray(smooth_picture()))
    with pytest.raises(PhotoUnreadable, match=r'and at most 100 are read\. Save it as a JPEG'):
        load_photo(path, PhotoLimits(max_bytes=100))


def test_too_many_pixels_is_told_before_they_are_decoded(tmp_path):
    path = saved(tmp_path / 'a.png', Image.fromarray(smooth_picture()))
    cut_file(path, 0.5)
    with pytest.raises(PhotoUnreadable, match=r'has 300 x 220 pixels, and at most 1,000 are read\. Save a smaller'):
        load_photo(path, PhotoLimits(max_pixels=1000))


def test_decompression_bomb(tmp_path):
    header = io.BytesIO()
    Image.new('1', (1, 1)).save(header, 'PNG')
    data = bytearray(header.getvalue())
    data[16:24] = (50_000).to_bytes(4, 'big') * 2
    import zlib

    data[29:33] = zlib.crc32(data[12:29]).to_bytes(4, 'big')
    path = tmp_path / 'bomb.png'
    path.write_bytes(data)
    with pytest.raises(PhotoUnreadable, match=r'^bomb\.png: the picture has more than .* pixels'):
        load_photo(path, LIMITS)


def test_thumbnail_is_too_small(tmp_path):
    path = saved(tmp_path / 'a.png', Image.fromarray(smooth_picture(160, 120)))
    with pytest.raises(PhotoUnreadable, match=r'is 160 x 120 pixels, .* Use the photo in its full size'):
        load_photo(path, LIMITS)


def test_the_file_is_left_as_it_was(tmp_path):
    path = saved(tmp_path / 'a.jpg', Image.fromarray(smooth_picture()), exif=exif_bytes(3))
    before = (path.read_bytes(), path.stat().st_mtime_ns)
    load_photo(path, LIMITS)
    assert (path.read_bytes(), path.stat().st_mtime_ns) == before
    assert [p.name for p in tmp_path.iterdir()] == ['a.jpg']


def test_a_picture_far_larger_than_its_file_holds(tmp_path):
    path = tmp_path / 'a.jpg'
    Image.linear_gradient('L').resize((300, 300)).save(path)
    data = bytearray(path.read_bytes())
    start = data.find(b'\xff\xc0') + 5
    data[start : start + 4] = (12_000).to_bytes(2) * 2
    path.write_bytes(data)
    with pytest.raises(
        PhotoUnreadable, match=r'a\.jpg: the file says that its picture has 12,000 x 12,000 pixels.*damaged'
    ):
        load_photo(path, PhotoLimits())


def test_short_memory_is_told(tmp_path, monkeypatch):
    def none_left(*args: object) -> None:
        raise MemoryError

    path = tmp_path / 'a.png'
    Image.new('RGB', (300, 300)).save(path)
    monkeypatch.setattr('grader.photos.load.pixels_of', none_left)
    with pytest.raises(PhotoUnreadable, match=r'a\.png: this computer has too little free memory.*smaller copy'):
        load_photo(path, PhotoLimits())

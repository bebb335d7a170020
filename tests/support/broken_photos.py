"""A thousand files that are no photos, or broken ones, or hostile ones, from a seeded generator."""

import struct
import zipfile
import zlib
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from io import BytesIO

import numpy as np
import pillow_heif
from PIL import Image, PngImagePlugin

from tests.support.draft_page import plain_photo

Rng = np.random.Generator
FORMATS = ('JPEG', 'PNG', 'TIFF', 'WEBP', 'HEIF')
ENDINGS = ('.jpg', '.jpeg', '.png', '.tif', '.heic', '.webp', '.gif', '.txt', '.exe', '.jpg.php', '', '.')
HOSTILE_NAMES = (
    '../../../etc/passwd', '..\\..\\windows\\system32\\x.jpg', '/etc/shadow', 'C:\\x.jpg', 'draft.json', '.draft.json',
    '.', '..', '...', '~', '-rf', 'con', 'NUL.jpg', 'aux.tar.jpg', 'a' * 3000 + '.jpg', 'é' * 200 + '.jpg', '\u202egpj.exe',
    'a\tb.jpg', 'x.jpg;rm -rf', '$(id).jpg', '`id`.jpg', '<script>alert(1)</script>.jpg', '{{7*7}}.jpg', '%2e%2e%2fx.jpg',
    'x.jpg ', ' x.jpg', 'x.jpg.', '\ufeffx.jpg', '\U0001f48e.jpg', '\u00a0.jpg', 'photos', 'previews', 'a:b.jpg', '%00.jpg',
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class Broken:
    """A file as it is sent."""

    kind: str
    name: str
    data: bytes


def broken_files(n: int, seed: int = 6) -> Iterator[Broken]:
    """So many broken files, of all kinds in turn."""
    rng = np.random.default_rng(seed)
    for k in range(n):
        kind = KINDS[k % len(KINDS)]
        yield Broken(kind.__name__, _name(rng, k), kind(rng))


def _name(rng: Rng, k: int) -> str:
    if rng.random() < 0.3:
        return str(rng.choice(np.array(HOSTILE_NAMES, dtype=object)))
    return f'{k}{rng.choice(ENDINGS)}'


@cache
def whole(kind: str) -> bytes:
    """A small photo that is in order."""
    if kind != 'HEIF':
        return plain_photo(11, kind=kind)
    target = BytesIO()
    picture = np.random.default_rng(12).integers(0, 255, (220, 240, 3), dtype=np.uint8)
    pillow_heif.from_pillow(Image.fromarray(picture)).save(target, quality=40)
    return target.getvalue()


def cut(rng: Rng) -> bytes:
    """Cut short anywhere."""
    data = whole(_format(rng))
    return data[: int(rng.integers(0, len(data)))]


def flipped(rng: Rng) -> bytes:
    """Some bytes changed anywhere."""
    return _changed(rng, whole(_format(rng)), within=1.0)


def flipped_head(rng: Rng) -> bytes:
    """Some bytes of the head changed, where sizes and offsets are."""
    return _changed(rng, whole(_format(rng)), within=0.01)


def emptied(rng: Rng) -> bytes:
    """A stretch of zeros within, as of a copy that went wrong."""
    data = bytearray(whole(_format(rng)))
    start = int(rng.integers(0, len(data)))
    length = min(int(rng.integers(1, 4000)), len(data) - start)
    data[start : start + length] = bytes(length)
    return bytes(data)


def spliced(rng: Rng) -> bytes:
    """Head of one format, body of another."""
    first, second = whole(_format(rng)), whole(_format(rng))
    at = int(rng.integers(1, 400))
    return first[:at] + second[at:]


def nothing(rng: Rng) -> bytes:
    """An empty file, or nearly."""
    return rng.bytes(int(rng.integers(0, 3)))


def noise(rng: Rng) -> bytes:
    """Random bytes behind a head that promises a photo."""
    heads = (
        b'\xff\xd8\xff\xe0',
        b'\x89PNG\r\n\x1a\n',
        b'II*\0',
        b'MM\0*',
        b'RIFF\xff\xff\xff\x7fWEBP',
        b'\0\0\0\x18ftypheic',
        b'',
    )
    return heads[int(rng.integers(len(heads)))] + rng.bytes(int(rng.integers(1, 3000)))


def bomb(rng: Rng) -> bytes:
    """A small file that says it is, or would become, enormous."""
    bombs = (_png_of_size, _jpeg_of_size, _tiff_of_size, _webp_of_size, _png_with_long_text, _wide_png)
    return bombs[int(rng.integers(len(bombs)))](rng)


def other_file(rng: Rng) -> bytes:
    """Something else altogether."""
    others = (
        b'Dear Sir, please find attached.\n' * 20,
        b'<svg xmlns="http://www.w3.org/2000/svg"><script>alert(1)</script></svg>',
        b'<!doctype html><script>alert(1)</script>',
        b'%PDF-1.7\n%\xe2\xe3\xcf\xd3\n1 0 obj\n<<>>\nendobj\n',
        b'GIF89a\x01\0\x01\0\0\0\0;',
        b'\x7fELF' + bytes(60),
        b'{"draft_version": 1}',
        b'%!PS-Adobe-3.0 EPSF-3.0\n%%BoundingBox: 0 0 99999 99999\n',
        _zip(b'photo.jpg', whole('JPEG')),
        b'\0\0\0\x18ftypmp42' + bytes(100),
    )
    return others[int(rng.integers(len(others)))]


def two_in_one(rng: Rng) -> bytes:
    """A photo that is also something else."""
    photo = whole(_format(rng))
    tails = (_zip(b'x.exe', b'MZ'), b'<script>alert(1)</script>', b'%PDF-1.4', rng.bytes(500))
    tail = tails[int(rng.integers(len(tails)))]
    return photo + tail if rng.random() < 0.5 else tail + photo


def bad_exif(rng: Rng) -> bytes:
    """A photo whose Exif block is broken."""
    block = b'Exif\0\0' + (b'II*\0' if rng.random() < 0.5 else b'MM\0*') + rng.bytes(int(rng.integers(4, 300)))
    return plain_photo(11, exif=block)


KINDS: tuple[Callable[[Rng], bytes], ...] = (
    cut, flipped, flipped_head, emptied, spliced, nothing, noise, bomb, other_file, two_in_one, bad_exif,
)  # fmt: skip


def broken_body(rng: Rng, boundary: str) -> bytes:
    """Body of a form that is not as it should be."""
    part = f'--{boundary}\r\nContent-Disposition: form-data; name="photos"; filename="a.jpg"\r\n\r\n'.encode()
    body = part + whole('JPEG')[:2000] + f'\r\n--{boundary}--\r\n'.encode()
    ways: tuple[Callable[[], bytes], ...] = (
        lambda: body[: int(rng.integers(0, len(body)))],
        lambda: _changed(rng, body, within=0.08),
        lambda: body.replace(b'\r\n', b'\n'),
        lambda: body.replace(b'filename=', rng.bytes(8)),
        lambda: body.replace(b'name="photos"', b'name='),
        lambda: part * 200 + body,
        lambda: b'\r\n' * 1000 + body,
        lambda: body.replace(b'Content-Disposition', b'X' * int(rng.integers(1, 40_000))),
        lambda: body.replace(b'a.jpg', rng.bytes(30).replace(b'\n', b'') + b'"'),
        lambda: body + body,
        lambda: rng.bytes(int(rng.integers(0, 5000))),
        lambda: body.replace(b'--\r\n', b''),
    )
    return ways[int(rng.integers(len(ways)))]()


def _format(rng: Rng) -> str:
    return str(rng.choice(FORMATS))


def _changed(rng: Rng, data: bytes, within: float) -> bytes:
    found = bytearray(data)
    end = max(int(len(data) * within), 40)
    for place in rng.integers(0, min(end, len(data)), int(rng.integers(1, 12))):
        found[place] = int(rng.integers(256))
    return bytes(found)


def _zip(name: bytes, data: bytes) -> bytes:
    target = BytesIO()
    with zipfile.ZipFile(target, 'w') as archive:
        archive.writestr(zipfile.ZipInfo(name.decode()), data)
    return target.getvalue()


def _side(rng: Rng) -> int:
    return int(rng.choice([20_000, 40_000, 65_500, 1_000_000, 2**31 - 1]))


def _chunk(kind: bytes, data: bytes) -> bytes:
    return struct.pack('>I', len(data)) + kind + data + struct.pack('>I', zlib.crc32(kind + data))


def _png(head: bytes, rest: bytes) -> bytes:
    return b'\x89PNG\r\n\x1a\n' + _chunk(b'IHDR', head) + rest + _chunk(b'IEND', b'')


def _png_of_size(rng: Rng) -> bytes:
    head = struct.pack('>IIBBBBB', _side(rng), _side(rng), int(rng.choice([1, 8, 16])), 2, 0, 0, 0)
    return _png(head, _chunk(b'IDAT', zlib.compress(bytes(1_000_000))))


def _wide_png(rng: Rng) -> bytes:
    head = struct.pack('>IIBBBBB', _side(rng), int(rng.integers(0, 3)), 8, 0, 0, 0, 0)
    return _png(head, _chunk(b'IDAT', zlib.compress(bytes(1000))))


def _png_with_long_text(rng: Rng) -> bytes:
    text = PngImagePlugin.PngInfo()
    text.add_text('Comment', '\0' * 70_000_000, zip=True)
    target = BytesIO()
    Image.new('RGB', (240, 220)).save(target, 'PNG', pnginfo=text, compress_level=1)
    return target.getvalue()


def _jpeg_of_size(rng: Rng) -> bytes:
    data = bytearray(whole('JPEG'))
    at = data.index(b'\xff\xc0')
    data[at + 5 : at + 9] = struct.pack('>HH', 65_500, int(rng.integers(20_000, 65_500)))
    return bytes(data)


def _tiff_of_size(rng: Rng) -> bytes:
    data = bytearray(whole('TIFF'))
    at = struct.unpack('<I', data[4:8])[0]
    for k in range(struct.unpack('<H', data[at : at + 2])[0]):
        entry = at + 2 + 12 * k
        (tag,) = struct.unpack('<H', data[entry : entry + 2])
        if tag in (256, 257):
            data[entry + 2 : entry + 4] = struct.pack('<H', 4)
            data[entry + 8 : entry + 12] = struct.pack('<I', _side(rng))
    return bytes(data)


def _webp_of_size(rng: Rng) -> bytes:
    size = struct.pack('<I', 16_383)[:3] * 2
    return b'RIFF\x20\0\0\0WEBPVP8X\x0a\0\0\0' + bytes(4) + size + rng.bytes(20)

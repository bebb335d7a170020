"""Damage to photo files that needs to know their form: declared sizes, profiles, tables, scans."""

import random
import re
import struct
import zlib
from typing import Literal

from PIL import ImageCms

SIZES_PX = (0, 1, 199, 12_000, 30_000, 65_500, 65_535)
LARGE_PX = (20_000, 65_535, 2**31 - 1, 2**32 - 1)


def other_size(rng: random.Random, name: str, data: bytes) -> bytes:
    """The file says that its picture is of another size."""
    form = name.rpartition('.')[2]
    changed = bytearray(data)
    width, height = rng.choice(SIZES_PX), rng.choice(SIZES_PX)
    if form == 'jpg':
        for found in re.finditer(
            rb'\xff[\xc0\xc2]\x00\x11\x08|\xff[\xc0\xc2]\x00\x0b\x08|\xff[\xc0\xc2]\x00\x14\x08', data
        ):
            struct.pack_into('>HH', changed, found.end(), height, width)
    elif form == 'png':
        width, height = rng.choice((*SIZES_PX, *LARGE_PX)), rng.choice((*SIZES_PX, *LARGE_PX))
        return png_with(data, b'IHDR', struct.pack('>LL', width, height) + data[24:29])
    elif form == 'tif':
        return _with_tiff_entries(rng, data, (256, 257))
    elif form == 'heic':
        for found in re.finditer(rb'ispe\0\0\0\0', data):
            struct.pack_into('>LL', changed, found.end(), rng.choice(LARGE_PX), rng.choice(LARGE_PX))
    else:
        at = next((data.find(sign) + 8 for sign in (b'VP8X', b'VP8 ', b'VP8L') if sign in data), 20)
        changed[at + 3 : at + 10] = rng.randbytes(7)
    return bytes(changed)


def other_table(rng: random.Random, name: str, data: bytes) -> bytes:
    """One or more fields of a TIFF file's first table are others."""
    return _with_tiff_entries(rng, data, tuple(range(254, 340)))


def png_with(data: bytes, kind: bytes, body: bytes) -> bytes:
    """A PNG whose first chunk of a kind holds something else; a new chunk before the picture where it has none."""
    chunk = struct.pack('>L', len(body)) + kind + body + struct.pack('>L', zlib.crc32(kind + body))
    at = data.find(kind) - 4
    if at < 0:
        at = data.find(b'IDAT') - 4
        return data[:at] + chunk + data[at:]
    length = struct.unpack_from('>L', data, at)[0]
    return data[:at] + chunk + data[at + 12 + length :]


def chunk_bomb(rng: random.Random, name: str, data: bytes) -> bytes:
    """A PNG with a chunk that unpacks to very much, or that is not what it says."""
    packed = zlib.compress(b'\0' * 80_000_000, 9)
    kind, body = rng.choice((
        (b'zTXt', b'Comment\0\0' + packed), (b'iCCP', b'profile\0\0' + packed), (b'iTXt', b'a\0\1\0\0\0' + packed),
        (b'PLTE', b'\0\0\0'), (b'tRNS', b'\0'), (b'gAMA', b'\0\0\0\0'), (b'eXIf', rng.randbytes(40)),
        (b'acTL', struct.pack('>LL', 2**31 - 1, 0)), (b'fcTL', struct.pack('>LLLLL', 0, 2**31 - 1, 2**31 - 1, 9, 9)),
    ))  # fmt: skip
    return png_with(data, kind, body)


def many_scans(rng: random.Random, name: str, data: bytes) -> bytes:
    """A JPEG whose last scan stands in it very often."""
    start = data.rfind(b'\xff\xda')
    return data[:-2] + data[start:-2] * rng.choice((50, 500, 2000)) + data[-2:]


def other_profile(rng: random.Random, name: str, data: bytes) -> bytes:
    """A JPEG with a colour profile that is none, or another's."""
    whole = bytearray(plain_profile(rng.choice(('sRGB', 'XYZ', 'LAB'))))
    kind = rng.randrange(5)
    if kind == 0:
        for _ in range(rng.randint(1, 20)):
            whole[rng.randrange(len(whole))] ^= 1 << rng.randrange(8)
    elif kind == 1:
        del whole[rng.randrange(len(whole)) :]
    elif kind == 2:
        struct.pack_into('>L', whole, 128, rng.choice((0, 100, 2**16, 2**32 - 1)))
    elif kind == 3:
        whole[16:20] = rng.choice((b'CMYK', b'GRAY', b'Lab ', b'RGB ', b'xxxx'))
    else:
        whole = bytearray(rng.randbytes(rng.choice((0, 1, 127, 128, 3000))))
    body = b'ICC_PROFILE\0\1' + rng.choice((b'\1', b'\1', b'\0', b'\xff')) + bytes(whole)
    return data[:2] + b'\xff\xe2' + struct.pack('>H', len(body) + 2) + body + data[2:]


def plain_profile(space: Literal['sRGB', 'XYZ', 'LAB']) -> bytes:
    """A colour profile that does not tell when it was made (ICC.1, 7.2: bytes 24 to 35)."""
    data = ImageCms.ImageCmsProfile(ImageCms.createProfile(space)).tobytes()
    return data[:24] + bytes(12) + data[36:]


def _with_tiff_entries(rng: random.Random, data: bytes, tags: tuple[int, ...]) -> bytes:
    """A TIFF some of whose fields in the first table hold another type, count or value."""
    changed = bytearray(data)
    order = '<' if data[:2] == b'II' else '>'
    at = struct.unpack_from(f'{order}L', data, 4)[0]
    n_fields = struct.unpack_from(f'{order}H', data, at)[0]
    places = [at + 2 + 12 * k for k in range(n_fields)]
    hit = [place for place in places if struct.unpack_from(f'{order}H', data, place)[0] in tags]
    for place in rng.sample(hit, min(len(hit), rng.choice((1, 1, 2, 4)))):
        what = rng.randrange(4)
        if what == 0:
            struct.pack_into(f'{order}H', changed, place + 2, rng.randrange(14))
        elif what == 1:
            struct.pack_into(f'{order}L', changed, place + 4, rng.choice((0, 2, 1000, 2**31, 2**32 - 1)))
        else:
            value = rng.choice((0, 1, 3, 8, 12, 16, 64, 30_000, 65_535, 2**31, 2**32 - 1))
            struct.pack_into(f'{order}L', changed, place + 8, value)
    return bytes(changed)

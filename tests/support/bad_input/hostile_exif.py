"""Exif that no camera writes, built byte by byte (TIFF 6.0, sections 2 and 8; Exif 2.32, section 4.6)."""

import random
import struct

BYTE, ASCII, SHORT, LONG, RATIONAL, UNDEFINED, SLONG, SRATIONAL, FLOAT, DOUBLE = 1, 2, 3, 4, 5, 7, 9, 10, 11, 12
ORIENTATION, MAKE, MODEL, EXIF_IFD, GPS_IFD, INTEROP_IFD = 0x0112, 0x010F, 0x0110, 0x8769, 0x8825, 0xA005
FOCAL_35, TIME, OFFSET, WIDTH, HEIGHT, FOCAL = 0xA405, 0x9003, 0x9011, 0xA002, 0xA003, 0x920A
Entry = tuple[int, int, int, int | bytes]
"""Tag, type, count, and the four bytes of the value or place."""


def hostile_exif(rng: random.Random) -> tuple[str, bytes]:
    """What is wrong with it, and the Exif itself, from its byte order on."""
    kind = rng.choice(sorted(_KINDS))
    return kind, _KINDS[kind](rng)


def with_exif(data: bytes, exif: bytes) -> bytes:
    """A JPEG with this Exif before anything else."""
    body = b'Exif\0\0' + exif[:65_000]
    return data[:2] + b'\xff\xe1' + struct.pack('>H', len(body) + 2) + body + data[2:]


def _tables(*tables: tuple[list[Entry], int], tail: bytes = b'', order: str = '<') -> bytes:
    """TIFF structure: tables one behind another, each with the place of the next one as it says."""
    head = struct.pack(f'{order}2sHL', b'II' if order == '<' else b'MM', 42, 8)
    body = b''
    for entries, following in tables:
        body += struct.pack(f'{order}H', len(entries))
        for tag, kind, count, value in entries:
            told = value if isinstance(value, bytes) else struct.pack(f'{order}L', value & 0xFFFFFFFF)
            body += struct.pack(f'{order}HHL', tag, kind, count) + told.ljust(4, b'\0')[:4]
        body += struct.pack(f'{order}L', following)
    return head + body + tail


def _size(n_entries: int) -> int:
    return 2 + 12 * n_entries + 4


def _in_a_circle(rng: random.Random) -> bytes:
    own = rng.choice((8, 8 + _size(1)))
    return _tables(([(EXIF_IFD, LONG, 1, own)], rng.choice((8, own))), ([(INTEROP_IFD, LONG, 1, 8)], 8))


def _wrong_counts(rng: random.Random) -> bytes:
    counts = (0, 2, 0x7FFFFFFF, 0xFFFFFFFF, 0x20000000)
    tags = (ORIENTATION, MAKE, MODEL, EXIF_IFD, GPS_IFD)
    kinds = (ASCII, SHORT, LONG, RATIONAL, DOUBLE)
    return _tables(([(tag, rng.choice(kinds), rng.choice(counts), rng.randrange(2**32)) for tag in tags], 0))


def _orientation(rng: random.Random) -> bytes:
    value = rng.choice((0, 9, 255, 65_535, b'\x06\x00\x00\x06', b'six\0', 2**31))
    kind = rng.choice((SHORT, LONG, ASCII, RATIONAL, BYTE, UNDEFINED, SLONG))
    return _tables(([(ORIENTATION, kind, rng.choice((1, 1, 2)), value)], 0), tail=b'\0' * 16)


def _focal_length(rng: random.Random) -> bytes:
    place = 8 + _size(1) + _size(2)
    entry: Entry = rng.choice((
        (FOCAL_35, SHORT, 1, 0), (FOCAL_35, SHORT, 1, 65_535), (FOCAL_35, LONG, 1, 0xFFFFFFFF), (FOCAL_35, SHORT, 1, 1),
        (FOCAL_35, SLONG, 1, -5), (FOCAL_35, RATIONAL, 1, place), (FOCAL_35, SRATIONAL, 1, place),
        (FOCAL_35, FLOAT, 1, rng.choice((b'\0\0\xc0\x7f', b'\0\0\x80\x7f', b'\0\0\x80\xff'))),
        (FOCAL_35, DOUBLE, 1, place), (FOCAL_35, ASCII, 4, b'50mm'), (FOCAL_35, SHORT, 1, 4), (FOCAL_35, SHORT, 1, 5200),
    ))  # fmt: skip
    tail = rng.choice((
        struct.pack('<LL', 0, 0), struct.pack('<LL', 1, 0), struct.pack('<d', float('nan')), struct.pack('<ll', -1, 3),
        struct.pack('<d', 1e308), struct.pack('<LL', 0xFFFFFFFF, 1),
    ))  # fmt: skip
    return _tables(([(EXIF_IFD, LONG, 1, 8 + _size(1))], 0), ([entry, (FOCAL, RATIONAL, 1, place)], 0), tail=tail)


def _texts(rng: random.Random) -> bytes:
    place = 8 + _size(3) + _size(3)
    text = rng.choice((b'\x1b[2J\x07' * 20, b'\xff\xfe' * 50, b'A' * 50_000, b'../../x\0y', '\u202eevil'.encode()))
    own = [(MAKE, ASCII, len(text), place), (MODEL, ASCII, len(text), place), (EXIF_IFD, LONG, 1, 8 + _size(3))]
    times = [(TIME, ASCII, 20, place), (OFFSET, ASCII, 7, place), (WIDTH, SLONG, 1, -1)]
    return _tables((own, 0), (times, 0), tail=text)


def _very_many(rng: random.Random) -> bytes:
    entries: list[Entry] = [(ORIENTATION, SHORT, 1, 1)] * 4000
    return _tables((entries, 8))


def _chain(rng: random.Random) -> bytes:
    """Tables that each name the next one."""
    n_tables = 1500
    return _tables(*(([(EXIF_IFD, LONG, 1, 8 + _size(1) * (k + 1))], 8 + _size(1) * (k + 1)) for k in range(n_tables)))


def _flipped(rng: random.Random) -> bytes:
    data = bytearray(_tables(
        ([(ORIENTATION, SHORT, 1, 1), (MAKE, ASCII, 4, b'One\0'), (EXIF_IFD, LONG, 1, 8 + _size(3))], 0),
        ([(FOCAL_35, SHORT, 1, 50), (WIDTH, LONG, 1, 420), (HEIGHT, LONG, 1, 420)], 0), order=rng.choice('<>'),
    ))  # fmt: skip
    for _ in range(rng.randint(1, 6)):
        data[rng.randrange(len(data))] ^= 1 << rng.randrange(8)
    return bytes(data)


_KINDS = {
    'Exif in a circle': _in_a_circle,
    'Exif with wrong counts': _wrong_counts,
    'Exif with an orientation that is none': _orientation,
    'Exif with an absurd focal length': _focal_length,
    'Exif with hostile texts': _texts,
    'Exif with very many fields': _very_many,
    'Exif with a long chain of tables': _chain,
    'Exif with bits flipped': _flipped,
}

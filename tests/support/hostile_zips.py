"""Zip files that nobody should unpack as they are."""

import io
import struct
import zipfile
import zlib
from collections.abc import Callable


def zip_of(*entries, compression=zipfile.ZIP_STORED) -> bytes:
    """Zip file of (name or ZipInfo, bytes)."""
    data = io.BytesIO()
    with zipfile.ZipFile(data, 'w', compression) as packed:
        for name, content in entries:
            packed.writestr(name, content, compress_type=compression)
    return data.getvalue()


def with_mode(name: str, mode: int, content: bytes = b'/etc/passwd') -> bytes:
    entry = zipfile.ZipInfo(name)
    entry.create_system, entry.external_attr = 3, mode << 16
    return zip_of((entry, content))


def renamed(before: str, after: str) -> bytes:
    """Zip file whose entry has a name that the library would not write."""
    assert len(before) == len(after)
    return zip_of((before, b'x')).replace(before.encode(), after.encode())


def two_of_one_name() -> bytes:
    return zip_of(('bag/one.txt', b'1'), ('bag/two.txt', b'2')).replace(b'two.txt', b'one.txt')


def bomb() -> bytes:
    return zip_of(('bag/zeros', b'\0' * 30_000_000), compression=zipfile.ZIP_DEFLATED)


def lying_about_size() -> bytes:
    """Entry that says it has 10 bytes, and has a million."""
    content = b'\0' * 1_000_000
    data = zip_of(('bag/zeros', content), compression=zipfile.ZIP_DEFLATED)
    return data.replace(struct.pack('<L', len(content)), struct.pack('<L', 10))


def overlapping() -> bytes:
    """Many entries that are all one piece of packed data (D. Fifield, "A better zip bomb", 2019)."""
    content = b'\0' * 900_000
    packed = zlib.compressobj(9, zlib.DEFLATED, -15)
    body = packed.compress(content) + packed.flush()
    name = b'bag/000'
    head = struct.pack('<4s5H3L2H', b'PK\x03\x04', 20, 0, 8, 0, 33, zlib.crc32(content), len(body), len(content), 7, 0)
    data = head + name + body
    directory = b''
    for k in range(3000):
        directory += struct.pack(
            '<4s6H3L5H2L', b'PK\x01\x02', 20, 20, 0, 8, 0, 33, zlib.crc32(content), len(body), len(content), 7, 0, 0, 0,
            0, 0, 0,
        ) + b'bag/%03x' % k  # fmt: skip
    return data + directory + struct.pack('<4s4H2LH', b'PK\x05\x06', 0, 0, 3000, 3000, len(directory), len(data), 0)


def many_entries() -> bytes:
    return zip_of(*((f'bag/{k}', b'') for k in range(4001)))


def long_directory() -> bytes:
    """End of a zip file that announces a list of contents of 2 GB."""
    return b'PK\x03\x04' + struct.pack('<4s4H2LH', b'PK\x05\x06', 0, 0, 1, 1, 1 << 31, 4, 0)


def zip64() -> bytes:
    data = zip_of(('bag/a', b'a'))
    end = data[-22:]
    return data[:-22] + struct.pack('<4sLQL', b'PK\x06\x07', 0, len(data) - 22, 1) + end


def encrypted() -> bytes:
    data = bytearray(zip_of(('bag/a', b'a')))
    at = data.find(b'PK\x01\x02')
    data[at + 8] |= 1
    data[6] |= 1
    return bytes(data)


def odd_method() -> bytes:
    return zip_of(('bag/a', b'a' * 100), compression=zipfile.ZIP_LZMA)


def cut() -> bytes:
    return zip_of(('bag/a', b'a' * 1000))[:-30]


def wrong_checksum() -> bytes:
    return zip_of(('bag/a', b'a' * 1000)).replace(b'a' * 1000, b'b' * 1000)


HOSTILE: dict[str, tuple[Callable[[], bytes], str]] = {
    'out': (lambda: zip_of(('../escape.txt', b'x')), 'leads out of its folder'),
    'deep out': (lambda: zip_of(('bag/../../escape.txt', b'x')), 'leads out of its folder'),
    'absolute': (lambda: zip_of(('/tmp/escape.txt', b'x')), "does not start in the bag's own folder"),
    'drive': (lambda: zip_of(('C:/escape.txt', b'x')), "does not start in the bag's own folder"),
    'backslash': (lambda: renamed('bag/a/escape.txt', 'bag\\a\\escape.txt'), 'holds a backslash'),
    'home': (lambda: zip_of(('~/escape.txt', b'x')), "does not start in the bag's own folder"),
    'dot': (lambda: zip_of(('bag/./escape.txt', b'x')), 'roundabout way'),
    'empty part': (lambda: zip_of(('bag//escape.txt', b'x')), 'roundabout way'),
    'zero byte': (lambda: renamed('bag/escape.txtX', 'bag/escape.txt\0'), 'control characters'),
    'line end': (lambda: renamed('bag/escape-txt', 'bag/escape\ntxt'), 'control characters'),
    'link': (lambda: with_mode('bag/link', 0o120777), 'is a link'),
    'device': (lambda: with_mode('bag/device', 0o060666), 'is no ordinary file'),
    'pipe': (lambda: with_mode('bag/pipe', 0o010666), 'is no ordinary file'),
    'same name': (two_of_one_name, 'have the same name'),
    'same but case': (lambda: zip_of(('bag/A', b'1'), ('bag/a', b'2')), 'are one on some disks'),
    'file and folder': (lambda: zip_of(('bag/a', b'1'), ('bag/a/b', b'2')), 'a file and a folder'),
    'bomb': (bomb, 'would swell'),
    'lie': (lying_about_size, 'is damaged'),
    'overlap': (overlapping, 'zip file'),
    'too many': (many_entries, 'too many files'),
    'long list': (long_directory, 'too many files'),
    'zip64': (zip64, 'more than 4 GB'),
    'encrypted': (encrypted, 'locked with a password'),
    'odd method': (odd_method, 'packed in a way'),
    'cut': (cut, 'its end is missing'),
    'checksum': (wrong_checksum, 'is damaged'),
    'too deep': (lambda: zip_of(('/'.join('abcdefghijklmno') + '/x', b'1')), 'lies too deep'),
    'long name': (lambda: zip_of(('bag/' + 'x' * 300, b'1')), 'too long a name'),
    'no zip': (lambda: b'\xff\xd8\xff\xe0 a photo', 'no zip file'),
    'empty': (lambda: b'', 'no zip file'),
}
"""Zip files by what is wrong with them, and words of the refusal."""

"""How many scans a JPEG has: each takes as long to decode as a whole picture, however few bytes it has."""

import re

# ISO/IEC 10918-1, table B.1: start of scan, end of image.
_SCAN, _END = 0xDA, 0xD9
# Coded data hold 0xFF only before a zero or a restart marker (B.1.1.5); more of them may fill up before a marker.
_NEXT_MARKER = re.compile(rb'\xff+[^\x00\xff\xd0-\xd7]')


def n_scans(data: bytes, most: int) -> int:
    """Scans of the first picture in a JPEG file; counting ends beyond `most`."""
    n_found, at = 0, 2
    while n_found <= most and (found := _NEXT_MARKER.search(data, at)):
        marker = data[found.end() - 1]
        if marker == _END:
            break
        n_found += marker == _SCAN
        # What a marker's own bytes hold, a small picture for instance, is passed over.
        at = found.end() + int.from_bytes(data[found.end() : found.end() + 2])
    return n_found

"""Limits for zip files from anybody, with where they come from."""

MAX_ENTRIES = 4000
"""Most files. Source: a bag of a comparison of two dozen photos has some 150; chains of twenty such bags fit."""

MAX_DIRECTORY_BYTES = 4_000_000
"""Largest list of contents. Source: MAX_ENTRIES names of 900 bytes, with the 46 bytes that go with each."""

MAX_UNPACKED_BYTES = 4 << 30
"""Most bytes, unpacked. Source: as much as may be sent; photos are hardly smaller when packed."""

MAX_RATIO = 200
"""Most that one file may swell. Source: tried: records of many marks swell 4 to 12 times, files of zeros 1000 times."""

RATIO_FROM_BYTES = 1_000_000
"""Smaller files may swell as they like. Source: 4000 of them are the 4 GB that are allowed in all."""

MAX_DEPTH = 12
"""Most folders in each other. Source: a bag's own have four."""

MAX_PATH_BYTES = 900
"""Longest path. Source: below the 1024 bytes of macOS, from memory, with room for the folder it is unpacked in."""

MAX_PART_BYTES = 255
"""Longest name. Source: NAME_MAX of common disks, as in grader.evidence.constants."""

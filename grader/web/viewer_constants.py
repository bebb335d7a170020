"""Numbers of the page of an examination: its pictures, and what it sends."""

TILE_PX = 512
"""Side of a tile. Source: tried 256, 512 and 1024 px: 256 asks for four times as many, and 1024 takes 60 ms to make."""

FIT_PX = 2048
"""Longest side of the picture that is shown first. Source: a screen of 1400 px, some of it twice as fine; 0.5 MB."""

SMALL_PX = 240
"""Longest side of the small picture by which a photo is chosen. Source: twice the size at which it is shown."""

JPEG_QUALITY = 90
"""Quality of reduced pictures. Source: no difference from the photo seen at 100 %; single pixels come without loss."""

CACHE_MOST_BYTES = 2_000_000_000
"""Most that the pictures made for the page may take on the disk. Source: some fifty photos of 12 megapixels."""

MOST_BODY_BYTES = 200_000
"""Longest request that notes something. Source: ten drawings of the most points that one may have."""

MOST_WISHES = 20
"""Most acts in one request. Source: chosen; the page sends one or two."""

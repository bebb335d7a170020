"""Damage to bytes of any kind."""

import random
from collections.abc import Callable

_TAILS = (b'\x00' * 1000, b'\xff' * 1000, b'{"a":1}', b'\n' * 1_000_000)
_HEADS = (b'\xef\xbb\xbf', b'\xff\xfe', b'\x00', b' ' * 100_000, b'#!/bin/sh\n')


def flipped_bits(rng: random.Random, data: bytes, most: int = 16) -> bytes:
    """A few bits are the other way round."""
    changed = bytearray(data)
    for _ in range(rng.randint(1, most) if data else 0):
        changed[rng.randrange(len(changed))] ^= 1 << rng.randrange(8)
    return bytes(changed)


def flipped_early(rng: random.Random, data: bytes) -> bytes:
    """Bits near the start, where headers are, are the other way round."""
    n_head = min(len(data), 700)
    return flipped_bits(rng, data[:n_head], 8) + data[n_head:]


def cut(rng: random.Random, data: bytes) -> bytes:
    """The end is missing."""
    return data[: rng.randrange(len(data))] if data else data


def hole(rng: random.Random, data: bytes) -> bytes:
    """A piece in the middle is missing, or nothing but zeros."""
    start = rng.randrange(len(data) + 1)
    n_gone = rng.randint(1, max(1, len(data) // 4))
    return data[:start] + rng.choice((b'', b'\x00' * n_gone)) + data[start + n_gone :]


def twice(rng: random.Random, data: bytes) -> bytes:
    """A piece stands twice."""
    start = rng.randrange(len(data) + 1)
    end = min(len(data), start + rng.randint(1, 4000))
    return data[:end] + data[start:end] + data[end:]


def noise(rng: random.Random, data: bytes) -> bytes:
    """A piece is random bytes."""
    start = rng.randrange(len(data) + 1)
    n_changed = rng.randint(1, 300)
    return data[:start] + rng.randbytes(n_changed) + data[start + n_changed :]


def longer(rng: random.Random, data: bytes) -> bytes:
    """Something else stands before or behind it."""
    return rng.choice(_HEADS) + data if rng.random() < 0.5 else data + rng.choice(_TAILS)


def empty(rng: random.Random, data: bytes) -> bytes:
    """Nothing at all."""
    return b''


Mutation = Callable[[random.Random, bytes], bytes]
ANY_BYTES: dict[str, Mutation] = {
    'bits flipped': flipped_bits,
    'bits of the head flipped': flipped_early,
    'cut short': cut,
    'a hole': hole,
    'a piece twice': twice,
    'random bytes': noise,
    'more before or behind': longer,
}

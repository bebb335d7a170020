"""Letting a phone in: the picture to point its camera at, what came of a code, and which phones are in."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from io import BytesIO

import segno

from grader.web.security.pairing import ShownCode, TryResult, spaced
from grader.web.security.sessions import Session

# Width of a square, and the margin that the standard (ISO/IEC 18004, from memory) asks for.
_SQUARE_PX, _MARGIN_SQUARES = 6, 4

TRY_ANSWERS: dict[TryResult, tuple[int, str]] = {
    TryResult.WRONG: (422, "That is not the code. Look again at the computer's screen, and type it once more."),
    TryResult.NO_CODE: (
        422,
        "No code is good at this moment: each lets one phone in, for some minutes. On the computer, ask for a new one.",
    ),
    TryResult.TOO_MANY: (
        429,
        "Too many wrong codes were given. On the computer, ask for a new one.",
    ),
}
"""Status and words for a code that lets nobody in."""


@dataclass(frozen=True, slots=True)
class PhoneLink:
    """A way for a phone to get in."""

    address: str
    """Address to type, without the code."""
    picture: str
    """The same with the code, as a picture for the phone's camera: an SVG element."""


@dataclass(frozen=True, slots=True)
class PhoneIn:
    """A phone that is in."""

    label: str
    name: str
    address: str
    since: str
    """In words."""


def phone_links(shown: ShownCode, addresses: Sequence[str], port: int) -> tuple[PhoneLink, ...]:
    """A link for each address of this computer on the home network.

    The code stands behind "#", a part of an address that browsers never send.
    """
    places = [f'http://{address}:{port}/pair' for address in addresses]
    return tuple(PhoneLink(place, qr_svg(f'{place}#{shown.code}')) for place in places)


def qr_svg(text: str) -> str:
    """A QR code as an SVG element, dark on white whatever the page's colours."""
    buffer = BytesIO()
    segno.make(text, micro=False, error='m').save(
        buffer, kind='svg', scale=_SQUARE_PX, border=_MARGIN_SQUARES, light='#fff', dark='#000', xmldecl=False,
        svgns=False, nl=False, omitsize=True, title="Picture for the phone's camera",
    )  # fmt: skip
    return buffer.getvalue().decode()


def code_words(shown: ShownCode) -> str:
    """The code as one reads it out."""
    return spaced(shown.code)


def time_left_words(left_s: float) -> str:
    """How long a code is good yet."""
    minutes = math.ceil(left_s / 60)
    return f"Good for {minutes} more minutes, and for one phone." if minutes > 1 else "Good for less than a minute."


def phones_in(sessions: Sequence[Session], now_s: float) -> tuple[PhoneIn, ...]:
    """Phones that are in, for the list of them."""
    return tuple(PhoneIn(one.label, one.name, one.address, _ago(now_s - one.since_s)) for one in sessions)


def _ago(seconds: float) -> str:
    minutes = int(seconds // 60)
    if minutes < 1:
        return "just now"
    if minutes < 60:
        return f"{minutes} min ago"
    return f"{minutes // 60} h {minutes % 60} min ago"

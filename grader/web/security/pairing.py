"""The code that lets one phone in: shown on this computer's screen, good once and for some minutes."""

import hmac
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass
from enum import Enum, auto

from grader.web.security.constants import (
    CODE_ALPHABET,
    CODE_LENGTH,
    CODE_LIFE_S,
    MAX_TRIES,
    MAX_TRIES_PER_ADDRESS,
)


class TryResult(Enum):
    """What came of a code that somebody gave."""

    LET_IN = auto()
    WRONG = auto()
    NO_CODE = auto()
    """None is shown, or it has run out, or was used."""
    TOO_MANY = auto()
    """Too many wrong ones: from this address, or in total, which ends the code."""


@dataclass(frozen=True, slots=True)
class ShownCode:
    """The code that is good now."""

    code: str
    left_s: float
    """For how long it is good yet."""


class Pairing:
    """The one code that is good at a time.

    Parameters
    ----------
    clock : Callable[[], float]
        Seconds that only ever grow.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._code: str | None = None
        self._until_s = 0.0
        self._tries: dict[str, int] = {}
        self._was_guessed = False

    def make_code(self) -> ShownCode:
        """A new code; the one before is good no more, and tries are counted anew."""
        code = ''.join(secrets.choice(CODE_ALPHABET) for _ in range(CODE_LENGTH))
        with self._lock:
            self._code, self._until_s = code, self._clock() + CODE_LIFE_S
            self._tries, self._was_guessed = {}, False
        return ShownCode(code, CODE_LIFE_S)

    def shown(self) -> ShownCode | None:
        """The code that is good now, if there is one."""
        with self._lock:
            left_s = self._until_s - self._clock()
            return None if self._code is None or left_s <= 0 else ShownCode(self._code, left_s)

    @property
    def was_guessed(self) -> bool:
        """Whether the last code ended since too many wrong ones were given."""
        return self._was_guessed

    def end_code(self) -> None:
        """Let nobody in by the code that is shown."""
        with self._lock:
            self._code = None

    def give(self, text: str, address: str) -> TryResult:
        """What comes of a code that was given; the right one is good no more afterwards.

        Parameters
        ----------
        text : str
            What was typed; small letters, spaces and dashes do not matter.
        address : str
            Where it was given from.
        """
        with self._lock:
            if self._code is None or self._clock() >= self._until_s:
                return TryResult.NO_CODE
            if self._tries.get(address, 0) >= MAX_TRIES_PER_ADDRESS:
                return TryResult.TOO_MANY
            if hmac.compare_digest(_plain(text).encode(), self._code.encode()):
                self._code = None
                return TryResult.LET_IN
            return self._note_wrong(address)

    def _note_wrong(self, address: str) -> TryResult:
        self._tries[address] = self._tries.get(address, 0) + 1
        if sum(self._tries.values()) >= MAX_TRIES:
            self._code, self._was_guessed = None, True
            return TryResult.TOO_MANY
        return TryResult.WRONG


def _plain(text: str) -> str:
    """What was typed, in the signs of a code; only the start of what is far too long."""
    return ''.join(sign for sign in text[: 4 * CODE_LENGTH].upper() if sign in CODE_ALPHABET)


def spaced(code: str) -> str:
    """Code in two halves, as it is easier to read and type."""
    return f'{code[: CODE_LENGTH // 2]} {code[CODE_LENGTH // 2 :]}'

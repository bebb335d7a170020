"""Browsers that are in: each has a random cookie; what we know of it is kept in memory only, and gone when we end."""

import hashlib
import secrets
import threading
from collections.abc import Callable
from dataclasses import dataclass, replace
from http.cookies import CookieError, SimpleCookie

from grader.web.security.constants import MAX_OWN_SESSIONS, MAX_PHONES, SECRET_BYTES, SESSION_IDLE_S


@dataclass(frozen=True, slots=True)
class Session:
    """A browser that is in."""

    csrf: str
    """Token that each of its forms carries; no other page can know it."""
    is_phone: bool
    """Whether it was let in by a code; else it is a browser of this computer."""
    name: str
    """What kind of device it calls itself, in our own words."""
    address: str
    """Where it asked from first."""
    label: str
    """Short name by which it can be put out; tells nothing of its cookie."""
    since_s: float
    """When it came in, by the clock of `Sessions`."""
    seen_s: float
    """When it asked last."""
    n_seen: int = 0
    """How often it has come back."""

    @property
    def is_own_computer(self) -> bool:
        """Whether it is a browser of this computer."""
        return not self.is_phone


class Sessions:
    """All browsers that are in.

    Parameters
    ----------
    clock : Callable[[], float]
        Seconds that only ever grow.
    """

    def __init__(self, clock: Callable[[], float]) -> None:
        self._clock = clock
        self._lock = threading.Lock()
        self._sessions: dict[bytes, Session] = {}

    def start(self, *, is_phone: bool, name: str, address: str) -> tuple[str, Session]:
        """Secret for the cookie, and the new session. Where there are too many, the one least used makes room."""
        secret, now = secrets.token_urlsafe(SECRET_BYTES), self._clock()
        session = Session(
            csrf=secrets.token_urlsafe(SECRET_BYTES),
            is_phone=is_phone,
            name=name,
            address=address,
            label=secrets.token_hex(4),
            since_s=now,
            seen_s=now,
        )
        with self._lock:
            self._forget_old(now)
            self._make_room(is_phone=is_phone)
            self._sessions[_key(secret)] = session
        return secret, session

    def find(self, secret: str | None) -> Session | None:
        """The session of a cookie, noted as seen now; None where it is unknown or too old."""
        if secret is None:
            return None
        now = self._clock()
        with self._lock:
            self._forget_old(now)
            session = self._sessions.get(_key(secret))
            if session is not None:
                self._sessions[_key(secret)] = replace(session, seen_s=now, n_seen=session.n_seen + 1)
        return session

    def phones(self) -> tuple[Session, ...]:
        """Phones that are in, the first one first."""
        with self._lock:
            self._forget_old(self._clock())
            return tuple(sorted((one for one in self._sessions.values() if one.is_phone), key=lambda one: one.since_s))

    def put_out(self, label: str) -> bool:
        """Put a phone out; whether there was one of this label."""
        with self._lock:
            gone = [key for key, one in self._sessions.items() if one.is_phone and one.label == label]
            for key in gone:
                del self._sessions[key]
        return bool(gone)

    def _forget_old(self, now: float) -> None:
        for key in [key for key, one in self._sessions.items() if now - one.seen_s > SESSION_IDLE_S]:
            del self._sessions[key]

    def _make_room(self, *, is_phone: bool) -> None:
        """Forget those that never came back first, so that a crowd of such cannot push out one in use."""
        like = [(one.n_seen > 0, one.seen_s, key) for key, one in self._sessions.items() if one.is_phone == is_phone]
        n_most = MAX_PHONES if is_phone else MAX_OWN_SESSIONS
        for _, _, key in sorted(like)[: max(0, len(like) - n_most + 1)]:
            del self._sessions[key]


def _key(secret: str) -> bytes:
    """What a session is kept under: a digest, so that the time a look-up takes tells nothing of the secret."""
    return hashlib.sha256(secret.encode('utf-8', 'surrogatepass')).digest()


def cookie_name(port: int) -> str:
    """Name of the cookie: browsers do not tell ports of one computer apart, so the name does."""
    return f'glass_{port}'


def cookie_of(headers: list[str], port: int) -> str | None:
    """Secret that a request carries, by its headers Cookie."""
    for header in headers:
        try:
            jar = SimpleCookie(header)
        except CookieError:
            continue
        if cookie_name(port) in jar:
            return jar[cookie_name(port)].value
    return None


def cookie_header(secret: str, port: int) -> str:
    """Value of the header Set-Cookie. Without "Secure", since the page is plain http."""
    lifetime = int(SESSION_IDLE_S)
    return f'{cookie_name(port)}={secret}; Max-Age={lifetime}; Path=/; HttpOnly; SameSite=Strict'


def device_name(user_agent: str) -> str:
    """What kind of device a browser says it is on; one of our own words, never the browser's text."""
    for sign, name in (('iPad', "iPad"), ('iPhone', "iPhone"), ('Android', "Android phone"), ('Mobile', "Phone")):
        if sign in user_agent:
            return name
    return "Browser"

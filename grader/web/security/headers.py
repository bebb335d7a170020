"""Headers of each answer: what the browser may do with our pages, and what it may keep of them."""

from starlette.datastructures import MutableHeaders
from starlette.types import ASGIApp, Message, Receive, Scope, Send

CONTENT_POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
# For a report with styles of its own, shown as it was written: no script, no form, no other address.
REPORT_POLICY = (
    "sandbox; default-src 'none'; style-src 'unsafe-inline'; img-src data:; font-src data:; form-action 'none'; "
    "base-uri 'none'; frame-ancestors 'none'"
)

ALWAYS = {
    'X-Content-Type-Options': 'nosniff',
    'X-Frame-Options': 'DENY',
    # Not "no-referrer": browsers then send "null" for the origin of our own forms, too, which we check.
    'Referrer-Policy': 'same-origin',
    'Cross-Origin-Opener-Policy': 'same-origin',
    'Cross-Origin-Resource-Policy': 'same-origin',
    'Permissions-Policy': (
        'accelerometer=(), camera=(), display-capture=(), geolocation=(), gyroscope=(), magnetometer=(), '
        'microphone=(), midi=(), payment=(), publickey-credentials-get=(), screen-wake-lock=(), usb=()'
    ),
}


class SafeHeaders:
    """ASGI layer that sets them, whatever a page says; only a report may ask for `REPORT_POLICY`.

    Nothing may be kept by the browser unless the page says "private"; nothing by anybody in between.
    """

    def __init__(self, app: ASGIApp) -> None:
        self.app = app

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass on, with the headers set on the answer."""

        async def send_safely(message: Message) -> None:
            if message['type'] == 'http.response.start':
                set_headers(MutableHeaders(scope=message))
            await send(message)

        await self.app(scope, receive, send_safely)


def set_headers(headers: MutableHeaders) -> None:
    """Set them on an answer's own headers."""
    for name, value in ALWAYS.items():
        headers[name] = value
    if headers.get('Content-Security-Policy') != REPORT_POLICY:
        headers['Content-Security-Policy'] = CONTENT_POLICY
    kept = [word.strip() for word in headers.get('Cache-Control', '').split(',')]
    if 'private' not in kept or 'public' in kept:
        headers['Cache-Control'] = 'no-store'
    if 'Server' in headers:
        del headers['Server']

"""What stands before every page: who asks, whether they may, and that a form is one of ours."""

import asyncio
import hmac
from collections.abc import Awaitable, Callable, MutableMapping
from dataclasses import dataclass
from datetime import timedelta
from typing import Any

from fastapi import HTTPException, Request
from starlette.concurrency import run_in_threadpool
from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse

from web.forms import refuse_strange_fields
from web.host_names import bare_name
from web.sessions import Sessions, key_of, viewer_of
from web.viewer import Deed, Viewer

Scope = MutableMapping[str, Any]
Message = MutableMapping[str, Any]
Receive = Callable[[], Awaitable[Message]]
Send = Callable[[Message], Awaitable[None]]
App = Callable[[Scope, Receive, Send], Awaitable[None]]

#: Largest body taken [bytes]; a photo of a phone, made smaller by the form, fits.
BODY_MAX_BYTES = 6_000_000
#: Longest wait for the next piece of a body [s]; bars of signal come and go.
PIECE_S = 30.0

#: Where a form of ours carries the key of its session, and where scripts of ours send it.
FORM_KEY, FORM_KEY_HEADER = "form_key", "x-form-key"

#: Paths that need no session: the ways in, what a browser needs to draw them, links of mails, and
#: feeds, which carry their own secret in their address.
OPEN_PATHS = ("/enter", "/static/", "/do/", "/feeds/", "/sw.js", "/health")
#: Where links of mails are pressed, by programs of mail services too: their secret is all they
#: bring. Ways in bring no key either, since there is no session yet.
LINK_PATH, WAYS_IN = "/do/", "/enter"

_TOO_LARGE = "too large; send less than 6 MB"

SAFE_METHODS = ("GET", "HEAD", "OPTIONS")

#: Said to every browser. Scripts and styles are files of ours alone; pages that draw plots loosen
#: the rule for styles by themselves, since the library writes them into the page.
CSP = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' data: blob:; "
    "connect-src 'self'; manifest-src 'self'; worker-src 'self'; form-action 'self'; "
    "base-uri 'none'; object-src 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "x-content-type-options": "nosniff",
    # Links of mails carry their secret in the address.
    "referrer-policy": "no-referrer",
    "cross-origin-opener-policy": "same-origin",
    "permissions-policy": "geolocation=(self), camera=(self), microphone=()",
    "cache-control": "no-store",
    "content-security-policy": CSP,
}
#: One year, for a board that is reached by TLS.
STRICT_TRANSPORT = "max-age=31536000; includeSubDomains"


@dataclass(frozen=True)
class Entrance:
    """How sessions are kept: the name of the cookie, and when a silent one ends."""

    sessions: Sessions
    idle: timedelta
    secure: bool

    @property
    def cookie(self) -> str:
        """``__Host-`` binds a cookie to one host by TLS, which this machine alone has none of."""
        return "__Host-warmspell" if self.secure else "warmspell"


def dress(headers: MutableHeaders, path: str, secure: bool) -> None:
    """Put on the headers of every answer."""
    if path.startswith("/static/"):
        headers["cache-control"] = "public, max-age=3600"
    for name, value in HEADERS.items():
        headers.setdefault(name, value)
    if secure:
        headers["strict-transport-security"] = STRICT_TRANSPORT


class Envelope:
    """Puts the headers on every answer, and refuses other names and bodies that are too large."""

    def __init__(self, app: App, *, secure: bool, names: frozenset[str]) -> None:
        self._app, self._secure, self._names = app, secure, names

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        taken, whole = 0, False

        async def measured() -> Message:
            nonlocal taken, whole
            # Once it has all come, what is awaited is that the reader goes, however long they stay.
            message = await (receive() if whole else _in_time(receive))
            whole = not message.get("more_body", False)
            taken += len(message.get("body", b""))
            if taken > BODY_MAX_BYTES:
                raise HTTPException(413, _TOO_LARGE)
            return message

        async def dressed(message: Message) -> None:
            if message["type"] == "http.response.start":
                dress(MutableHeaders(scope=message), scope["path"], self._secure)
            await send(message)

        refusal = self._at_the_door(Headers(scope=scope))
        await (refusal or self._app)(scope, measured, dressed)

    def _at_the_door(self, headers: Headers) -> PlainTextResponse | None:
        """A refusal for what nothing else need be known of."""
        if bare_name(headers.get("host", "")) not in self._names:
            return PlainTextResponse("This board does not answer to that name.", 421)
        told = headers.get("content-length", "")
        if told.isdecimal() and int(told[:12]) > BODY_MAX_BYTES:
            return PlainTextResponse(_TOO_LARGE, 413)
        return None


async def _in_time(receive: Receive) -> Message:
    try:
        return await asyncio.wait_for(receive(), PIECE_S)
    except TimeoutError:
        raise HTTPException(408, "nothing came for too long; send it again") from None


async def guard(request: Request) -> None:
    """Let a request pass, with its `Viewer`, or refuse it: asked before every route of the app."""
    path = request.url.path
    # Sessions are read from a database, which can be kept waiting: nobody else may wait for that.
    viewer = await run_in_threadpool(_viewer, request)
    request.state.viewer = viewer
    if viewer is None and not path.startswith(OPEN_PATHS):
        raise HTTPException(401, "log in first")
    if request.method in SAFE_METHODS or path.startswith(LINK_PATH):
        return
    _refuse_other_sites(request)
    form = await request.form()
    if not path.startswith(WAYS_IN):
        sent = request.headers.get(FORM_KEY_HEADER) or str(form.get(FORM_KEY, ""))
        if viewer is None or not hmac.compare_digest(sent.encode(), viewer.form_key.encode()):
            raise HTTPException(403, "this form is not one of yours; go back and reload it")
    refuse_strange_fields(request, {*form} - {FORM_KEY})


def viewer(request: Request) -> Viewer:
    """The person who asks; `guard` has let them in."""
    told = request.state.viewer
    if not isinstance(told, Viewer):
        raise HTTPException(401, "log in first")
    return told


@dataclass(frozen=True)
class may:
    """Lets a route pass for people who may do a deed, and nobody else."""

    deed: Deed

    def __call__(self, request: Request) -> Viewer:
        """The person who asks."""
        told = viewer(request)
        if not told.may(self.deed):
            raise HTTPException(403, f"not yours to do, as {told.role}")
        return told


def _viewer(request: Request) -> Viewer | None:
    entrance: Entrance = request.app.state.entrance
    secret = request.cookies.get(entrance.cookie, "")
    if not secret:
        return None
    now = request.app.state.desk.clock()
    reader = entrance.sessions.reader(key_of(secret), now, entrance.idle)
    return None if reader is None else viewer_of(reader, secret)


def _refuse_other_sites(request: Request) -> None:
    """Refuse what a page of another site made the browser send."""
    site = request.headers.get("sec-fetch-site")
    if site is not None:
        if site not in ("same-origin", "none"):
            raise HTTPException(403, "sent from another site")
        return
    # Browsers that do not tell the site; "null" is what they say of a page that tells no referrer.
    origin = request.headers.get("origin", "null")
    if origin != "null" and origin.partition("://")[2] != request.headers.get("host", ""):
        raise HTTPException(403, "sent from another site")

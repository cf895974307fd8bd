"""The ways in: a link that works once, for the one person at this machine, and out again."""

import hmac
import threading
from dataclasses import dataclass, field
from typing import Annotated

from fastapi import APIRouter, Form, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from web.guard import Entrance
from web.pages import page
from web.sessions import Reader, key_of, new_secret

#: Who is let in by the link: whoever starts the board on this machine may do everything.
HERE = Reader("you", "dispatcher")

router = APIRouter()


@dataclass
class OneTimeLink:
    """A secret that lets one browser in, once."""

    secret: str = field(default_factory=new_secret, repr=False)
    _lock: threading.Lock = field(default_factory=threading.Lock, repr=False)

    def fits(self, secret: str) -> bool:
        """Whether it is the secret, and still good."""
        return bool(self.secret) and hmac.compare_digest(secret.encode(), self.secret.encode())

    def use(self, secret: str) -> bool:
        """Use it up; False where it was used already or is another."""
        with self._lock:
            if not self.fits(secret):
                return False
            self.secret = ""
            return True


@router.get("/enter/{secret}", include_in_schema=False)
def ask_in(request: Request, secret: str) -> HTMLResponse:
    """The page that asks: a program that only opens links uses nothing up."""
    link: OneTimeLink | None = request.app.state.link
    good = link is not None and link.fits(secret)
    return page(request, "enter.html", 200 if good else 404, good=good, secret=secret)


@router.post("/enter/{secret}", include_in_schema=False)
def let_in(request: Request, secret: str) -> Response:
    """Begin a session."""
    link: OneTimeLink | None = request.app.state.link
    if link is None or not link.use(secret):
        return page(request, "enter.html", 404, good=False, secret="")
    return begin(request, HERE)


@router.post("/leave", include_in_schema=False)
def leave(request: Request, form_key: Annotated[str, Form()]) -> Response:
    """End the session."""
    entrance: Entrance = request.app.state.entrance
    entrance.sessions.end(key_of(request.cookies.get(entrance.cookie, "")))
    answer = page(request, "left.html")
    answer.delete_cookie(entrance.cookie, path="/", secure=entrance.secure, httponly=True)
    return answer


def begin(request: Request, reader: Reader, to: str = "/") -> Response:
    """Begin a session of somebody, with a secret of its own, and lead them to a page."""
    if not to.startswith("/") or to.startswith("//"):
        raise HTTPException(400, "wanted a page of this board")
    entrance: Entrance = request.app.state.entrance
    secret = new_secret()
    # Whoever this browser was before, they are that no more.
    entrance.sessions.end(key_of(request.cookies.get(entrance.cookie, "")))
    entrance.sessions.begin(key_of(secret), reader, request.app.state.desk.clock())
    answer = RedirectResponse(to, status_code=303)
    answer.set_cookie(
        entrance.cookie,
        secret,
        path="/",
        secure=entrance.secure,
        httponly=True,
        samesite="lax",
    )
    return answer

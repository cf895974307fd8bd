"""Links of mails: a page that asks, and a button that does it. Who only opens one changes nothing.

Programs of mail services open links, and press the one that ends the mails (RFC 8058): such a
POST brings no cookie and no key of a form, gets 200, and is not led anywhere.
"""

from collections.abc import Callable
from datetime import datetime, timedelta

from fastapi import APIRouter, HTTPException, Request
from fastapi.responses import HTMLResponse

from notify.link_actions import LinkDesk, LinkPage
from notify.links import PURPOSES, Purpose
from web.pages import page
from web.tries import Tries

router = APIRouter()

#: Links that do not hold, and links at all, that are answered to one address in a quarter of an
#: hour. Judgement: guards of mail programs open every link of every mail of an office.
BAD, ALL, WITHIN = 30, 3_000, timedelta(minutes=15)

_NO_LINKS = "this board signs no links; see [links]"
SLOWLY = LinkPage(429, "Not now", ("Too many links from there. Wait a quarter of an hour.",))


class LinkTries:
    """How often one address may open or press links."""

    def __init__(self) -> None:
        self.bad, self.all = Tries(BAD, WITHIN), Tries(ALL, WITHIN)


@router.get("/do/{purpose}/{token}", include_in_schema=False)
def ask(request: Request, purpose: str, token: str) -> HTMLResponse:
    """The page that asks."""
    return _answered(request, purpose, token, LinkDesk.show)


@router.post("/do/{purpose}/{token}", include_in_schema=False)
def do(request: Request, purpose: str, token: str) -> HTMLResponse:
    """Do what the link says, once. What the body holds does not matter."""
    return _answered(request, purpose, token, LinkDesk.act)


def _desk(request: Request) -> LinkDesk:
    desk: LinkDesk | None = request.app.state.desk.outside.links()
    if desk is None:
        raise HTTPException(404, _NO_LINKS)
    return desk


def _purpose(told: str) -> Purpose:
    if told not in PURPOSES:
        raise HTTPException(404, "this link is not one of ours")
    return told


def _answered(
    request: Request,
    purpose: str,
    token: str,
    way: Callable[[LinkDesk, Purpose, str, datetime], LinkPage],
) -> HTMLResponse:
    tries: LinkTries = request.app.state.link_tries
    address, now = request.client.host if request.client else "", request.app.state.desk.clock()
    told = SLOWLY
    if tries.all.may(address, now):
        told = way(_desk(request), _purpose(purpose), token, now)
        # A link that holds is never refused for others that do not.
        if told.status != 200 and not tries.bad.may(address, now):
            told = SLOWLY
    return page(request, "link.html", told.status, told=told, purpose=purpose, token=token)

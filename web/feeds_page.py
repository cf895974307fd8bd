"""Calendars that other programs keep up to date: made, listed and ended on a page of their own."""

import re
from dataclasses import dataclass
from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, Form, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from dispatch.words import LocalClock
from farm.board_feed import Feed
from notify.user_text import plain_line
from web.desk import Desk
from web.feed_reader import calendar_text, reader_of_feed
from web.guard import viewer
from web.pages import page
from web.rigs_desk import RigsRefusal
from web.sessions import key_of, new_secret
from web.tries import Tries
from web.viewer import Viewer

router = APIRouter()

#: Most addresses of one person; judgement: a phone and a desk, each rig, and some forgotten ones.
MOST = 20
#: Wrong addresses from one place in a quarter of an hour. Judgement.
WRONG, WITHIN = 30, timedelta(minutes=15)

WINDOWS, ALL_RIGS, ONE_RIG = "windows", "rigs", "rig:"
_KEY = re.compile(r"[0-9a-f]{64}")


@dataclass(frozen=True)
class FeedRow:
    """One address: what it tells, and since when there is one. The address itself is not kept."""

    key: str
    words: str
    made: str


def new_tries() -> Tries:
    """A counter of wrong addresses, for one application."""
    return Tries(WRONG, WITHIN)


@router.get("/feeds/{secret}.ics", include_in_schema=False)
def read_feed(request: Request, secret: str) -> Response:
    """The calendar of an address, as its owner may see it now."""
    desk: Desk = request.app.state.desk
    tries: Tries = request.app.state.feed_tries
    feed = desk.outside.feeds.of_key(key_of(secret))
    reader = None if feed is None else reader_of_feed(request, feed)
    if feed is None or reader is None:
        address = request.client.host if request.client else ""
        often = not tries.may(address, desk.clock())
        raise HTTPException(429 if often else 404, "there is no calendar at this address")
    try:
        text = calendar_text(desk, feed, reader)
    except RigsRefusal as fault:
        raise HTTPException(503, str(fault)) from None
    return Response(text, media_type="text/calendar; charset=utf-8")


@router.get("/feed", include_in_schema=False)
def feeds(request: Request, told: Annotated[Viewer, Depends(viewer)]) -> HTMLResponse:
    """The reader's calendars."""
    return _page(request, told)


@router.post("/feed", include_in_schema=False)
def make_feed(
    request: Request,
    told: Annotated[Viewer, Depends(viewer)],
    tells: Annotated[str, Form(max_length=80)],
) -> HTMLResponse:
    """Make an address. It is shown this once; only its digest is kept."""
    desk: Desk = request.app.state.desk
    if len(desk.outside.feeds.of_owner(told.name)) >= MOST:
        return _page(request, told, 409, problem=f"{MOST} is the most; end one first.")
    rig_id = tells.removeprefix(ONE_RIG) if tells.startswith(ONE_RIG) else ""
    rigs = {one.id for one in desk.farm.rigs}
    if tells not in (WINDOWS, ALL_RIGS) and rig_id not in rigs:
        raise HTTPException(422, "tells: wanted windows, rigs, or one of the rigs")
    secret = new_secret()
    feed = Feed(
        owner=told.name,
        of_account=request.app.state.accounts is not None,
        kind="windows" if tells == WINDOWS else "rigs",
        rig_id=rig_id,
    )
    desk.outside.feeds.add(key_of(secret), feed, desk.clock())
    scheme = "https" if request.app.state.entrance.secure else "http"
    address = f"{scheme}://{request.headers.get('host', '')}/feeds/{secret}.ics"
    return _page(request, told, address=address)


@router.post("/feed/end", include_in_schema=False)
def end_feed(
    request: Request,
    told: Annotated[Viewer, Depends(viewer)],
    key: Annotated[str, Form(max_length=64)],
) -> Response:
    """End an address of the reader's own; whoever still asks there finds nothing."""
    desk: Desk = request.app.state.desk
    if not _KEY.fullmatch(key) or not desk.outside.feeds.end(key, told.name):
        raise HTTPException(404, "you have no such calendar")
    return RedirectResponse("/feed", status_code=303)


def _page(
    request: Request, told: Viewer, status: int = 200, *, address: str = "", problem: str = ""
) -> HTMLResponse:
    desk: Desk = request.app.state.desk
    zone = desk.farm.time_zone
    today = LocalClock(zone, zone, desk.clock().date())
    clock = LocalClock(zone, zone, today.local(desk.clock()).date())
    rigs = {one.id: plain_line(one.name) or one.id for one in desk.farm.rigs}
    rows = tuple(
        FeedRow(key, _words(feed, rigs), clock.moment(made))
        for key, feed, made in desk.outside.feeds.of_owner(told.name)
    )
    choices = [(WINDOWS, "Windows of the fields to spray"), (ALL_RIGS, "Stops of all rigs")]
    choices += [(f"{ONE_RIG}{rig_id}", f"Stops of {name}") for rig_id, name in rigs.items()]
    return page(
        request,
        "feeds.html",
        status,
        rows=rows,
        choices=choices,
        address=address,
        problem=problem,
    )


def _words(feed: Feed, rigs: dict[str, str]) -> str:
    if feed.kind == "windows":
        return "Windows of the fields to spray"
    return f"Stops of {rigs.get(feed.rig_id, feed.rig_id)}" if feed.rig_id else "Stops of all rigs"

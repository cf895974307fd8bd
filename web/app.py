"""The board as one application: every route is guarded, and what is not ours is not loaded."""

from datetime import timedelta
from pathlib import Path

from fastapi import Depends, FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.exceptions import HTTPException as StarletteHTTPException

from web import (
    after_page,
    api,
    enter,
    feeds_page,
    field_page,
    gateway_page,
    health,
    link_page,
    login_page,
    map_page,
    order_page,
    rigs_page,
    scout_page,
    scout_sending,
    scout_worker,
    sent_page,
    sky_page,
    undo_page,
)
from web.account_sessions import Accounts
from web.desk import Desk
from web.enter import OneTimeLink
from web.guard import Entrance, Envelope, dress, guard
from web.host_names import answering_to
from web.pages import page
from web.plots import AT, SCRIPTS
from web.sessions import Sessions, SessionsHere
from web.settings import BoardSettings

STATIC = Path(__file__).parent / "static"

#: Pages in the order of their ways.
ROUTERS = (
    enter.router,
    login_page.router,
    order_page.router,
    field_page.router,
    undo_page.router,
    map_page.router,
    rigs_page.router,
    after_page.router,
    link_page.router,
    gateway_page.router,
    scout_page.router,
    scout_sending.router,
    scout_worker.router,
    health.router,
    sent_page.router,
    feeds_page.router,
    api.router,
    sky_page.router,
)


def make_app(
    desk: Desk,
    settings: BoardSettings,
    *,
    link: OneTimeLink | None = None,
    accounts: Accounts | None = None,
    sessions: Sessions | None = None,
    secure: bool = False,
    names: tuple[str, ...] = (),
) -> FastAPI:
    """The application.

    Parameters
    ----------
    desk
        What the board asks of the farm.
    settings
        Settings of the board.
    link
        A way in that works once.
    accounts
        Who may log in; nobody, and the link is the only way, if left out.
    sessions
        Where sessions are kept; in this process if left out.
    secure
        Whether readers reach it by TLS.
    names
        Hosts it is called by, besides its own and those of the settings.
    """
    app = FastAPI(
        title="warmspell board",
        docs_url=None,
        redoc_url=None,
        openapi_url=None,
        dependencies=[Depends(guard)],
    )
    app.state.desk, app.state.settings, app.state.link = desk, settings, link
    app.state.accounts, app.state.tries = accounts, login_page.new_tries()
    app.state.link_tries = link_page.LinkTries()
    app.state.gateway_tries = gateway_page.new_tries()
    app.state.questions = health.new_questions()
    app.state.feed_tries = feeds_page.new_tries()
    app.state.entrance = Entrance(
        sessions or SessionsHere(), timedelta(hours=settings.idle_h), secure
    )
    for router in ROUTERS:
        app.include_router(router)
    app.mount(AT, StaticFiles(directory=SCRIPTS), name="plots")
    app.mount("/static", StaticFiles(directory=STATIC), name="static")
    called = answering_to((settings.host, *settings.names, *names))
    app.add_middleware(Envelope, secure=secure, names=called)
    app.add_exception_handler(StarletteHTTPException, _refused)
    app.add_exception_handler(RequestValidationError, _unfit)
    app.add_exception_handler(Exception, _broken)
    return app


async def _refused(request: Request, fault: Exception) -> Response:
    """A refusal as a page for a reader, as JSON for a program."""
    assert isinstance(fault, StarletteHTTPException)
    if _wants_json(request):
        return JSONResponse({"problem": fault.detail}, status_code=fault.status_code)
    _without_viewer(request)
    if fault.status_code == 401 and request.method == "GET":
        return RedirectResponse("/enter", status_code=303)
    return page(request, "refused.html", fault.status_code, problem=fault.detail)


async def _unfit(request: Request, fault: Exception) -> Response:
    """What was asked or typed does not fit; it is not said back, passwords among it."""
    assert isinstance(fault, RequestValidationError)
    told = {f"{one['loc'][-1]}: {one['msg'][:1].lower()}{one['msg'][1:]}" for one in fault.errors()}
    return await _refused(request, StarletteHTTPException(422, "; ".join(sorted(told))))


async def _broken(request: Request, fault: Exception) -> Response:
    """What went wrong is in the log; a reader is told nothing of the inside."""
    problem = "something unexpected happened here; it is in the log"
    told = await _refused(request, StarletteHTTPException(500, problem))
    # This answer is made outside of what dresses all others.
    dress(told.headers, request.url.path, request.app.state.entrance.secure)
    return told


def _wants_json(request: Request) -> bool:
    sent = request.headers.get("content-type", "")
    return request.url.path.startswith("/api/") or sent.startswith("application/json")


def _without_viewer(request: Request) -> None:
    if not hasattr(request.state, "viewer"):
        request.state.viewer = None

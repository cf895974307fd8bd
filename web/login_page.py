"""Logging in with an account, where several people share the board."""

from datetime import timedelta
from typing import Annotated

from fastapi import APIRouter, Form, HTTPException, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from web.account_sessions import Accounts, reader_of
from web.enter import begin
from web.pages import page
from web.passwords import LONGEST, fits
from web.tries import Tries

router = APIRouter()

#: Tries a quarter of an hour, by account and from one address. Judgement: a person needs three.
BY_ACCOUNT, BY_ADDRESS, WITHIN = 10, 30, timedelta(minutes=15)

_WRONG = "That name and password do not go together."


def new_tries() -> tuple[Tries, Tries]:
    """Counters of tries by account and by address, for one application."""
    return Tries(BY_ACCOUNT, WITHIN), Tries(BY_ADDRESS, WITHIN)


@router.get("/enter", include_in_schema=False)
def ask_name(request: Request) -> Response:
    """The form; whoever is in already is led on."""
    if request.state.viewer is not None:
        return RedirectResponse("/", status_code=303)
    return _form(request)


@router.post("/enter", include_in_schema=False)
def log_in(
    request: Request,
    name: Annotated[str, Form(max_length=40)],
    password: Annotated[str, Form(max_length=LONGEST)],
) -> Response:
    """Begin a session where name and password go together."""
    accounts: Accounts | None = request.app.state.accounts
    if accounts is None:
        raise HTTPException(404, "this board has no accounts; use the link it was started with")
    by_account, by_address = request.app.state.tries
    address = request.client.host if request.client else ""
    known, now = name.strip().lower(), request.app.state.desk.clock()
    if not by_address.may(address, now) or not by_account.may(f"{address} {known}", now):
        return _form(request, 429, "Too many tries from here. Wait a quarter of an hour.")
    account = accounts.of_name(known)
    open_ = account is not None and account.ended_utc is None
    kept_hash = account.password_hash if account is not None and open_ else None
    if not fits(password, kept_hash) or account is None:
        return _form(request, 403, _WRONG)
    by_account.forget(f"{address} {known}")
    return begin(request, reader_of(account))


def _form(request: Request, status: int = 200, problem: str = "") -> HTMLResponse:
    there_are = request.app.state.accounts is not None
    return page(request, "login.html", status, problem=problem, accounts=there_are)

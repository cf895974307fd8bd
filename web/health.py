"""One word for a watcher outside: whether mornings are made. It tells nothing of the farm."""

from datetime import timedelta

from fastapi import APIRouter, Request
from fastapi.responses import PlainTextResponse

from web.sent_desk import SentDesk
from web.tries import Tries

router = APIRouter()

#: Questions from one address. Judgement: watchers ask once a minute or less often.
MOST, WITHIN = 30, timedelta(minutes=1)


def new_questions() -> Tries:
    """A counter of questions, for one application."""
    return Tries(MOST, WITHIN)


@router.get("/health", include_in_schema=False)
def health(request: Request) -> PlainTextResponse:
    """ "ok", or 503 with what is wrong."""
    desk, questions = request.app.state.desk, request.app.state.questions
    address = request.client.host if request.client else ""
    if not questions.may(address, desk.clock()):
        return PlainTextResponse("often", 429)
    asked: SentDesk = desk.sent
    word = asked.ailing()
    return PlainTextResponse(word or "ok", 503 if word else 200)

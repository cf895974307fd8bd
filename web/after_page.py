"""After the spray and after the freeze: what is due on fields beside the order."""

from typing import Annotated

from fastapi import APIRouter, Depends, Request
from fastapi.responses import HTMLResponse

from agronomy.after_freeze import WHAT_TO_LOOK_FOR
from dispatch.words import LocalClock
from notify.beside_blocks import harvest_words
from notify.rows import KNIFE
from web.after_rows import frozen_rows, picked_rows, sprayed_rows, taken_back
from web.desk import Desk
from web.guard import viewer
from web.pages import page
from web.viewer import Viewer

router = APIRouter()


@router.get("/after", include_in_schema=False)
def after(request: Request, told: Annotated[Viewer, Depends(viewer)]) -> HTMLResponse:
    """What is due on sprayed and frozen fields a reader may see."""
    desk: Desk = request.app.state.desk
    report = desk.mornings.latest()
    if report is None:
        return page(request, "no_morning.html")
    seen, now = told.seen(report), desk.clock()
    run = seen.run
    today = LocalClock(run.time_zone, run.time_zone, run.local_date).local(now).date()
    sprayed = sprayed_rows(seen, desk, now)
    frozen = frozen_rows(seen)
    # What others have sprayed and not picked is theirs to know.
    own = told.role == "grower"
    return page(
        request,
        "after.html",
        run=run,
        today=today,
        sprayed=sprayed,
        due=sum(one.due for one in sprayed),
        second_pass=[one for one in sprayed if one.second_pass],
        frozen=frozen,
        look_for=(WHAT_TO_LOOK_FOR, KNIFE) if any(one.due for one in frozen) else (),
        picked=picked_rows(seen),
        taken_back=taken_back(seen, desk.after.sprays()),
        harvest=None if own else harvest_words(run.harvest),
        harvest_full=run.harvest is not None and run.harvest.full,
    )

"""Links of mails, answers of gateways, feeds and files to take along, for the board."""

import logging
from collections.abc import Mapping
from datetime import datetime
from typing import TYPE_CHECKING, Any
from uuid import UUID

from notify.delivery_report import take_report
from notify.link_actions import LinkDesk
from notify.text_answers import Answered, TextAnswers
from scheduler.alarm import raise_alarm
from scheduler.board.taken_along import order_csv, sprays_taken_along, visits_taken_along
from scheduler.link_maker import link_maker
from storage.newest_rows import RECORDS, newest_rows
from storage.tables import plans, route_notes, route_plans
from storage.take_back import StandingSprays, take_back

if TYPE_CHECKING:
    from dispatch.report import MorningReport
    from scheduler.board.desk import FarmNow
    from storage.feed_store import FeedStore

log = logging.getLogger("warmspell.board")

NO_GATEWAY = Answered(404, note="a gateway asked, and no texts are set up; see [sms]")


class KeptOutside:
    """What those ask who are not on a page, answered from a farm."""

    def __init__(self, farm: "FarmNow") -> None:
        self._farm = farm

    @property
    def feeds(self) -> "FeedStore":
        """Addresses of calendars."""
        return self._farm().stores.feeds

    def links(self) -> LinkDesk | None:
        """What links of mails do; None where the farm signs none."""
        farm = self._farm()
        maker = link_maker(farm.config)
        if maker is None:
            return None
        settings, stores = farm.config.settings, farm.stores

        def take_spray_back(of_uuid: UUID, now: datetime, by: str) -> None:
            take_back(stores, "spray", of_uuid, now, by=by[:80], why="undone by its link")

        return LinkDesk(
            keys=maker.keys,
            people=settings.people,
            fields=farm.fields_by_id,
            treatments=settings.treatments,
            sprays=StandingSprays(stores),
            looks=stores.look_requests,
            consents=stores.consents,
            take_back=take_spray_back,
        )

    def answer(self, told: Mapping[str, Any], given: str | None) -> Answered:
        """Take an answer to a text; what a person must read is told to the operators."""
        farm = self._farm()
        settings, sms = farm.config.settings, farm.config.settings.sms
        if sms is None:
            return self._said(NO_GATEWAY)
        own_words = settings.mail is not None and "stop_contact" in settings.mail.model_fields_set
        contact = settings.mail.stop_contact if settings.mail and own_words else "your co-op"
        answers = TextAnswers(
            sms, settings.people, settings.farm.name, contact, farm.stores.consents
        )
        return self._said(answers.take(told, given, farm.config.secrets.answers_secret, farm.now))

    def report(self, told: Mapping[str, Any], given: str | None) -> Answered:
        """Take a delivery report; one of a text that did not arrive is told to the operators."""
        farm = self._farm()
        sms, secret = farm.config.settings.sms, farm.config.secrets.answers_secret
        if sms is None:
            return self._said(NO_GATEWAY)
        reports = farm.stores.delivery_reports
        return self._said(take_report(told, given, secret, sms, reports, farm.now))

    def revision(self) -> int:
        """A number that rises whenever a plan or a record is added."""
        tables = (plans, *RECORDS, route_plans, route_notes)
        return sum(newest_rows(self._farm().stores.database, *tables))

    def order_csv(self, report: "MorningReport", overtaken: Mapping[str, str]) -> str:
        """The order as CSV."""
        return order_csv(report, overtaken)

    def visits_csv(self, report: "MorningReport | None", grower_ids: frozenset[str] | None) -> str:
        """Visits as CSV."""
        return visits_taken_along(self._farm(), report, grower_ids)

    def sprays_csv(self, report: "MorningReport | None", grower_ids: frozenset[str] | None) -> str:
        """Sprays as CSV."""
        return sprays_taken_along(self._farm(), report, grower_ids)

    def _said(self, answered: Answered) -> Answered:
        farm = self._farm()
        if answered.alarm:
            raise_alarm("texts", [answered.note], farm.config, farm.stores, farm.today, farm.now)
        elif answered.note:
            log.warning("%s", answered.note)
        return answered

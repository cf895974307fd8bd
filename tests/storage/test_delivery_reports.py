"""Reports of gateways: once for each state, and the most final one counts."""

from datetime import timedelta

import pytest

from farm.delivery_report import DeliveryReport


@pytest.fixture
def report(now):
    def build(state, provider_id="m-7", at=now, words=""):
        return DeliveryReport("sms", provider_id, state, words, at)

    return build


def test_the_same_report_twice_is_kept_once(stores, report):
    assert stores.delivery_reports.add(report("delivered"))
    assert not stores.delivery_reports.add(report("delivered"))


@pytest.mark.parametrize(
    ("came", "counts"),
    [
        (["taken", "delivered"], "delivered"),
        (["delivered", "taken"], "delivered"),
        (["undelivered", "taken", "unknown"], "undelivered"),
        (["unknown"], "unknown"),
    ],
)
def test_a_late_report_never_takes_a_more_final_one_back(stores, report, came, counts):
    for state in came:
        stores.delivery_reports.add(report(state))

    assert stores.delivery_reports.of_message("sms", "m-7").state == counts


def test_a_message_nobody_reported_on_has_no_state(stores, report):
    stores.delivery_reports.add(report("delivered"))

    assert stores.delivery_reports.of_message("sms", "m-8") is None
    assert stores.delivery_reports.of_message("mail", "m-7") is None


def test_what_did_not_arrive_is_listed_since_a_moment(stores, report, now):
    stores.delivery_reports.add(report("undelivered", "old", now - timedelta(days=2)))
    stores.delivery_reports.add(report("undelivered", "new", now, "no such number"))
    stores.delivery_reports.add(report("delivered", "fine", now))

    told = stores.delivery_reports.undelivered(now - timedelta(days=1))
    assert [(one.provider_id, one.words) for one in told] == [("new", "no such number")]

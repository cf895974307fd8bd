"""The digest: what each role reads, in which order, and what is never said."""

import re
from datetime import timedelta
from html import unescape

import pytest
from mornings import (
    MADE,
    STOP,
    at,
    call,
    field,
    freeze,
    fresh,
    full_morning,
    look,
    morning,
    person,
    short,
    spray,
    sprayed,
    unknown,
    visit,
    wait,
)

from dispatch.report import Call, ForecastFigures, FreezeFigures, MorningReport
from farm.people import Role
from notify.digest import Digest, write_digest, write_digests

ROLES = list(Role)


def digest_of(report: MorningReport, role: Role = Role.OPERATOR) -> Digest:
    return write_digest(report, person(role), STOP)


def line(digest: Digest) -> str:
    """The plain text as one line, so that a wrapped sentence can be looked for."""
    return " ".join(digest.text.split())


def html_words(digest: Digest) -> str:
    body = digest.html.split("<body", 1)[1]
    return " ".join(unescape(re.sub(r"<[^>]*>", " ", f"<{body}")).split())


def test_subject_tells_the_counts_that_matter() -> None:
    assert digest_of(full_morning()).subject == (
        "Tue 6 Oct: spray 4 (1 short), walk 2, 1 not known (Sandhill Co-op)"
    )


@pytest.mark.parametrize(
    ("report", "subject"),
    [
        (morning(look(field(1, "East", "a"), "A")), "Tue 6 Oct: no spray, walk 1 (Sandhill Co-op)"),
        (morning(unknown(field(1, "East", "a"), "A")), "Tue 6 Oct: no calls, 1 not known"),
        (morning(wait(field(1, "East", "a"), "A")), "Tue 6 Oct: nothing to spray or walk"),
    ],
)
def test_subject_says_plainly_when_nothing_is_sprayed(report: MorningReport, subject: str) -> None:
    assert digest_of(report).subject.startswith(subject)


def test_every_field_is_accounted_for() -> None:
    said = "18 fields: 1 not known, 4 to spray (1 short), 2 to walk, 9 to wait, 2 sprayed."

    assert said in line(digest_of(full_morning()))


def test_blocks_come_in_the_order_people_act_on_them() -> None:
    text = digest_of(full_morning()).text
    titles = ["NOT KNOWN (1)", "SPRAY NEXT (4", "WALK TODAY (2)", "WAIT (9)", "SPRAYED (2)"]
    places = [text.index(title) for title in [*titles, "Forecast:", "The label is the law"]]

    assert places == sorted(places)


def test_text_and_html_hold_the_same_sentences() -> None:
    digest = digest_of(full_morning(), Role.CONSULTANT)
    html = html_words(digest)
    for sentence in (
        "Look at the sky yourself; next try 9 am.",
        "SPRAY NEXT (4 fields, 424 ac, 4.1 rig-days; the line is 5 days long)",
        "Freeze within 7 days: 71 in 100 (killing 2 in 100); first seen Sun 5 am.",
        "Rain is likely from Thu evening (70 in 100).",
        "ready about Fri 9 Oct (7-12 Oct)",
        "check leaf drop today",
        "First freeze seen Sun 5 am (1 of 16 fields).",
        "The label is the law, and a licensed applicator decides.",
        "Weather and freeze forecasts can be wrong.",
        STOP,
    ):
        assert sentence in line(digest)
        assert sentence in html


def test_a_spray_card_tells_when_until_when_and_what_for() -> None:
    told = line(digest_of(full_morning()))
    first = told[told.index("1 O'Dell's North Draw") : told.index("2 <img")]

    assert "SPRAY today 10 am-5 pm; spray by Thu 2 pm (then weather)" in first
    assert "wind 5-8 mph S, then 31 h dry" in first
    assert "Effect 87 of 100 now, 60 from the back of the line (Sun)." in first
    assert "Mature: NACB 3.2 on 12 plants, 64 % open, Sun." in first
    assert "Warmth: 58 DD60 in 7 days." in first


def test_a_short_field_stands_in_the_same_order_and_says_what_is_given_up() -> None:
    told = line(digest_of(full_morning()))
    last = told[told.index("4 Mill Quarter") : told.index("WALK TODAY")]

    assert last.startswith("4 Mill Quarter 96 ac, 4.1 rig-h, T. O'Dell SHORT today 9 am-noon")
    assert "no full window left: 5 of 7 days before the freeze; gives up about 22 of 100" in last


def test_an_operator_reads_three_reasons_and_the_consultant_all() -> None:
    report = morning(spray(field(1, "East", "a"), "A", 1))

    assert "Ties broken" not in digest_of(report).text
    assert "Ties broken" in digest_of(report, Role.CONSULTANT).text


def test_reasons_that_repeat_the_figures_are_told_once() -> None:
    report = morning(
        spray(
            field(1, "East", "a"),
            "A",
            1,
            because=("Fog",),
            reasons=("Fog", "Effect 87 now.", "Warmth: 58 DD60."),
        )
    )
    told = line(digest_of(report))

    assert "- Fog." in told
    assert told.count("Warmth:") == told.count("Effect ") == 1


def test_walking_carries_the_caution_about_the_knife() -> None:
    told = line(digest_of(full_morning()))

    assert told.index("WALK TODAY") < told.index("sharp knife, away from your hand and body")


def test_an_operator_sees_the_next_waits_and_the_consultant_all_with_dates() -> None:
    short_list = digest_of(full_morning()).text
    long_list = line(digest_of(full_morning(), Role.CONSULTANT))

    assert "West 80   ready about Fri 9 Oct (7-12 Oct)" in short_list
    assert "and 3 later" in short_list
    assert "West 88" not in short_list
    assert "West 88" in long_list
    assert "Look again Wed 14 Oct." in long_list
    assert "Visit 1.8 days old by Ines Ruhl." in long_list


def test_a_grower_reads_of_no_other_grower() -> None:
    report = full_morning()
    digest = digest_of(report, Role.GROWER)
    words = digest.text + digest.html + digest.subject + (digest.sms or "")
    others = {one.field.name for one in report.fields if one.field.grower_id != "odell"}

    assert digest.subject == "Tue 6 Oct: spray 3 (1 short), walk 1 (Sandhill Co-op)"
    assert "Your 5 fields: 3 to spray (1 short), 1 to walk, 1 sprayed." in digest.text
    assert "the whole line is 5 days long" in line(digest)
    assert not [name for name in others if name in unescape(words)]
    assert "Ruhl" not in words
    assert "18 fields" not in words


def test_a_sentence_about_a_neighbour_is_left_out_for_a_grower() -> None:
    mine = field(1, "Mill Quarter", "odell")
    report = morning(
        spray(mine, "T. O'Dell", 2, reasons=("Right after Gin Road", "Mill Quarter dries late")),
        look(
            field(2, "East Pivot", "odell"),
            "T. O'Dell",
            reasons=("Costs 9 of 100.",),
            place_if_mature=7,
        ),
        spray(field(3, "Gin Road", "ruhl"), "Ruhl & Sons", 1),
    )
    told = line(digest_of(report, Role.GROWER))

    assert "Gin Road" not in told
    assert "- Mill Quarter dries late." in told
    assert "Costs 9 of 100." in told
    assert "7th" not in told
    assert "1 Mill Quarter" in told


@pytest.mark.parametrize("role", ROLES)
def test_nothing_unfilled_is_left_in_any_digest(role: Role) -> None:
    digest = digest_of(full_morning(), role)
    for words in (digest.subject, digest.text, digest.html, digest.sms or ""):
        assert not re.search(r"\bnan\b|\bNone\b|\{|\}|Undefined", words)


@pytest.mark.parametrize("role", ROLES)
def test_a_field_of_which_almost_nothing_is_known_still_makes_a_digest(role: Role) -> None:
    bare = call(
        field(1, "Bare", "odell"),
        Call.SHORT,
        "",
        rank=1,
        maturity=visit("unknown", None, percent_open=None, ready_on=None),
        freeze=FreezeFigures(),
        forecast=ForecastFigures(),
    )
    digest = write_digest(morning(bare), person(role), STOP)
    (sent,) = write_digests(morning(bare), [person(role)], STOP)

    assert "window not known" in digest.text
    # It can be written, but nobody is told to spray on such a call.
    assert "Bare: called for spraying without a window ahead" in sent.faults[0]
    assert "No spray calls today" in sent.text


@pytest.mark.parametrize("role", ROLES)
def test_text_is_at_most_a_hundred_columns_wide(role: Role) -> None:
    wide = spray(field(1, "W" * 80, "odell"), "G" * 80, 1, treatment_name="T" * 80)
    for report in (full_morning(), morning(wide)):
        assert max(len(row) for row in digest_of(report, role).text.splitlines()) <= 100


def test_html_escapes_what_people_typed() -> None:
    digest = digest_of(full_morning())

    assert "<img" not in digest.html
    assert "&lt;img src=x onerror=alert(1)&gt;" in digest.html


def test_names_cannot_break_lines_or_braces() -> None:
    nasty = "Pit\r\nBcc: evil@example.com\u202e {{ 7*7 }}\x07"
    digest = digest_of(
        morning(spray(field(1, nasty, "a"), nasty, 1), farm_name="Sand\nhill"), Role.CONSULTANT
    )

    assert digest.subject == "Tue 6 Oct: spray 1 (Sand hill)"
    assert "Pit Bcc: evil@example.com (( 7*7 ))" in digest.text
    assert "\r" not in digest.text
    assert "\u202e" not in digest.text + digest.html


def test_html_fetches_nothing_and_names_its_language_and_charset() -> None:
    html = digest_of(full_morning()).html

    assert '<html lang="en">' in html
    assert '<meta charset="utf-8">' in html
    assert 'name="viewport"' in html
    assert not re.search(r"https?:|<link|<script|<style|<img|url\(", html)


def test_html_of_a_long_order_is_not_cut_off_by_mail_programs() -> None:
    report = morning(*(spray(field(n, f"Field {n}", "a"), "A", n) for n in range(1, 17)))

    html = digest_of(report).html

    assert len(html.encode()) < 100_000
    assert html.count("Next 36 hours:") == 12


def test_the_strip_is_told_in_words_too() -> None:
    html = digest_of(full_morning()).html

    assert "Next 36 hours: today 6 am-10 am no spraying, today 10 am-5 pm full window" in html


def test_no_freeze_is_never_said_only_how_far_none_is_seen() -> None:
    report = morning(
        wait(field(1, "East", "a"), "A"),
        wait(field(2, "West", "a"), "A").model_copy(
            update={"freeze": freeze(known_through_utc=at(13, 6), low_f=38.0)}
        ),
    )
    told = line(digest_of(report))

    assert "No freeze seen through Mon 6 pm (farthest field: through Tue 13 Oct 6 am)." in told
    assert "Coldest low 34F Mon (34F to 38F by field)." in told
    assert not re.search(r"[Nn]o freeze(?! seen)", told)


def test_an_old_forecast_keeps_a_freeze_warning_but_never_clears_one() -> None:
    old = fresh(issued_utc=MADE - timedelta(hours=30), age_h=30.0, age_mark="old")
    clear = unknown(field(1, "East", "a"), "A", forecast=old, freeze=freeze())
    frozen = unknown(field(2, "West", "a"), "A", forecast=old, freeze=freeze(first_utc=at(9, 4)))

    assert "No freeze seen" not in line(digest_of(morning(clear)))
    assert "A freeze cannot be ruled out." in line(digest_of(morning(clear)))
    assert "First freeze seen Fri 4 am." in line(digest_of(morning(frozen)))


@pytest.mark.parametrize(
    ("mark", "badge"),
    [("ageing", "FORECAST AGEING"), ("old", "FORECAST OLD: no spray call is made from it")],
)
def test_an_ageing_forecast_carries_a_badge(mark: str, badge: str) -> None:
    one = wait(field(1, "East", "a"), "A").model_copy(
        update={"forecast": fresh(age_mark=mark, age_h=8.0)}
    )

    assert badge in digest_of(morning(one)).text
    assert badge in digest_of(morning(one)).html


def test_a_fresh_forecast_names_source_issue_time_and_age() -> None:
    digest = digest_of(morning(wait(field(1, "East", "a"), "A")))

    assert "Forecast: US National Weather Service, issued today 3:05 am, 3 h old." in line(digest)
    assert "FORECAST" not in digest.text


def test_without_any_forecast_the_digest_says_so_first() -> None:
    gone = ForecastFigures(problem="the weather service did not answer")
    fields = [
        unknown(field(n, f"Field {n}", "a"), "A", forecast=gone, reasons=()) for n in (1, 2, 3)
    ]
    digest = digest_of(morning(*fields))
    rows = digest.text.splitlines()

    assert "There is no forecast, so no spray calls today." in rows[:4]
    assert "SPRAY NEXT" not in digest.text
    assert "Field 1, Field 2, Field 3   300 ac, A" in digest.text
    assert "The weather service" not in digest.text
    assert "the weather service did not answer." in line(digest)


def test_a_stale_forecast_everywhere_tells_when_it_was_issued() -> None:
    digest = digest_of(morning(unknown(field(1, "East", "a"), "A")))

    assert "There is no fresh forecast, so no spray calls today." in digest.text
    assert "issued Sun 5:05 pm, 37 h old." in line(digest)


def test_a_quiet_morning_is_short_and_calm() -> None:
    report = morning(
        *(wait(field(n, f"West {n}", "a"), "A", 9 + n) for n in range(3)),
        sprayed(field(9, "Home Place", "a"), "A", due_today=False),
    )
    digest = digest_of(report)

    assert "A quiet morning: no field is due today." in digest.text
    assert "SPRAY NEXT" not in digest.text
    assert len(digest.text.splitlines()) <= 25


def test_times_of_a_field_in_another_zone_carry_its_letters() -> None:
    far = field(1, "Mesa Edge", "a", zone="America/Denver")

    assert "spray by Thu 1 pm MDT" in line(digest_of(morning(spray(far, "A", 1))))


def test_a_short_field_without_windows_is_told_without_inventing_one() -> None:
    one = short(field(1, "East", "a"), "A", 1).model_copy(update={"windows": (), "strip": None})

    assert "SHORT window not known" in digest_of(morning(one)).text


def test_a_late_digest_says_when_it_was_made() -> None:
    report = full_morning()
    late = report.model_copy(update={"run": report.run.model_copy(update={"late": True})})

    assert "Late: made today 6:05 am." in digest_of(late).text
    assert "Late" not in digest_of(report).text

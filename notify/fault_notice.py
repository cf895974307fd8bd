"""The fixed text sent in place of a digest that could not be written or failed its check."""

from html import escape

from dispatch.report import MorningReport
from dispatch.words import day
from notify.gsm7 import gsm7
from notify.user_text import plain_line, with_stop


def notice_parts(report: MorningReport, stop_line: str) -> tuple[str, str, str, str]:
    """Subject, text, HTML and text message of the notice. It holds no call and no field."""
    on, farm = day(report.run.local_date), plain_line(report.run.farm_name)
    said = (
        "This morning's list could not be made for you, so it is not sent. "
        "No spray calls today: go by the fields and the sky yourself.",
        "Whoever runs this system has been told.",
        "The label is the law, and a licensed applicator decides.",
        with_stop(stop_line),
    )
    paragraphs = "".join(f"<p>{escape(line)}</p>" for line in said)
    html = (
        f'<!DOCTYPE html><html lang="en"><head><meta charset="utf-8"><title>{escape(on)}</title>'
        f'</head><body style="font-family:sans-serif;max-width:600px">{paragraphs}</body></html>\n'
    )
    sms = gsm7(f"{on}: no list this morning, so no spray calls. Label is law. Reply STOP to end")
    return f"{on}: no list this morning ({farm})", "\n\n".join(said) + "\n", html, sms

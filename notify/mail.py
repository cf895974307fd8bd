"""The digest as a mail: built once, kept as bytes, and sent as those bytes every time."""

import hashlib
import hmac
from datetime import date, datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime

from notify.addresses import one_address
from notify.correction import CORRECTION
from notify.digest import Digest
from notify.settings import MailSettings
from notify.smtp import SmtpChannel
from notify.user_text import plain_line

#: Headers on one line each, up to the longest that mail allows [letters]: RFC 5322, 2.1.1.
_LONG_LINES = SMTP.clone(max_line_length=998)

__all__ = ["SmtpChannel", "mail_bytes", "message_id"]


def mail_bytes(digest: Digest, settings: MailSettings, now: datetime, address: str) -> bytes:
    """The mail of one digest to one address.

    Parameters
    ----------
    digest
        What the person is told.
    settings
        Who sends it.
    now
        The moment it is written, aware; it becomes the Date header.
    address
        Whom it goes to.

    Raises
    ------
    ValueError
        ``address`` is not exactly one mail address.
    """
    mail = EmailMessage(policy=SMTP)
    mail["From"] = one_address(settings.sender)
    mail["To"] = one_address(address)
    if settings.reply_to:
        mail["Reply-To"] = one_address(settings.reply_to)
    mail["Subject"] = plain_line(digest.subject)
    mail["Date"] = format_datetime(now)
    mail["Message-ID"] = message_id(
        digest.person.id, digest.local_date, digest.kind, digest.revision, settings.sender
    )
    if digest.kind == CORRECTION:
        first = message_id(digest.person.id, digest.local_date, "morning", 0, settings.sender)
        mail["In-Reply-To"] = mail["References"] = first
    stop_at = one_address(settings.reply_to or settings.sender).addr_spec
    ways = [f"<{digest.stop_url}>"] if digest.stop_url else []
    mail["List-Unsubscribe"] = ", ".join([*ways, f"<mailto:{stop_at}?subject=STOP>"])
    if digest.stop_url:
        mail["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    mail["Auto-Submitted"] = "auto-generated"
    mail.set_content(digest.text, cte="quoted-printable")
    mail.add_alternative(digest.html, subtype="html", cte="quoted-printable")
    _fix_boundary(mail)
    # A long address in a header would be cut into encoded words, which nobody could call.
    return mail.as_bytes(policy=_LONG_LINES) if digest.stop_url else mail.as_bytes()


def message_id(person_id: str, local_date: date, kind: str, revision: int, sender: str) -> str:
    """The name of one revision of one person's message: the same on every try."""
    spec = one_address(sender)
    who = hmac.new(spec.addr_spec.encode(), person_id.encode(), hashlib.sha256).hexdigest()[:16]
    return f"<{local_date.isoformat()}.{kind}.r{revision}.{who}@{spec.domain}>"


def _fix_boundary(mail: EmailMessage) -> None:
    """Name the parts' boundary after the message, so that the same mail has the same bytes."""
    name = hashlib.sha256(str(mail["Message-ID"]).encode()).hexdigest()[:24]
    mail.set_boundary(f"part-{name}")

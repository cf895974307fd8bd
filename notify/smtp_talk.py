"""The words of one mail to a mail server, so that it is known how far it came when it is cut off.

What goes wrong in `envelope` left nothing behind. What goes wrong in `body` may have: the server
may have taken the mail though its answer was lost (RFC 1047).
"""

import re
import smtplib

#: The server ends the connection. RFC 5321, section 4.2.2.
CLOSING = 421
#: The server wants the mail's text. RFC 5321, section 4.2.2.
_GO_ON = 354
#: Longest wait for the answer after the final dot [s]. RFC 5321, section 4.5.3.2.6.
AFTER_DOT_S = 600.0


class SenderRefused(smtplib.SMTPResponseException):
    """The server takes no mail from us, whoever it is for."""


def envelope(server: smtplib.SMTP, sender: str, recipient: str) -> None:
    """Say from whom and to whom, up to the leave to send the text.

    Raises
    ------
    smtplib.SMTPException, OSError
        The mail was not taken; nothing of it was sent.
    """
    server.ehlo_or_helo_if_needed()
    code, said = server.mail(sender)
    if code != 250:
        raise SenderRefused(code, said)
    code, said = server.rcpt(recipient)
    if code not in (250, 251):
        raise smtplib.SMTPResponseException(code, said)
    code, said = server.docmd("DATA")
    if code != _GO_ON:
        raise smtplib.SMTPResponseException(code, said)


def body(server: smtplib.SMTP, text: bytes) -> None:
    """Send the text and wait for the answer, as long as the standard asks for.

    Raises
    ------
    smtplib.SMTPResponseException
        The server said that it did not take the mail.
    smtplib.SMTPException, OSError
        Nobody knows whether it did.
    """
    dotted = re.sub(rb"(?m)^\.", b"..", text)
    ended = dotted if dotted.endswith(b"\r\n") else dotted + b"\r\n"
    server.send(ended + b".\r\n")
    code, said = _answer_after_dot(server)
    if 400 <= code < 600:
        raise smtplib.SMTPResponseException(code, said)
    if code != 250:
        raise smtplib.SMTPException(f"an answer that says nothing: {code}")


def _answer_after_dot(server: smtplib.SMTP) -> tuple[int, bytes]:
    connection = server.sock
    if connection is None:
        raise smtplib.SMTPServerDisconnected("connection lost")
    usual_s = connection.gettimeout()
    connection.settimeout(max(AFTER_DOT_S, usual_s or 0.0))
    answer = server.getreply()
    connection.settimeout(usual_s)
    return answer

"""Mail addresses: exactly one, or refused."""

from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import SMTP

from farm.masked_address import masked_address


def one_address(text: str) -> Address:
    """Exactly one mail address, with or without a name before it.

    Raises
    ------
    ValueError
        There is none, there are several, or it holds a line break or other than ASCII letters.
    """
    told = EmailMessage(policy=SMTP)
    try:
        told["To"] = text
        found = told["To"].addresses
    except (ValueError, IndexError, AttributeError):
        found = ()
    good = len(found) == 1 and found[0].username and found[0].domain
    if not good or not found[0].addr_spec.isascii() or "," in found[0].addr_spec:
        raise ValueError(
            f"mail address: got {masked_address(text)}, wanted exactly one like "
            "name@example.com in ASCII letters; correct it"
        )
    only: Address = found[0]
    return only

"""Mail addresses: exactly one, in the form machines want."""

from email.errors import MessageError
from email.headerregistry import Address


def one_mail_address(text: str) -> str:
    """``text`` as one plain address such as ``sam@example.com``.

    Raises
    ------
    ValueError
        No address, more than one, or one with a name around it. The text tells what was wanted
        and never repeats the address.
    """
    wrong = "wanted exactly one mail address such as sam@example.com; correct it"
    bare = text.strip()
    try:
        address = Address(addr_spec=bare)
    except (MessageError, ValueError, IndexError) as error:
        raise ValueError(wrong) from error
    if not address.domain or not bare.isprintable() or " " in bare:
        raise ValueError(wrong)
    return bare

"""Mail addresses and phone numbers: exactly one of each, in the form machines want."""

from email.errors import MessageError
from email.headerregistry import Address

import phonenumbers

#: Numbers without a country code are read as numbers of this country.
HOME_COUNTRY = "US"


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


def phone_number(text: str) -> str:
    """``text`` in the international form, such as ``+18065550142``.

    Raises
    ------
    ValueError
        Not a number that can exist. The text never repeats it.
    """
    wrong = "wanted a phone number with area code such as +1 806 555 0142; check the digits"
    try:
        number = phonenumbers.parse(text, HOME_COUNTRY)
    except phonenumbers.NumberParseException as error:
        raise ValueError(wrong) from error
    if not phonenumbers.is_valid_number(number) or number.extension:
        raise ValueError(wrong)
    return str(phonenumbers.format_number(number, phonenumbers.PhoneNumberFormat.E164))

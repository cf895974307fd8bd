"""Telephone numbers in the form machines want."""

import phonenumbers

#: Numbers without a country code are read as numbers of this country.
HOME_COUNTRY = "US"


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

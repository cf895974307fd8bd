"""Addresses as they may be shown and kept: enough to know one's own, not enough to use."""


def masked_address(address: str) -> str:
    """``ana@example.org`` as ``a***@example.org``, a telephone number as its last four digits."""
    name, at, domain = address.partition("@")
    if at:
        return f"{name[:1]}***@{domain}"
    digits = [one for one in address if one.isdigit()]
    return f"***{''.join(digits[-4:])}" if len(digits) > 6 else "***"

"""Addresses that may be shown."""

import pytest

from farm.masked_address import masked_address


@pytest.mark.parametrize(
    ("address", "shown"),
    [
        ("ana.ruiz@example.org", "a***@example.org"),
        ("@example.org", "***@example.org"),
        ("+1 806 555 0142", "***0142"),
        ("0142", "***"),
        ("", "***"),
    ],
)
def test_an_address_is_masked(address, shown):
    assert masked_address(address) == shown

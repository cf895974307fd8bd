"""Scores of forecasts: the last found are told, and damage is never silent."""

from datetime import timedelta

import pytest

from storage.errors import StorageError
from storage.newest_rows import newest_rows
from storage.tables import verifications


def test_the_scores_found_last_are_told_and_none_before_them(stores, now, behind):
    assert stores.verifications.last() is None
    stores.verifications.keep('{"mornings": 3}', now)
    stores.verifications.keep('{"mornings": 4}', now + timedelta(hours=1))

    told = stores.verifications.last()
    assert (told.scores, told.verified_utc) == ({"mornings": 4}, now + timedelta(hours=1))
    assert newest_rows(stores.database, verifications) == (2,)

    behind("DELETE FROM verifications WHERE scores LIKE '%4%'")
    assert stores.verifications.last() is None


def test_damaged_scores_are_named(stores, now, behind):
    for damaged in ("'{'", "'[1]'"):
        stores.verifications.keep('{"mornings": 3}', now)
        behind(f"UPDATE verifications SET scores = {damaged}")
        with pytest.raises(StorageError, match=r"verifications row .* run warmspell verify again"):
            stores.verifications.last()

"""Wishes to have a field looked at again: kept once each."""

from uuid import UUID

import pytest

from farm.look_request import LookRequest
from storage.errors import StorageError


def test_a_request_is_kept_once_and_never_changed(stores, now):
    asked = LookRequest(uuid=UUID(int=5), field_id="nd", asked_utc=now, person_id="ana")

    assert stores.look_requests.add(asked, now)
    assert not stores.look_requests.add(asked, now)
    assert stores.look_requests.of_field("nd") == (asked,)
    assert stores.look_requests.of_field("other") == ()
    with pytest.raises(StorageError, match="got other content than the look request kept"):
        stores.look_requests.add(asked.model_copy(update={"note": "wet"}), now)

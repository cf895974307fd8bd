"""Forecasts as blocks of bytes."""

import zlib
from datetime import timedelta, timezone

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from hypothesis.extra.numpy import arrays

from agronomy.hourly_forecast import QUANTITIES, CellForecast
from storage.forecast_block import packed, unpacked

# Every bit pattern: all NaNs, infinities, zeros of both signs, subnormal numbers.
ANY_BITS = st.integers(1, 48).flatmap(
    lambda hours: arrays(np.uint32, (len(QUANTITIES), hours)).map(lambda bits: bits.view("f4"))
)


def _bits(cell: CellForecast) -> dict[str, bytes]:
    return {name: values.tobytes() for name, values in cell.hourly.items()}


@given(matrix=ANY_BITS)
def test_a_block_gives_back_every_bit(matrix, request):
    now = request.getfixturevalue("now")
    hourly = dict(zip(QUANTITIES, matrix.astype(np.float32), strict=True))
    cell = CellForecast("nws:XYZ/1,2", "invented", now, now, now, hourly)

    again = unpacked(packed(cell))

    assert _bits(again) == _bits(cell)
    assert {values.dtype for values in again.hourly.values()} == {np.dtype(np.float32)}
    assert all(values.flags.writeable for values in again.hourly.values())


def test_what_stands_around_the_numbers_comes_back_too(a_forecast, now):
    cell = a_forecast(
        elevation_ft=3312.1,
        outline=((-101.61, 34.09), (-101.58, 34.09), (-101.58, 34.12)),
        last_modified="Tue, 06 Oct 2026 09:12:44 GMT",
        rejected=("windGust: unit furlong is not known",),
        start_utc=now.astimezone(timezone(timedelta(hours=-5))),
    )
    again = unpacked(packed(cell))

    names = ("cell_id", "source", "issued_utc", "fetched_utc", "start_utc", "elevation_ft")
    names += ("outline", "last_modified", "rejected")
    assert [getattr(again, name) for name in names] == [getattr(cell, name) for name in names]
    assert again.start_utc.utcoffset() == timedelta(0)


def test_an_unknown_elevation_and_issue_time_stay_unknown(a_forecast):
    again = unpacked(packed(a_forecast(issued_utc=None)))

    assert again.issued_utc is None
    assert np.isnan(again.elevation_ft)


def test_a_quantity_of_later_years_is_not_known_in_blocks_of_today(a_forecast):
    cell = a_forecast(hours=5)
    cell.hourly.pop("rain_chance_pct")
    cell.hourly["dew_point_f"] = np.full(5, 41.0, dtype=np.float32)
    again = unpacked(packed(cell))

    assert np.isnan(again.hourly["rain_chance_pct"]).all()
    assert again.hourly["rain_chance_pct"].shape == (5,)
    assert again.hourly["dew_point_f"].tolist() == [41.0] * 5


@pytest.mark.parametrize(
    "values",
    [
        pytest.param(np.zeros(168, dtype=np.float64), id="wide"),
        pytest.param(np.zeros(167, dtype=np.float32), id="short"),
    ],
)
def test_a_quantity_of_another_kind_or_length_is_refused(a_forecast, values):
    cell = a_forecast()
    cell.hourly["rain_in"] = values

    with pytest.raises(ValueError, match=r"rain_in: got float.*wanted float32 of shape \(168,\)"):
        packed(cell)


@given(place=st.integers(0, 10_000), bit=st.integers(0, 7))
def test_a_flipped_bit_anywhere_is_noticed(request, place, bit):
    block = bytearray(packed(request.getfixturevalue("a_forecast")()))
    block[place % len(block)] ^= 1 << bit

    try:
        again = unpacked(bytes(block))
    except ValueError:
        return
    # A bit of the deflated stream that means nothing, as its padding: then nothing may change.
    assert _bits(again) == _bits(request.getfixturevalue("a_forecast")())


def test_a_block_of_a_later_version_is_refused(a_forecast):
    with pytest.raises(ValueError, match="version 02, wanted 1"):
        unpacked(b"\x02" + packed(a_forecast())[1:])
    with pytest.raises(ValueError, match="version none"):
        unpacked(b"")


def test_a_block_of_a_week_with_rounded_numbers_is_small(a_forecast):
    chance = np.random.default_rng(7)
    cell = a_forecast(hours=216)
    for name, step in zip(QUANTITIES, (1, 1, 1, 1.15, 1.15, 10, 1, 0.01, 1, 1), strict=True):
        walk = np.cumsum(chance.normal(0, 2 * step, 216))
        cell.hourly[name] = (np.round(walk / step) * step).astype(np.float32)
    block = packed(cell)

    # Raw: 10 quantities of 216 hours of 4 bytes.
    assert len(block) < 4096 < 10 * 216 * 4
    assert len(zlib.decompress(block[1:])) > 10 * 216 * 4

from pathlib import Path

import pytest
from pydantic import ValidationError

from forecasts.errors import ForecastError
from forecasts.folder import FolderSource
from forecasts.met_norway import MetNorwaySource
from forecasts.nws import NwsSource
from forecasts.open_meteo import OpenMeteoSource
from forecasts.settings import ForecastSettings
from forecasts.sources import Sources, cells_of

MAIL = "sky@gin.test"


@pytest.mark.parametrize("key", ["source", "stand_in", "extend"])
def test_open_meteo_needs_a_key_or_the_operators_word(key):
    told = {"contact": MAIL, key: "open_meteo"}
    with pytest.raises(ValidationError, match=f'{key} is "open_meteo".*non_commercial = true'):
        ForecastSettings(**told)
    for allowed in (
        {"non_commercial": True},
        {"api_key_env": "SKY_KEY"},
        {"api_key_file": "sky.key"},
        {"open_meteo_address": "http://127.0.0.1:8080"},
    ):
        assert "open_meteo" in ForecastSettings(**told, **allowed).asks


@pytest.mark.parametrize(
    "told",
    [
        {"source": "met_norway"},
        {"source": "open_meteo", "non_commercial": True, "stand_in": "met_norway"},
        {"source": "open_meteo", "non_commercial": True, "stand_in": "nws"},
    ],
)
def test_who_asks_services_that_want_a_name_gives_one(told):
    with pytest.raises(ValidationError, match="contact is missing and"):
        ForecastSettings(**told)
    ForecastSettings(**told, contact=MAIL)


def test_nobody_stands_in_for_itself():
    with pytest.raises(ValidationError, match='stand_in is "nws", wanted another than source'):
        ForecastSettings(contact=MAIL, stand_in="nws")


def test_nobody_looks_further_than_itself():
    with pytest.raises(ValidationError, match='extend is "open_meteo", wanted another than source'):
        ForecastSettings(source="open_meteo", non_commercial=True, extend="open_meteo")
    told = {"contact": MAIL, "non_commercial": True, "extend": "open_meteo"}
    assert ForecastSettings(**told, stand_in="open_meteo").extend == "open_meteo"


def test_an_ensemble_is_asked_of_open_meteo_and_needs_its_leave():
    with pytest.raises(ValidationError, match=r"ensemble is true.*non_commercial = true"):
        ForecastSettings(contact=MAIL, ensemble=True)
    assert ForecastSettings(contact=MAIL, ensemble=True, non_commercial=True).ensemble
    assert (
        ForecastSettings(source="folder", path="x", ensemble=True, extend="open_meteo").asks == ()
    )
    assert not ForecastSettings(contact=MAIL).ensemble


def test_recorded_answers_need_neither_key_nor_name():
    settings = ForecastSettings(source="folder", path="x", stand_in="open_meteo")
    assert settings.asks == ()


@pytest.mark.parametrize(
    ("told", "kind", "cells"),
    [
        ({"contact": MAIL}, NwsSource, ("nws",)),
        ({"contact": MAIL, "source": "met_norway"}, MetNorwaySource, ("met_norway",)),
        ({"non_commercial": True, "source": "open_meteo"}, OpenMeteoSource, ("open_meteo",)),
        (
            {"source": "folder", "path": "."},
            FolderSource,
            ("nws", "open_meteo", "met_norway"),
        ),
    ],
)
def test_the_source_is_the_one_that_is_named(told, kind, cells, tmp_path):
    settings = ForecastSettings(**told)
    source = Sources(settings, tmp_path).named(settings.source)

    assert isinstance(source, kind)
    assert cells_of(source) == cells


def test_a_provider_named_where_answers_are_replayed_is_its_answers_in_the_folder(tmp_path):
    replayed = ForecastSettings(source="folder", path=".", stand_in="met_norway")
    source = Sources(replayed, tmp_path).named("met_norway")
    assert isinstance(source, FolderSource)
    assert cells_of(source) == ("met_norway",)


def test_a_source_is_made_once_whoever_it_tells(tmp_path):
    sources = Sources(ForecastSettings(contact=MAIL), tmp_path)
    assert sources.named("met_norway") is sources.named("met_norway")
    assert sources.named("nws") is not sources.named("met_norway")


def test_a_key_that_is_named_but_not_there_is_told():
    settings = ForecastSettings(source="open_meteo", api_key_env="SKY_KEY")
    with pytest.raises(ForecastError, match="api_key_env: got a key's name but no key"):
        Sources(settings, Path()).named("open_meteo")


@pytest.mark.parametrize(
    ("told", "key", "address", "most_a_second"),
    [
        ({"non_commercial": True}, None, "https://api.open-meteo.com", 0.4),
        ({"api_key_env": "SKY_KEY"}, "k", "https://customer-api.open-meteo.com", 2.0),
        ({"open_meteo_address": "http://sky.gin.test"}, None, "http://sky.gin.test", 2.0),
    ],
)
@pytest.mark.filterwarnings("error")
def test_open_meteo_is_asked_where_the_key_belongs_and_as_often_as_it_allows(
    monkeypatch, told, key, address, most_a_second
):
    made = []
    monkeypatch.setattr(
        "forecasts.sources.WeatherClient",
        lambda settings, version, **more: made.append((settings, more)),
    )
    Sources(ForecastSettings(source="open_meteo", **told), Path(), key).named("open_meteo")
    ((settings, more),) = made

    assert more.pop("paces")
    assert more == {"address": address, "media": "application/json"}
    assert settings.requests_per_second == most_a_second

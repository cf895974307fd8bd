"""A checked farm in a few lines, for the person who asked whether it is in order."""

from collections import Counter

from agronomy.ingredients import ANY_DEFOLIANT, TemperatureNote, ingredient, temperature_notes
from config.contact_checks import contact_lines
from config.farm_config import FarmConfig
from farm.people import Role
from farm.rig import Rig
from farm.treatment import Treatment
from forecasts import met_norway_forecast, nws_forecast, open_meteo_forecast
from forecasts.settings import ForecastSettings
from forecasts.tellers import Tellers, TellersNamed

#: Who tells forecasts, by the name of its source, with the credit that its licence asks for.
_PROVIDERS = {
    "nws": nws_forecast.SOURCE,
    "open_meteo": open_meteo_forecast.SOURCE,
    "met_norway": met_norway_forecast.SOURCE,
}


def check_lines(config: FarmConfig) -> list[str]:
    """What the configuration holds, in short lines; warnings are only counted.

    The warnings themselves are in ``config.warnings``, each with its file and line.
    """
    farm = config.settings.farm
    return [
        f"{farm.name}: {_fields(config)}",
        f"Rigs: {', '.join(_rig(rig) for rig in config.settings.rigs)}",
        f"Treatments: {_treatments(config)}",
        *_warmth(config),
        f"People: {_people(config)}",
        f"Digest at {farm.send_at:%H:%M}, by {farm.deadline:%H:%M}, not after "
        f"{farm.late_until:%H:%M}, {config.time_zone}",
        f"Forecast: {_forecast(config)}",
        *_forecasts_elsewhere(config),
        *contact_lines(config.settings, config.secrets),
        f"In order; {_counted(len(config.warnings), 'warning')}.",
    ]


def _forecast(config: FarmConfig) -> str:
    forecast = config.settings.forecast
    parts = [who_tells(forecast.tellers, forecast)]
    if forecast.ensemble:
        parts.append(f"odds beside by the members of an ensemble, {_PROVIDERS['open_meteo']}")
    if config.services and forecast.contact:
        parts.append(f"contact {forecast.contact}")
    return ", ".join(parts)


def who_tells(told: Tellers, forecast: ForecastSettings) -> str:
    """Who leads, who stands in and who looks further, by the names their licences ask for."""
    recorded = f'answers recorded in "{forecast.path}"'
    parts = [recorded if told.source == "folder" else _PROVIDERS[told.source]]
    if told.stand_in:
        parts.append(f"in its place where it fails {_PROVIDERS[told.stand_in]}")
    if told.extend:
        parts.append(f"further ahead, beside the calls, {_PROVIDERS[told.extend]}")
    return ", ".join(parts)


def _forecasts_elsewhere(config: FarmConfig) -> list[str]:
    """A line for each region, and each field of its own, that somebody else tells."""
    settings = config.settings
    own = {name for name, one in settings.field_rules.items() if one.forecast != TellersNamed()}
    named: list[tuple[str, Tellers]] = []
    regions: dict[tuple[str, Tellers], int] = {}
    for field in config.fields:
        told = config.tellers[field.id]
        if field.id in own:
            named.append((field.name, told))
        elif told != settings.forecast.tellers:
            key = (field.region or "", told)
            regions[key] = regions.get(key, 0) + 1
    lines = [
        (f"region {name} ({_counted(number, 'field')})", told)
        for (name, told), number in regions.items()
    ]
    lines += [(f"field {name}", told) for name, told in named]
    return [f"Forecast, {of}: {who_tells(told, settings.forecast)}" for of, told in lines]


def _fields(config: FarmConfig) -> str:
    acres = sum(field.acres for field in config.fields)
    parts = [
        _counted(len(config.fields), "field"),
        f"{acres:,.0f} ac",
        _counted(len(config.settings.growers), "grower"),
    ]
    outlined = sum(field.outline is not None for field in config.fields)
    parts.append(f"{outlined} with an outline")
    if config.settings.regions:
        parts.append(_counted(len(config.settings.regions), "region"))
    return ", ".join(parts)


def _rig(rig: Rig) -> str:
    return f"{rig.name} ({rig.swath_ft:g} ft at {rig.speed_mph:g} mph)"


def _treatments(config: FarmConfig) -> str:
    used = Counter(field.treatment_id for field in config.fields)
    return ", ".join(
        f"{one.name} ({one.rain_free_h:g} h without rain{_source(one)}, "
        f"{_counted(used[one.id], 'field')})"
        for one in config.settings.treatments
    )


def _source(one: Treatment) -> str:
    return "" if one.rain_free_source == "label" else f", {one.rain_free_source}"


def _warmth(config: FarmConfig) -> list[str]:
    """What is printed about cool weather and the ingredients in use, a line each."""
    names = dict.fromkeys(
        known
        for treatment in config.settings.treatments
        for one in treatment.ingredients
        if (known := ingredient(one))
    )
    lines = [
        f"Warmth, {name}: {'; '.join(_note(one) for one in notes)}"
        for name in names
        if (notes := temperature_notes(name))
    ]
    return [*lines, f"Warmth, all: {_note(ANY_DEFOLIANT)}"] if lines else []


def _note(note: TemperatureNote) -> str:
    return f"{note.words} ({'measured, ' if note.measured else ''}{note.source})"


def _people(config: FarmConfig) -> str:
    roles = Counter(person.role for person in config.settings.people)
    named = [_counted(roles[role], role.value) for role in Role if roles[role]]
    channels = [name for name in ("mail", "sms") if getattr(config.settings, name)]
    by = f"by {' and '.join(channels)}" if channels else "no mail or SMS is set up"
    return f"{', '.join(named) or 'nobody'}; {by}"


def _counted(number: int, what: str) -> str:
    return f"{number or 'no'} {what}{'' if number == 1 else 's'}"

"""A farm's files read, checked, and told about: every fault at once, each with its line."""

import os
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import partial
from pathlib import Path

from config.contact_checks import contact_warnings, open_to_all
from config.cross_checks import cross_faults, ids_of, unknown_field_rules, unreachable
from config.daily_lows import with_daily_lows
from config.farm_config import FarmConfig
from config.field_checks import FieldsContext
from config.fields_file import most_common, read_fields
from config.forecast_doubts import never_asked_again
from config.inside_folder import inside_folder
from config.key_lines import KeyLines
from config.key_path import Path as KeyPath
from config.key_path import value_at, written
from config.named_files import file_faults, file_warnings
from config.placeholders import still_the_starter
from config.problem import Findings
from config.read_secrets import gather_secrets
from config.region_tellers import nws_leads, teller_faults, tellers_by_field, unused_tellers
from config.rules import override_faults, rules_by_field
from config.settings import Settings
from config.strict import strictly
from config.toml_file import read_toml
from config.treatments import doubts_about_treatments, with_rain_free_hours
from config.zones import BY_FIELD, known_zone
from farm.field import Field
from notify.phone_number import phone_number
from notify.settings import Secrets


def load(path: Path, environ: Mapping[str, str] | None = None) -> FarmConfig:
    """The configuration in ``path`` and the fields it names.

    Parameters
    ----------
    path
        The TOML file.
    environ
        Where secrets named by variable are looked up; the environment of this process if None.

    Raises
    ------
    ConfigError
        Anything is wrong; holds every fault found.
    """
    raw, lines = read_toml(path)
    findings = Findings()
    raw, faults_of_lows = with_daily_lows(raw, path.parent, findings)
    reading = _Reading(path, raw, lines, findings)
    reading.errors(faults_of_lows)
    complete, unprinted = with_rain_free_hours(raw)
    settings, faults = strictly(Settings, complete)
    reading.errors(faults)
    reading.errors(unprinted)
    reading.errors(cross_faults(raw, lines))
    reading.errors(file_faults(raw, path.parent))
    fields = reading.fields()
    region_of = {one.id: one.region for one in fields}
    reading.errors(override_faults(raw, region_of))
    reading.errors(teller_faults(raw, region_of))
    if reading.knows_all_fields:
        reading.errors(unknown_field_rules(raw, [one.id for one in fields]))
    secrets = reading.secrets(settings, os.environ if environ is None else environ)
    reading.findings.raise_if_any()
    assert settings is not None
    settings = _with_plain_phones(settings)
    reading.warnings(unreachable(raw))
    reading.warnings(unused_tellers(raw, region_of.values()))
    tellers = tellers_by_field(settings, fields)
    reading.warnings(still_the_starter(settings, tellers.values()))
    reading.warnings(never_asked_again(raw, settings, tellers.values()))
    reading.warnings(doubts_about_treatments(raw))
    reading.warnings(file_warnings(settings, path.parent))
    reading.warnings(contact_warnings(settings, secrets))
    reading.warnings(open_to_all(path, settings))
    return FarmConfig(
        path=path,
        folder=path.parent,
        settings=settings,
        fields=fields,
        rules=rules_by_field(settings, fields),
        tellers=tellers,
        secrets=secrets,
        time_zone=_farm_zone(settings, fields),
        warnings=tuple(reading.findings.warning_lines()),
    )


@dataclass
class _Reading:
    path: Path
    raw: dict[str, object]
    lines: KeyLines
    findings: Findings = field(default_factory=Findings)
    knows_all_fields: bool = False

    def errors(self, faults: Iterable[tuple[KeyPath, str]]) -> None:
        for where, words in faults:
            self.findings.error(str(self.path), self.lines.line(where), written(where), words)

    def warnings(self, faults: Iterable[tuple[KeyPath, str]]) -> None:
        for where, words in faults:
            self.findings.warn(str(self.path), self.lines.line(where), written(where), words)

    def fields(self) -> tuple[Field, ...]:
        """The fields, read even if other tables are wrong, so that all is told at once."""
        named = value_at(self.raw, ("farm", "fields"))
        try:
            file = inside_folder(self.path.parent, named) if isinstance(named, str) else None
        except ValueError:
            return ()  # told by the check of file names
        if file is None or not named:
            return ()
        before = len(self.findings.errors)
        found = read_fields(file, _context(self.raw), self.findings)
        self.knows_all_fields = len(self.findings.errors) == before
        return found

    def secrets(self, settings: Settings | None, environ: Mapping[str, str]) -> Secrets:
        if settings is None:
            return Secrets()
        secrets, faults, unset = gather_secrets(settings, self.path.parent, environ)
        self.errors(faults)
        self.warnings(unset)
        return secrets


def _context(raw: dict[str, object]) -> FieldsContext:
    regions = raw.get("regions")
    zone = value_at(raw, ("farm", "time_zone"))
    try:
        rule = known_zone(zone) if isinstance(zone, str) else BY_FIELD
    except ValueError:
        rule = BY_FIELD
    return FieldsContext(
        grower_ids=ids_of(raw, "growers"),
        treatment_ids=ids_of(raw, "treatments"),
        regions=list(regions) if isinstance(regions, dict) else [],
        zone_rule=rule,
        nws_leads=partial(nws_leads, raw),
    )


def _with_plain_phones(settings: Settings) -> Settings:
    people = tuple(
        person.model_copy(
            update={
                "phone": phone_number(person.phone) if person.phone else None,
                "email": person.email.strip() if person.email else None,
            }
        )
        for person in settings.people
    )
    return settings.model_copy(update={"people": people})


def _farm_zone(settings: Settings, fields: tuple[Field, ...]) -> str:
    if settings.farm.time_zone != BY_FIELD:
        return settings.farm.time_zone
    return most_common(one.time_zone for one in fields) or "UTC"

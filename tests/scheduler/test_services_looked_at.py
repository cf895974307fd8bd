"""Whom a doctor asks: every service that tells any field, where it answers."""

from config.load import load
from scheduler.doctor_network import service_addresses


def test_the_services_of_all_regions_are_looked_at(farm):
    text = farm.read_text("utf-8")
    assert "[regions.creek.maturity]" in text
    named = '[regions.creek.forecast]\nsource = "met_norway"\n\n[regions.creek.maturity]'
    farm.write_text(text.replace("[regions.creek.maturity]", named), "utf-8")

    assert service_addresses(load(farm, {})) == {
        "met_norway": "https://api.met.no",
        "nws": "https://api.weather.gov",
    }

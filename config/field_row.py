"""One field as its file gives it, before it is checked."""

from dataclasses import dataclass, field

from config.geometry import Place
from config.problem import Findings

#: What a file may say about a field.
FIELD_KEYS = (
    "id",
    "name",
    "grower_id",
    "treatment_id",
    "region",
    "acres",
    "planted_on",
    "cold_spot_f",
    "entry_latitude",
    "entry_longitude",
    "sensitive",
)
#: Keys that hold numbers.
NUMBER_KEYS = (
    *("latitude", "longitude", "acres", "cold_spot_f"),
    *("entry_latitude", "entry_longitude"),
)
#: Other names people use for the same thing.
SAME_KEYS = {
    "grower": "grower_id",
    "treatment": "treatment_id",
    "lat": "latitude",
    "lon": "longitude",
    "lng": "longitude",
    "long": "longitude",
    "entry_lat": "entry_latitude",
    "entry_lon": "entry_longitude",
}


def house_key(written: str) -> str:
    """Our name for a column or property: lower case, spaces as underscores, known synonyms."""
    key = "_".join(written.replace("-", " ").split()).casefold()
    return SAME_KEYS.get(key, key)


@dataclass
class FieldRow:
    """A field's cells by our key, where it stands, and its place if its geometry gave one.

    ``label`` is how errors call it: empty for a CSV row, ``features[3] (id "X")`` in GeoJSON.
    ``told`` holds the keys whose faults have been told, so that none is told twice.
    """

    line: int
    label: str
    cells: dict[str, object]
    place: Place | None = None
    told: set[str] = field(default_factory=set)

    def key(self, key: str) -> str:
        """How an error calls ``key`` of this field."""
        return f"{self.label}.{key}" if self.label else key


@dataclass
class FieldsReading:
    """What a reader of one fields file works with."""

    file: str
    findings: Findings
    rows: list[FieldRow] = field(default_factory=list)

    def error(self, line: int, key: str, words: str) -> None:
        """Note a fault of the file at ``line``."""
        self.findings.error(self.file, line, key, words)

    def warn(self, line: int, key: str, words: str) -> None:
        """Note something at ``line`` that deserves a look."""
        self.findings.warn(self.file, line, key, words)

    def fault(self, row: FieldRow, key: str, words: str, also: tuple[str, ...] = ()) -> None:
        """Note a fault of ``key`` in ``row``; ``also`` are keys that cannot be judged any more."""
        row.told.update((key, *also))
        self.findings.error(self.file, row.line, row.key(key), words)

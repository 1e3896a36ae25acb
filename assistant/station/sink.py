"""The station's file: found, read, and a procedure made ready for that station."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.procedure import station_sheet
from assistant.procedure.bay_plan import Impossible
from assistant.procedure.fitting import fitted
from assistant.procedure.generated import texts
from assistant.procedure.placing import placed
from assistant.procedure.sheet import read_bytes
from assistant.shipped import folder

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure
    from assistant.procedure.station import Station

_EXAMPLE = "demo-two-bays"
NONE = "none"  # what is named where a session is to be led without a station


class StationUnknownError(Exception):
    """No station of that name; the message lists what there is."""


class StationMissingError(Exception):
    """No station is described yet; the message says where and how."""


class StationImpossibleError(Exception):
    """The procedure cannot be done at the station; the message says why."""


@dataclass(frozen=True, slots=True)
class StationSheet:
    """A station with the exact text that it was read from.

    Attributes:
        source: the file.
        text: the whole of it.
        station: what it describes.
    """

    source: str
    text: str
    station: Station


def shipped() -> tuple[Path, ...]:
    """The demo stations that travel with the program."""
    return tuple(sorted((folder("procedures") / "stations").glob("*.yaml")))


def example() -> str:
    """The text of a demo station that uses every key."""
    return (folder("procedures") / "stations" / f"{_EXAMPLE}.yaml").read_text(encoding="utf-8")


def usual() -> Path:
    """Where the station of this place is described when no file is named."""
    from platformdirs import user_config_path  # noqa: PLC0415 - only where no file was named

    return user_config_path("sinkside", appauthor=False) / "station.yaml"


def find(name: str | None) -> Path:
    """The path of a station: a file, the name of a shipped one, or for None the usual file.

    Raises:
        StationMissingError: there is no usual file yet.
        StationUnknownError: neither a file nor a shipped one.
    """
    if name is None:
        path = usual()
        if path.exists():
            return path
        raise StationMissingError(
            f'no station is described yet: write "{path}" (begin with what '
            '"sinkside station example" prints), or name a file with --station'
        )
    path = Path(name)
    if path.suffix in (".yaml", ".yml") or path.exists():
        return path
    for known in shipped():
        if known.stem == name:
            return known
    names = ", ".join(known.stem for known in shipped())
    raise StationUnknownError(f'there is no station "{name}"; there are: {names}, or a file')


def chosen(name: str | None) -> StationSheet | None:
    """The station of a session: the one named, else the usual one where there is one.

    Raises:
        StationUnknownError: neither a file nor a shipped one.
        SheetError: its file cannot be read, or has mistakes.
    """
    if name == NONE or (name is None and not usual().exists()):
        return None
    return read(find(name))


def read(path: Path) -> StationSheet:
    """The station in a file, with its text.

    Raises:
        SheetError: it cannot be read, or has mistakes.
    """
    data = read_bytes(path)
    station = station_sheet.parse(data, str(path))  # it tells of bytes that are no text
    return StationSheet(str(path), data.decode("utf-8"), station)


def reread(text: str, source: str) -> StationSheet:
    """The station whose text a record holds.

    Raises:
        SheetError: this program no longer reads it.
    """
    return StationSheet(source, text, station_sheet.parse(text.encode(), source))


def led_at(procedure: Procedure, sheet: StationSheet) -> Procedure:
    """The procedure as it is led at the station.

    Raises:
        StationImpossibleError: it cannot be done there.
    """
    found = equipped(procedure, sheet.station)
    if isinstance(found, Impossible):
        raise StationImpossibleError(
            f'"{procedure.title}" cannot be done at the {sheet.station.name} ({sheet.source}): '
            f"{' '.join(found.reasons)} Name another station with --station, or "
            f'"--station {NONE}" to be led without one.'
        )
    return found


def equipped(procedure: Procedure, station: Station) -> Procedure | Impossible:
    """The procedure fitted to the station and placed at it, or why it cannot be done there."""
    return placed(fitted(procedure, station), station, texts(procedure.language))

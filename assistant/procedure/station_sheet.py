"""The station file: a YAML file that describes a place of work, read into a station.

It is read as a sheet is: every mistake is found in one pass, each with its place and
what to write instead.
"""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

from assistant.procedure.baths import LIQUID_WATER, MOST_VOLUME, bounded, measured_in, reckoned
from assistant.procedure.fields import Fields
from assistant.procedure.finding import Findings, SheetError
from assistant.procedure.naming import unique
from assistant.procedure.quantity import Dimension, Place, Quantity, QuantityError, Unit, Window
from assistant.procedure.sheet import nodes
from assistant.procedure.spelling import near
from assistant.procedure.station import Bay, Station, Tap
from assistant.procedure.station_layout import BAY, METER, ROW, STATION, TAP, WATER_TABLE
from assistant.procedure.water_use import Water
from assistant.trade.residue import Meter
from assistant.trade.water import PUBLISHED, TOLD_IN, Below, Grade, Property, Row, WaterTable
from assistant.trade.water import Standing as TableStanding

if TYPE_CHECKING:
    from assistant.procedure.finding import Mark

# Beyond these a figure is a slip of the hand; our own choices, no source.
MOST_BAYS = 6
ROOM = Window(Quantity(Decimal(5), Unit.CELSIUS), Quantity(Decimal(50), Unit.CELSIUS))
MOST_COOLING = Decimal("0.1")  # in 1/min: halves a bath's difference to the room in 7 min


def parse(data: bytes, path: str) -> Station:
    """The station that the bytes of a file describe.

    Args:
        data: the whole file.
        path: what findings call it.

    Raises:
        SheetError: they have mistakes; it carries every one.
    """
    findings = Findings(path, "station")
    root = nodes(data, f'begin with "{STATION.required["name"]}"', findings)
    station = None if root is None else _station(Fields(root, STATION, findings), findings)
    if findings or station is None:
        raise SheetError(findings.sorted())
    return station


def _station(fields: Fields, findings: Findings) -> Station:
    """The station; stand-ins where anything was noted."""
    blocks = fields.blocks("bays", BAY)
    if len(blocks) > MOST_BAYS:
        more = f"there are {len(blocks)} bays, more than {MOST_BAYS}"
        fields.refuse("bays", more, "describe those at which one technician works")
    unique("name of a bay", [_named(block) for block in blocks], findings)
    meters = fields.blocks("meters", METER)
    unique("name of a meter", [_named(block) for block in meters], findings)
    return Station(
        bays=tuple(_bay(block) for block in blocks),
        taps=tuple(tap for block in fields.blocks("taps", TAP) if (tap := _tap(block))),
        name=fields.text("name"),
        measured_in=measured_in(fields),
        room=_within(fields, "room", ROOM),
        cooling_per_min=_cooling(fields),
        meters=tuple(meter for block in meters if (meter := _meter(block))),
        water_table=_table(fields, findings),
    )


def _named(block: Fields) -> tuple[str, Mark]:
    return block.text("name").casefold(), block.mark_of("name")


def _bay(fields: Fields) -> Bay:
    name = fields.text("name")
    if not all(word.isalpha() for word in name.split()):
        fields.refuse(
            "name",
            f'the name "{name}" cannot be said',
            'write words of letters only, as they are spoken: "bay one"',
        )
    if "volume" in fields and "basin" in fields:
        fields.refuse("basin", '"volume" and "basin" stand in one bay', "keep one of the two")
    drains = fields.yes("drains") if "drains" in fields else True
    return Bay(name, _volume(fields), drains)


def _volume(fields: Fields) -> Quantity | None:
    """What the bay holds, stated or reckoned from its basin; None where it says neither."""
    key = "volume" if "volume" in fields else "basin"
    if key == "volume":
        volume = fields.quantity(key, Dimension.VOLUME)
    else:
        worked = reckoned(fields)
        volume = None if worked is None else worked.value
    return bounded(fields, key, volume, MOST_VOLUME)


def _tap(fields: Fields) -> Tap | None:
    water = fields.member("water", Water)
    apart = fields.yes("apart")
    runs = fields.yes("runs") if "runs" in fields else True
    hot, cold = (_within(fields, key, LIQUID_WATER) for key in ("hot", "cold"))
    if apart and not runs:
        fields.refuse(
            "apart",
            "water that does not run has no drain of its own",
            'delete this "apart", or write "runs: yes"',
        )
    if hot is not None and cold is not None and hot.base <= cold.base:
        fields.refuse(
            "hot", f'hot "{hot}" is not warmer than cold "{cold}"', "exchange or correct the two"
        )
    return None if water is None else Tap(water, apart, runs, hot, cold)


def _within(fields: Fields, key: str, window: Window) -> Quantity | None:
    """A temperature inside a window; None stands in."""
    found = fields.quantity(key, Dimension.TEMPERATURE)
    if found is None or window.judge(found).place is Place.WITHIN:
        return found
    fields.refuse(key, f'"{key}" is "{found}", not {window}', "correct the figure or its unit")
    return None


def _cooling(fields: Fields) -> Decimal | None:
    """The cooling rate, which means nothing without the room's temperature."""
    rate = fields.decimal("cooling_per_min")
    if rate is not None and rate > MOST_COOLING:
        fields.refuse(
            "cooling_per_min",
            f'"{rate}" per min is more than {MOST_COOLING}: no bath cools so fast',
            "write the share of its difference to the room that a bath loses in a minute",
        )
        return None
    if "cooling_per_min" in fields and "room" not in fields:
        fields.refuse(
            "cooling_per_min",
            '"cooling_per_min" stands without "room"',
            "write the temperature of the air too, as in `room: 21 °C`",
        )
    return rate


def _meter(fields: Fields) -> Meter | None:
    name, below = fields.text("name"), fields.quantity("below", Dimension.LIGHT)
    if below is None or not name:
        return None
    try:
        return Meter(name, below)
    except QuantityError as error:
        fields.refuse("below", error.what, error.remedy)
        return None


def _table(fields: Fields, findings: Findings) -> WaterTable | None:
    """One of the published tables by its name, or the facility's own rows."""
    block = fields.block("water_table", WATER_TABLE)
    if block is None:
        return None
    name = block.text("name")
    if "rows" in block:
        return _own_table(block, name, findings)
    if name and name not in PUBLISHED:
        block.refuse(
            "name",
            f'"{name}" is no published table, and has no rows',
            f'write your own "rows", or take a published one: {near(name, PUBLISHED)}',
        )
    return PUBLISHED.get(name)


def _own_table(block: Fields, name: str, findings: Findings) -> WaterTable | None:
    if name in PUBLISHED:
        block.refuse(
            "name",
            f'"{name}" is the name of a published table',
            'delete the rows, or give your own table another name, as in "demo water table"',
        )
    blocks = block.blocks("rows", ROW)
    rows = [_row(inner) for inner in blocks]
    limited = [
        (f"{row.of} of {row.grade} water", inner.mark)
        for inner, row in zip(blocks, rows, strict=True)
        if row is not None
    ]
    unique("limit of", limited, findings)
    if len(dict(limited)) < len(limited):
        return None
    return WaterTable(name, TableStanding.FACILITY, tuple(row for row in rows if row is not None))


def _row(fields: Fields) -> Row | None:
    grade, of = fields.member("grade", Grade), fields.member("property", Property)
    if of is None:
        return None
    dimension = TOLD_IN[of].dimension
    if "below" in fields and ("least" in fields or "most" in fields):
        fields.refuse(
            "below", '"below" stands beside a window', 'keep "below", or "least" and "most"'
        )
        return None
    if not ("below" in fields or "least" in fields or "most" in fields):
        fields.refuse_at(fields.mark, "this row has no limit", f"write `{ROW.optional['below']}`")
        return None
    allowed = _below(fields, dimension) if "below" in fields else fields.sayable(dimension)
    return None if grade is None or allowed is None else Row(grade, of, allowed)


def _below(fields: Fields, dimension: Dimension) -> Below | None:
    limit = fields.quantity("below", dimension)
    if limit is not None and limit.base <= 0:
        fields.refuse("below", f'"{limit}" is not above zero', "correct the figure")
        return None
    return None if limit is None else Below(limit)

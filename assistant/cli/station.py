"""``sinkside station``: the sink, its taps and means; and what a cleaning comes to there."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from assistant.cli.common import emit, json_option, tell
from assistant.cli.failure import FINDINGS, UNREADABLE

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.bay_plan import Impossible, Plan
    from assistant.procedure.station import Station

_station_option = click.option(
    "--station",
    "station_name",
    metavar="FILE",
    help="The station's file, or a shipped one's name; without it, the one in your config folder.",
)


@click.group()
def station() -> None:
    """Describe the sink and its taps, and plan a cleaning there."""


@station.command()
@_station_option
@json_option
def show(station_name: str | None, *, as_json: bool) -> None:
    """The station as it is understood."""
    from assistant.station.sink import find, read  # noqa: PLC0415 - see main

    found = read(find(station_name))
    if as_json:
        emit(file=found.source, **_facts(found.station))
        return
    click.echo(found.source)
    for line in _lines(found.station):
        click.echo(line)


@station.command()
@click.argument("file", type=click.Path(path_type=Path))
@json_option
@click.pass_context
def check(ctx: click.Context, file: Path, *, as_json: bool) -> None:
    """Every mistake in the station file FILE, as file:line:column: what; remedy."""
    from assistant.procedure.finding import SheetError  # noqa: PLC0415 - see main
    from assistant.station.sink import read  # noqa: PLC0415

    try:
        read(file)
    except SheetError as error:
        for finding in error.findings:
            tell(finding, as_json=as_json)
        ctx.exit(UNREADABLE if error.unread else FINDINGS)
    if not as_json:
        click.echo(f"{file}: good")


@station.command()
def example() -> None:
    """A station file with every key, each explained; its values are invented."""
    from assistant.station.sink import example as text  # noqa: PLC0415 - see main

    click.echo(text(), nl=False)


@station.command()
@click.argument("procedure")
@_station_option
@json_option
@click.pass_context
def plan(ctx: click.Context, procedure: str, station_name: str | None, *, as_json: bool) -> None:
    """Lay the uses of water of PROCEDURE onto the bays, or say why they cannot be (exit 1)."""
    from assistant.procedure.bay_plan import Impossible  # noqa: PLC0415 - see main
    from assistant.procedure.bays import lay_out  # noqa: PLC0415
    from assistant.procedure.fitting import fitted  # noqa: PLC0415
    from assistant.station import opening, sink  # noqa: PLC0415

    where = sink.read(sink.find(station_name)).station
    led = fitted(opening.read(opening.find(procedure)).procedure, where)
    found = lay_out(where, led)
    for row in _json_rows(found) if as_json else ():
        emit(**row)
    for line in () if as_json else _plan_lines(found, where):
        click.echo(line)
    if isinstance(found, Impossible):
        ctx.exit(FINDINGS)


def _plan_lines(found: Plan | Impossible, where: Station) -> Iterator[str]:
    """The plan in sentences, or the reasons why there is none."""
    from assistant.procedure.bay_plan import Plan, describe  # noqa: PLC0415 - see main

    if isinstance(found, Plan):
        names = ", ".join(bay.name for bay in where.bays)
        yield f"Begin with every bay empty and clean: {names}."
    else:
        yield f"This cannot be done at the {where.name}:"
    yield from describe(found)


def _json_rows(found: Plan | Impossible) -> Iterator[dict[str, Any]]:
    from assistant.procedure.bay_plan import Impossible  # noqa: PLC0415 - see main

    if isinstance(found, Impossible):
        for reason in found.reasons:
            yield {"reason": reason}
        return
    for turn in found.turns:
        yield {
            "step": turn.step,
            "short": turn.short,
            "purpose": turn.use.purpose.name.lower(),
            "bay": turn.bay,
            "changes": [str(change) for change in turn.changes],
            "content": turn.content,
        }


def _lines(found: Station) -> Iterator[str]:
    """A station in lines of text."""
    yield found.name
    for bay in found.bays:
        holds = "" if bay.volume is None else f", holds {bay.volume.rounded()}"
        yield f"  {bay.name}{holds}{'' if bay.drains else ', cannot be drained'}"
    for tap in found.taps:
        how = ", over a drain of its own" if tap.apart else ""
        how += "" if tap.runs else ", in containers"
        warm = [f"{name} {at}" for name, at in (("hot", tap.hot), ("cold", tap.cold)) if at]
        yield f"  {tap.water} water{how}{''.join(f', {text}' for text in warm)}"
    if found.measured_in is not None:
        yield f"  detergent is measured in {found.measured_in}"
    if found.room is not None:
        rate = found.cooling_per_min
        yield f"  room {found.room}{'' if rate is None else f', a bath cools by {rate} per min'}"
    for meter in found.meters:
        yield f"  {meter.name}: below {meter.below}"
    if found.water_table is not None:
        yield f"  water: {found.water_table.name} ({found.water_table.standing})"
        for row in found.water_table.rows:
            yield f"    {row.of} of {row.grade} water: {row.allowed}"


def _facts(found: Station) -> dict[str, Any]:
    """A station as one JSON object's fields."""
    return {
        "name": found.name,
        "bays": [
            {"name": bay.name, "volume": _text(bay.volume), "drains": bay.drains}
            for bay in found.bays
        ],
        "taps": [
            {
                "water": str(tap.water),
                "apart": tap.apart,
                "runs": tap.runs,
                "hot": _text(tap.hot),
                "cold": _text(tap.cold),
            }
            for tap in found.taps
        ],
        "measured_in": _text(found.measured_in),
        "room": _text(found.room),
        "cooling_per_min": _text(found.cooling_per_min),
        "meters": [{"name": meter.name, "below": str(meter.below)} for meter in found.meters],
        "water_table": None if found.water_table is None else found.water_table.name,
    }


def _text(value: object) -> str | None:
    return None if value is None else str(value)

"""``python -m tests.benchmark``: this recognizer beside others, in one run."""

from __future__ import annotations

import json
import os
import re
import sys
import time
from pathlib import Path

import click

from assistant.hearing.recognizer import ModelMissingError
from tests.benchmark import plan, sets, table, work
from tests.benchmark.goals import goals
from tests.benchmark.load import measure
from tests.benchmark.results import OtherVersionError, Results
from tests.benchmark.subjects import NAMES, subject, world

_BESIDE = Path(__file__).parents[3] / "shared" / "speech"
_PATH = click.Path(path_type=Path)
_USAGE = 2


@click.command()
@click.option("--quick", is_flag=True, help="Fewer cases and conditions: half an hour.")
@click.option("--only", default="", help="A pattern for the parts' names, such as 'own|near'.")
@click.option("--conditions", default="", help="A pattern for conditions, such as 'water 10 dB'.")
@click.option("--recognizers", default=",".join(NAMES), show_default=True)
@click.option(
    "--orders",
    type=_PATH,
    envvar="SINKSIDE_BENCHMARK_ORDERS",
    default=_BESIDE,
    show_default=True,
    help="Folder of the recorded drink orders.",
)
@click.option(
    "--debian",
    type=_PATH,
    envvar="SINKSIDE_BENCHMARK_DEBIAN",
    help="Folder in which Debian's packages are unpacked, where they are not installed.",
)
@click.option(
    "--vosk", type=_PATH, envvar="SINKSIDE_BENCHMARK_VOSK", help="An English Vosk model's folder."
)
@click.option("--out", type=_PATH, default=Path(".benchmark"), show_default=True)
@click.option("--fresh", is_flag=True, help="Forget what an earlier run left in --out.")
@click.option("--jobs", type=click.IntRange(1, 2), default=2, show_default=True)
@click.option("--load/--no-load", default=True, help="Measure processor share and memory too.")
def main(
    quick: bool,
    only: str,
    conditions: str,
    recognizers: str,
    orders: Path,
    debian: Path | None,
    vosk: Path | None,
    out: Path,
    fresh: bool,
    jobs: int,
    load: bool,
) -> None:
    """Hear every case under every condition with every recognizer, and print the table.

    What is done is kept in --out; a run that is broken off goes on where it was.  On
    two cores the whole benchmark takes four to six hours, --quick half an hour, less
    with fewer --recognizers; how long it will still take is told while it runs.
    """
    present = sets.found(orders, debian, vosk)
    told = present.told()
    _say(table.machine(), *told)
    names = [name for name in recognizers.split(",") if name]
    unknown = sorted(set(names) - set(NAMES))
    if unknown:
        raise click.UsageError(f"no recognizer {', '.join(unknown)}; there are {', '.join(NAMES)}")
    try:
        results = Results(out / "rows.jsonl", fresh=fresh)
    except OtherVersionError as error:
        _say(f"sinkside: {error}")
        sys.exit(_USAGE)
    parts = [part for part in plan.PARTS if re.search(only, part.name)]
    wanted = [
        task
        for part in parts
        for task in plan.tasks(part, present, quick=quick)
        if re.search(conditions, str(task.condition))
    ]
    usable = {part.name: _usable(part, names, present) for part in parts}
    _run(wanted, usable, results, present, jobs)
    keys = [
        (task.part.name, str(task.condition), task.case.id, name)
        for task in wanted
        for name in usable[task.part.name]
    ]
    rows = [results.rows[key] for key in keys]
    loads = measure(present) if load else {}
    reached = goals(rows, loads)
    for line in table.printed(rows, reached):
        click.echo(line)
    found = table.as_json(rows, reached, loads, told)
    path = out / "benchmark.json"
    path.write_text(json.dumps(found, indent=1) + "\n", encoding="utf-8")
    _say(f"figures: {path}; every trial: {out / 'rows.jsonl'}")


def _usable(part: plan.Part, names: list[str], present: sets.Sets) -> tuple[str, ...]:
    """The recognizers that can hear the part's grammar; what cannot says why."""
    found = []
    if part.world == "orders" and present.orders is None:
        return ()
    for name in names:
        try:
            subject(name, world(part.world, present), present.vosk)
        except ModelMissingError as error:
            _say(f"{part.name}: {name} is left out: {error}")
        else:
            found.append(name)
    return tuple(found)


def _run(
    wanted: list[plan.Task],
    usable: dict[str, tuple[str, ...]],
    results: Results,
    present: sets.Sets,
    processes: int,
) -> None:
    jobs: list[work.Job] = []
    for task in wanted:
        name, condition = task.part.name, str(task.condition)
        missing = tuple(
            recognizer
            for recognizer in usable[name]
            if (name, condition, task.case.id, recognizer) not in results.rows
        )
        if missing:
            jobs.append((name, task.case, task.condition, missing))
    _say(f"{len(wanted)} cases under their conditions, {len(jobs)} of them still to be heard")
    os.environ["OMP_NUM_THREADS"] = "1"
    began, done = time.monotonic(), 0
    for rows in work.rows(jobs, present, processes):
        results.add(rows)
        done += len({(row.part, row.condition, row.case) for row in rows})
        spent_s = time.monotonic() - began
        left_min = spent_s / done * (len(jobs) - done) / 60
        part = rows[-1].part if rows else ""
        click.echo(
            f"\r{done} of {len(jobs)} ({part}), {left_min:.0f} min left   ", err=True, nl=False
        )
    if jobs:
        _say("", f"heard in {(time.monotonic() - began) / 60:.1f} min")


def _say(*lines: str) -> None:
    for line in lines:
        click.echo(line, err=True)


if __name__ == "__main__":
    main()

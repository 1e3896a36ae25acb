"""The printed table, and the same as a JSON object."""

from __future__ import annotations

import os
import platform
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Any

from tests.benchmark.figures import OUTCOMES, an_hour, causes, hours, shares, summary, times
from tests.benchmark.plan import PARTS
from tests.benchmark.subjects import NAMES, TITLES

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from tests.benchmark.goals import Goal
    from tests.benchmark.trial import Row

_MOST_CAUSES = 8


def machine() -> str:
    """The machine in words."""
    model = platform.processor() or platform.machine()
    try:
        lines = Path("/proc/cpuinfo").read_text(encoding="utf-8").splitlines()
        model = next(line.partition(":")[2].strip() for line in lines if "model name" in line)
    except (OSError, StopIteration):
        pass  # another system than Linux: its own word for the processor serves
    memory = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    return f"{os.cpu_count()} cores ({model}), {memory:.0f} GiB, Python {platform.python_version()}"


def groups(rows: Sequence[Row]) -> dict[tuple[str, str, str], list[Row]]:
    """Rows by part, condition and recognizer, in the order of the plan."""
    found: dict[tuple[str, str, str], list[Row]] = {}
    order = [part.name for part in PARTS]
    for row in rows:
        found.setdefault((row.part, row.condition, row.recognizer), []).append(row)
    conditions = {row.condition: place for place, row in reversed(list(enumerate(rows)))}
    return dict(
        sorted(
            found.items(),
            key=lambda one: (
                order.index(one[0][0]),
                conditions[one[0][1]],
                NAMES.index(one[0][2]),
            ),
        )
    )


def printed(rows: Sequence[Row], goals: Sequence[Goal]) -> Iterator[str]:
    """The lines of the table."""
    found = groups(rows)
    for part in PARTS:
        of_part = {key: group for key, group in found.items() if key[0] == part.name}
        if not of_part:
            continue
        human = next(iter(of_part.values()))[0].human
        yield ""
        yield f"{part.name}: {part.about} ({'human' if human else 'generated'} speech)"
        for (_, condition, recognizer), group in of_part.items():
            wanting = [row for row in group if row.wanted]
            yield f"  {condition:<18} {TITLES[recognizer]:<36} {_told(group, wanting)}"
        ours = [row for row in rows if row.part == part.name and row.recognizer == NAMES[0]]
        yield from _groups(ours)
        yield from (
            f"    {count:4d} {what}" for what, count in causes(ours).most_common(_MOST_CAUSES)
        )
        yield from _times(rows, part.name)
    yield ""
    yield "Goals, this recognizer"
    for goal in goals:
        mark = {True: "reached", False: "MISSED", None: ""}[goal.reached]
        yield f"  {goal.figure:<60} {goal.wanted:<38} {goal.measured:<48} {mark}"


def _told(group: Sequence[Row], wanting: Sequence[Row]) -> str:
    if wanting:
        return "  ".join(f"{outcome} {share}" for outcome, share in shares(wanting).items())
    counts = {
        kind: sum(row.outcome == kind for row in group)
        for kind in ("quiet", "asks back", "tells", "acts")
    }
    accepts, time_h = sum(row.accepts for row in group), hours(group)
    rate, low, high = an_hour(accepts, time_h)
    told = ", ".join(f"{kind} {count}" for kind, count in counts.items())
    return f"{told} of {len(group)}; accepted {rate:.1f} an hour [{low:.1f}, {high:.1f}]"


def _groups(ours: Sequence[Row]) -> Iterator[str]:
    """By group, where a part has several."""
    names = dict.fromkeys(row.group for row in ours)
    if len(names) > 1:
        for name in names:
            group = [row for row in ours if row.group == name]
            yield f"    {name:<14} {_told(group, [row for row in group if row.wanted])}"


def _times(rows: Sequence[Row], part: str) -> Iterator[str]:
    for recognizer in NAMES:
        mine = [row for row in rows if row.part == part and row.recognizer == recognizer]
        found = times(mine)
        if found:
            told = "; ".join(
                f"{kind} median {value['median']:.3g}, 95th {value['p95']:.3g}"
                for kind, value in found.items()
            )
            yield f"    {recognizer}: {told}"


def as_json(
    rows: Sequence[Row],
    goals: Sequence[Goal],
    load: Mapping[str, Mapping[str, float]],
    sets: Sequence[str],
) -> dict[str, Any]:
    """Everything that is printed, and more, as one object."""
    return {
        "machine": machine(),
        "sets": list(sets),
        "outcomes": list(OUTCOMES),
        "figures": [
            {"part": part, "condition": condition, "recognizer": recognizer, **summary(group)}
            for (part, condition, recognizer), group in groups(rows).items()
        ],
        "load": dict(load),
        "goals": [asdict(goal) for goal in goals],
    }

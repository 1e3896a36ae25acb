# ruff: noqa: E501 - the rows of a table read best on one line
"""The law of a policy: whatever is laid over a sheet, nothing becomes looser.

What is stricter is stated here anew, field by field, without the tables of the program.
"""

from __future__ import annotations

from datetime import date, timedelta
from fractions import Fraction
from typing import TYPE_CHECKING, Any

import pytest
from hypothesis import event, given, reject, settings
from hypothesis import strategies as st
from policies import HEAD, MANY, change, lay

from assistant.procedure import sheet
from assistant.procedure.finding import SheetError
from assistant.procedure.model import Dwell
from assistant.procedure.quantity import duration, parse

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.procedure.model import Procedure, Step

ANY_DAY = date(2026, 1, 6)


def task(procedure: Procedure, wanted: str) -> Any:
    return next(s.task for c in procedure.components for s in c.steps if s.id == wanted)


class Limit:
    """One limit: where the sheet states it, where a policy does, and what it comes to."""

    def __init__(
        self, sheet_text: str, lines: str, found: Callable[[Procedure], Any], *, more: bool
    ) -> None:
        self.sheet_text, self.lines, self.found, self.more = sheet_text, lines, found, more

    def looser(self, old: Any, new: Any) -> bool:
        """Whether the new value lets more happen than the old one."""
        if old is None or new is None:
            return old is not None and new is None
        return new < old if self.more else new > old


# {} is the figure; the sheet's text is that of many.yaml with the figure left out.
LIMITS = {
    "soak least": Limit("soak: {bath: warm, least: 5 min", "step: tube.soak|soak: {least: {}}", lambda p: task(p, "tube.soak").least_s, more=True),
    "soak most": Limit("most: 15 min", "step: tube.soak|soak: {most: {}}", lambda p: task(p, "tube.soak").most_s, more=False),
    "rinse": Limit("rinse: {least: 1 min}", "step: tube.rinse|rinse: {least: {}}", lambda p: task(p, "tube.rinse").least_s, more=True),
    "pressure": Limit("pressure: 20 psi", "step: tube.dry|dry: {pressure: {}}", lambda p: task(p, "tube.dry-pressure").window.most.base, more=False),
    "reading least": Limit("least: 5 psi", "step: rod.air|reading: {least: {}}", lambda p: task(p, "rod.air").window.least.base, more=True),
    "reading most": Limit("most: 20 psi}\n      - id: look", "step: rod.air|reading: {most: {}}", lambda p: task(p, "rod.air").window.most.base, more=False),
    "bath least": Limit("least: 30 °C", "bath: warm|temperature: {least: {}}", lambda p: p.bath("warm").temperature.least.base, more=True),
    "bath most": Limit("most: 40 °C", "bath: warm|temperature: {most: {}}", lambda p: p.bath("warm").temperature.most.base, more=False),
    "age": Limit("most_age: 4 h", "bath: warm|most_age: {}", lambda p: p.bath("warm").most_age_s, more=False),
    "uses": Limit("most_uses: 6", "bath: warm|most_uses: {}", lambda p: p.bath("warm").most_uses, more=False),
    "passes": Limit("passes: 3", "step: tube.brush|brush: {passes: {}}", lambda p: task(p, "tube.brush").least, more=True),
    "volume": Limit("volume: 60 mL", "step: tube.flush|flush: {volume: {}}", lambda p: task(p, "tube.flush").volume.base, more=True),
    "hold": Limit("hold: 30 s", "step: tube.leak|leak_test: {hold: {}}", lambda p: task(p, "tube.leak").judge.test.least_s, more=True),
    "drop": Limit("most_drop: 5 mmHg", "step: tube.leak|leak_test: {most_drop: {}}", lambda p: task(p, "tube.leak").judge.test.most_drop.base, more=False),
    "leak least": Limit("least: 150 mmHg", "step: tube.leak|leak_test: {least: {}}", lambda p: task(p, "tube.leak").judge.test.pressure.least.base, more=True),
    "leak most": Limit("most: 170 mmHg", "step: tube.leak|leak_test: {most: {}}", lambda p: task(p, "tube.leak-pressure").window.most.base, more=False),
    "light": Limit("below: 200 RLU", "step: tube.swab|test: {light: {below: {}}}", lambda p: task(p, "tube.swab").judge.meter.below.base, more=False),
    "share": Limit("limit: {least: 80 %", "step: tube.light|test: {limit: {least: {}}}", lambda p: task(p, "tube.light").judge.window.least.base, more=True),
    "arrival": Limit("within: 60 min", "arrival: {within: {}}", lambda p: task(p, "intake.elapsed").most_s, more=False),
    "rounds": Limit("most: 3}\n    steps", "component: tube|clean_again: {most: {}}", lambda p: p.component("tube").rounds.most, more=False),
    "until": Limit("until: 2027-01-05", "approval: {until: {}}", lambda p: p.approval.until, more=False),
}  # fmt: skip
TIMES = st.one_of(
    st.integers(1, 1500).map(lambda s: f"{s} s"), st.integers(1, 25).map(lambda m: f"{m} min")
)


def tenths(least: int, most: int, unit: str) -> st.SearchStrategy[str]:
    return st.integers(least, most).map(lambda n: f"{n // 10}.{n % 10} {unit}")


PRESSURES = st.one_of(tenths(1, 300, "psi"), tenths(1, 2000, "kPa"))
FIGURES = {
    "soak least": TIMES,
    "soak most": TIMES,
    "rinse": TIMES,
    "pressure": PRESSURES,
    # The other end of the sheet's window stays, so the unit does.
    "reading least": tenths(0, 300, "psi"),
    "reading most": tenths(0, 300, "psi"),
    "bath least": tenths(200, 500, "°C"),
    "bath most": tenths(200, 500, "°C"),
    "age": TIMES,
    "uses": st.integers(1, 12).map(str),
    "passes": st.integers(1, 12).map(str),
    "volume": st.one_of(tenths(1, 2000, "mL"), tenths(1, 60, "fl oz")),
    "hold": TIMES,
    "drop": st.one_of(tenths(0, 200, "mmHg"), tenths(0, 20, "kPa")),
    "leak least": tenths(1400, 1800, "mmHg"),
    "leak most": tenths(1400, 1800, "mmHg"),
    "light": st.integers(1, 400).map(lambda n: f"{n} RLU"),
    "share": tenths(500, 1000, "%"),
    "arrival": TIMES,
    "rounds": st.integers(1, 9).map(str),
    "until": st.integers(0, 700).map(lambda n: (ANY_DAY + timedelta(days=n)).isoformat()),
}
# What must hold within one procedure: the first is less than, or at most, the second.
PAIRS = [
    ("soak least", "soak most", True),
    ("reading least", "reading most", False),
    ("bath least", "bath most", False),
    ("leak least", "leak most", False),
]


def stated(name: str, figure: str, text: str) -> str:
    """The sheet with that figure for that limit."""
    old = LIMITS[name].sheet_text
    assert text.count(old) == 1, name
    written = MANY_FIGURES[name]
    return text.replace(old, old.replace(written, figure, 1))


MANY_FIGURES = {
    "soak least": "5 min", "soak most": "15 min", "rinse": "1 min", "pressure": "20 psi",
    "reading least": "5 psi", "reading most": "20 psi", "bath least": "30 °C",
    "bath most": "40 °C", "age": "4 h", "uses": "6", "passes": "3", "volume": "60 mL",
    "hold": "30 s", "drop": "5 mmHg", "leak least": "150 mmHg", "leak most": "170 mmHg",
    "light": "200 RLU", "share": "80 %", "arrival": "60 min", "rounds": "3",
    "until": "2027-01-05",
}  # fmt: skip


def value(figure: str) -> Any:
    """What a figure comes to: seconds, a day, a count, or a quantity in its base unit."""
    if figure.isdigit():
        return int(figure)
    if figure.endswith((" s", " min")):
        return duration(figure)
    return date.fromisoformat(figure) if figure.count("-") > 1 else parse(figure).base


def rule(name: str, figure: str) -> str:
    return change(*LIMITS[name].lines.replace("{}", figure).split("|"))


def is_soak(step: Any) -> bool:
    return isinstance(step.task, Dwell)


# Few at a time, so that many are all stricter.
SOME = st.lists(st.sampled_from(sorted(FIGURES)), min_size=1, max_size=4, unique=True).flatmap(
    lambda names: st.fixed_dictionaries({name: FIGURES[name] for name in names})
)


@settings(max_examples=200, deadline=None)
@given(of_sheet=SOME, of_policy=SOME)
def test_an_overlay_never_loosens(of_sheet: dict[str, str], of_policy: dict[str, str]) -> None:
    text = MANY.read_text(encoding="utf-8")
    for name, figure in of_sheet.items():
        text = stated(name, figure, text)
    try:
        plain = sheet.parse(text.encode(), "many.yaml")
    except SheetError:
        reject()  # a sheet with a window that is none
    rules = [rule(name, figure) for name, figure in of_policy.items()]
    alone = {name: value(figure) for name, figure in of_policy.items()}
    looser = {n for n in of_policy if LIMITS[n].looser(LIMITS[n].found(plain), alone[n])}
    try:
        done = lay(*rules, sheet=text).procedure
    except SheetError as error:
        lines = {finding.line for finding in error.findings}
        at = HEAD.count("\n")
        for name, one in zip(of_policy, rules, strict=True):
            end = at + one.count("\n")
            if name in looser:
                assert lines & set(range(at + 1, end + 1)), f"{name} was not told"
            at = end
        wanted = {n: alone.get(n, LIMITS[n].found(plain)) for n in LIMITS}
        empty = any(
            wanted[one] >= wanted[other] if strictly else wanted[one] > wanted[other]
            for one, other, strictly in PAIRS
        )
        # Ten soiled passes end a brushing where nothing else is stated.
        crossed = wanted["passes"] > task(plain, "tube.brush").most
        uncounted = -(-wanted["volume"] // Fraction(20)) > 99
        # A bath that may be used for less than a soak in it takes no such soak.
        outlasted = wanted["age"] < max(
            wanted["soak least"],
            *(s.task.least_s for c in plain.parts for s in c.steps if s.bath and is_soak(s)),
        )
        assert looser or empty or crossed or uncounted or outlasted, "refused without a reason"
        return
    event("laid")
    assert not looser, looser
    for name, limit in LIMITS.items():
        assert not limit.looser(limit.found(plain), limit.found(done)), name
        if name in alone:
            assert limit.found(done) == alone[name]
    assert task(done, "tube.brush").most == task(plain, "tube.brush").most


PRESSED = ("tube.leak", "tube.dry")
ANCHORS = ["tube.leak", "tube.rinse", "tube.soak", "tube.dry", "rod.rinse", "rod.wipe", "rod.look"]
MADE = ["intake.treated", "intake.count", "warm.fill", "warm.dose", "warm.temperature"]


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.sampled_from(["before", "after"]), st.sampled_from([*ANCHORS, *MADE])),
        min_size=1,
        max_size=6,
    ),
    st.lists(st.sampled_from(["tube.soak", "tube.leak", "rod.wipe", "warm.dose"]), max_size=3),
)
def test_additions_leave_every_step_of_the_sheet_in_its_place(
    added: list[tuple[str, str]], warned: list[str]
) -> None:
    rules = [
        change(f"{where}: {anchor}", f"steps: [{{id: new-{n}, say: New., short: new}}]")
        for n, (where, anchor) in enumerate(added)
    ]
    rules += [change(f"step: {step}", "cautions: [Look.]") for step in warned]
    laid = lay(*rules)
    old, new = laid.plain, laid.procedure
    before: dict[str, Step] = {s.id: s for c in old.components for s in c.steps}
    order = [s.id for c in new.components for s in c.steps]
    assert [one for one in order if one in before] == list(before)
    assert len(order) == len(before) + len(added)
    for n, (where, anchor) in enumerate(added):
        # A leak test begins with pumping up, a drying under pressure with its reading.
        first = f"{anchor}-pressure" if anchor in PRESSED and where == "before" else anchor
        there = order.index(f"{anchor.partition('.')[0]}.new-{n}")
        between = order[min(there, order.index(first)) + 1 : max(there, order.index(first))]
        assert (there < order.index(first)) is (where == "before")
        assert all(".new-" in one for one in between)
    for component in new.components:
        for step in component.steps:
            if step.id in before:
                was = before[step.id]
                assert step.cautions[: len(was.cautions)] == was.cautions
                assert (step.task, step.say, step.mandatory) == (was.task, was.say, was.mandatory)
                assert set(behind(new, step.id)) >= set(behind(old, step.id))
            assert step.id not in behind(new, step.id), "it waits for itself"


def behind(procedure: Procedure, wanted: str) -> set[str]:
    """All that comes before a step."""
    direct = {}
    for component in procedure.components:
        above: list[str] = []
        for step in component.steps:
            direct[step.id] = [*above, *step.needs]
            above = [step.id]
    found: set[str] = set()
    waiting = list(direct[wanted])
    while waiting:
        one = waiting.pop()
        if one not in found:
            found.add(one)
            waiting += direct[one]
    return found


@pytest.mark.parametrize("name", LIMITS)
def test_each_limit_of_the_law_is_in_the_sheet_once(name: str) -> None:
    text = MANY.read_text(encoding="utf-8")
    assert stated(name, MANY_FIGURES[name], text) == text

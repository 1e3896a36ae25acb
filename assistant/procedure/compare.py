"""Two procedures compared fact by fact: what came, went, moved, and which limit became stricter.

Every field of the model is compared, so that none can be forgotten; the table below
says of which fields more, or less, is stricter.  A limit that is not there binds
nothing, so that stating one is stricter.
"""

from __future__ import annotations

from dataclasses import dataclass, fields, is_dataclass
from difflib import SequenceMatcher
from enum import Enum, StrEnum, auto
from typing import TYPE_CHECKING, Any

from assistant.procedure.description import judge_text, task_lines
from assistant.procedure.model import (
    Approval,
    Bath,
    Caution,
    Component,
    CountTask,
    Dwell,
    ElapsedTask,
    Item,
    Judge,
    LeakJudge,
    LotTask,
    Procedure,
    Role,
    Rounds,
    Step,
    TallyTask,
    Task,
)
from assistant.procedure.quantity import Quantity, Window, duration_text
from assistant.trade.bath import Ratio
from assistant.trade.leak import LeakTest
from assistant.trade.residue import Meter

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

_Fact = Any  # a field of the model, of any kind


class Verdict(StrEnum):
    """What became of a fact."""

    TIGHTER = "tighter"
    LOOSER = "looser"
    CHANGED = "changed"
    ADDED = "added"
    REMOVED = "removed"
    MOVED = "moved"


class Stricter(Enum):
    """Which way a limit is strict."""

    MORE = auto()
    LESS = auto()


@dataclass(frozen=True, slots=True)
class Change:
    """One fact that differs.

    Attributes:
        where: id of the step, track or bath; "" for the procedure itself.
        what: the fact ("least", "caution", "say").
        old: as shown; "" for what was not there.
        new: as shown; "" for what is not there.
        verdict: what became of it.
        stricter: which way it is strict; None for what is no limit.
    """

    where: str
    what: str
    old: str
    new: str
    verdict: Verdict
    stricter: Stricter | None = None


NONE = "none"
_STRICTER: dict[tuple[type, str], Stricter] = {
    (Dwell, "least_s"): Stricter.MORE,
    (Dwell, "most_s"): Stricter.LESS,
    (Window, "least"): Stricter.MORE,
    (Window, "most"): Stricter.LESS,
    (ElapsedTask, "most_s"): Stricter.LESS,
    (LotTask, "least_signs"): Stricter.MORE,
    (LotTask, "most_signs"): Stricter.LESS,
    (TallyTask, "least"): Stricter.MORE,
    (TallyTask, "most"): Stricter.LESS,
    (TallyTask, "volume"): Stricter.MORE,
    (LeakTest, "most_drop"): Stricter.LESS,
    (Meter, "below"): Stricter.LESS,
    (Bath, "most_age_s"): Stricter.LESS,
    (Bath, "most_uses"): Stricter.LESS,
    (Rounds, "most"): Stricter.LESS,
    (Approval, "until"): Stricter.LESS,
    (Step, "mandatory"): Stricter.MORE,
}
# Ids are what is compared by, workings and origins follow from the rest, and a leak
# test's window and hold are told at the steps that pump up and hold.
_NOT_COMPARED = {
    (Procedure, "baths"),
    (Procedure, "components"),
    (Bath, "id"),
    (Bath, "working"),
    (Component, "id"),
    (Component, "steps"),
    (Component, "role"),
    (Step, "id"),
    (Step, "working"),
    (Step, "origin"),
    (LeakJudge, "start"),
    (LeakJudge, "hold"),
    (LeakTest, "pressure"),
    (LeakTest, "least_s"),
}
# Fields whose names say nothing to a reader of a sheet.
_UNNAMED = {"task", "window", "judge", "test", "meter"}
_SINGLE = {
    "hazards": "hazard",
    "cautions": "caution",
    "needs": "need",
    "codes": "code",
    "adapters": "adapter",
    "also": "other name",
    "items": "item",
}


def compare(old: Procedure, new: Procedure) -> list[Change]:
    """Everything that differs, in the order of the new procedure."""
    found = list(_facts("", (), old, new))
    found += _ones("bath", [(b.id, b.name) for b in old.baths], [(b.id, b.name) for b in new.baths])
    known_baths = {bath.id: bath for bath in old.baths}
    for bath in new.baths:
        if bath.id in known_baths:
            found += _facts(bath.id, (), known_baths[bath.id], bath)
    found += _ones("track", _named(old.components), _named(new.components))
    known = {component.id: component for component in old.components}
    for component in new.components:
        if component.id in known:
            found += _tracks(known[component.id], component)
    return found


def stated(changes: Iterable[Change], *procedures: Procedure) -> list[Change]:
    """The changes without those that only follow from others.

    The opening repeats hazards and equipment, the count the parts, and the track of a
    bath its figures; what waits for all these waits for them in every procedure.
    """
    tracks = [track for procedure in procedures for track in procedure.components]
    made = {step.id for track in tracks if track.role is Role.BATH for step in track.steps}
    waited = {step.id for track in tracks if track.role is not Role.PART for step in track.steps}
    for track in tracks:
        if track.role is Role.INTAKE:
            made.add(track.steps[0].id)
            made |= {step.id for step in track.steps if isinstance(step.task, CountTask)}
    return [
        change
        for change in changes
        if change.where not in made
        and not (change.what == "need" and (change.old or change.new) in waited)
    ]


def told(changes: Iterable[Change]) -> Iterator[str]:
    """The changes as lines of text, those of one step, track or bath together."""
    place = None
    for change in changes:
        if change.where != place:
            place = change.where
            yield place or "the procedure"
        match change.verdict:
            case Verdict.ADDED:
                yield f"  {change.what} added: {change.new}"
            case Verdict.REMOVED:
                yield f"  {change.what} removed: {change.old}"
            case _:
                yield f"  {change.what}: {change.old} -> {change.new} ({change.verdict})"


def _named(components: Iterable[Component]) -> list[tuple[str, str]]:
    return [(component.id, component.name) for component in components]


def _tracks(old: Component, new: Component) -> Iterator[Change]:
    yield from _facts(new.id, (), old, new)
    yield from _ones("step", [(s.id, s.say) for s in old.steps], [(s.id, s.say) for s in new.steps])
    known = {step.id: step for step in old.steps}
    for step in new.steps:
        if step.id in known:
            yield from _facts(step.id, (), known[step.id], step)


def _ones(what: str, old: list[tuple[str, str]], new: list[tuple[str, str]]) -> Iterator[Change]:
    """What came, went or changed its place, of things that have an id and a text."""
    before, after = dict(old), dict(new)
    for identifier, text in old:
        if identifier not in after:
            yield Change(identifier, what, text, "", Verdict.REMOVED)
    was = [identifier for identifier, _ in old if identifier in after]
    now = [identifier for identifier, _ in new if identifier in before]
    blocks = SequenceMatcher(None, was, now, autojunk=False).get_matching_blocks()
    stayed = {identifier for block in blocks for identifier in now[block.b : block.b + block.size]}
    for index, (identifier, text) in enumerate(new):
        if identifier not in before:
            yield Change(identifier, what, "", text, Verdict.ADDED)
        elif identifier not in stayed:
            yield Change(
                identifier,
                what,
                _after([one for one, _ in old], identifier),
                f"after {new[index - 1][0]}" if index else "first",
                Verdict.MOVED,
            )


def _after(ids: list[str], identifier: str) -> str:
    index = ids.index(identifier)
    return f"after {ids[index - 1]}" if index else "first"


def _facts(where: str, path: tuple[str, ...], old: _Fact, new: _Fact) -> Iterator[Change]:
    """What differs between two facts of one kind, field by field."""
    kind = type(new)
    for field in fields(new):
        if (kind, field.name) not in _NOT_COMPARED:
            was, now = getattr(old, field.name), getattr(new, field.name)
            yield from _fact(
                where, (*path, field.name), was, now, _STRICTER.get((kind, field.name))
            )


def _fact(
    where: str,
    path: tuple[str, ...],
    old: _Fact,
    new: _Fact,
    stricter: Stricter | None,
) -> Iterator[Change]:
    if old == new:
        return
    nested = is_dataclass(new) and not isinstance(new, (Quantity, Ratio))
    if nested and type(old) is type(new):
        yield from _facts(where, path, old, new)
        return
    listed = isinstance(old, (tuple, frozenset)) and isinstance(new, (tuple, frozenset))
    if listed and not any(
        is_dataclass(item) and not isinstance(item, (Caution, Item)) for item in (*old, *new)
    ):
        yield from _lists(where, path[-1], _texts(old), _texts(new))
        return
    words = [word for word in path if word not in _UNNAMED] or [path[-1]]
    what = ".".join(word.removesuffix("_s") for word in words)
    timed = path[-1].endswith("_s")
    verdict = Verdict.CHANGED if stricter is None else _verdict(old, new, stricter)
    if verdict is not None:
        yield Change(where, what, text(old, timed), text(new, timed), verdict, stricter)


def _lists(where: str, name: str, old: list[str], new: list[str]) -> Iterator[Change]:
    what = _SINGLE.get(name, name.replace("_", " "))
    for item in old:
        if item not in new:
            yield Change(where, what, item, "", Verdict.REMOVED)
    for item in new:
        if item not in old:
            yield Change(where, what, "", item, Verdict.ADDED)
    if old != new and sorted(old) == sorted(new):
        yield Change(where, what, ", ".join(old), ", ".join(new), Verdict.MOVED)


def _texts(items: Iterable[object]) -> list[str]:
    found = [text(item) for item in items]
    return sorted(found) if isinstance(items, frozenset) else found


def _verdict(old: _Fact, new: _Fact, stricter: Stricter) -> Verdict | None:
    """Whether the new limit is stricter; None where it is the same in another unit."""
    if old is None or new is None:
        return Verdict.TIGHTER if old is None else Verdict.LOOSER
    if isinstance(old, Quantity):
        if old.unit.dimension is not new.unit.dimension:
            return Verdict.CHANGED
        old, new = old.base, new.base
    if old == new:
        return None
    return Verdict.TIGHTER if (new > old) is (stricter is Stricter.MORE) else Verdict.LOOSER


def text(fact: object, timed: bool = False) -> str:
    """A fact as shown.

    Args:
        fact: of any kind in the model.
        timed: whether a number is one of seconds.
    """
    if fact is None:
        return NONE
    if isinstance(fact, Task):
        return "; ".join(task_lines(fact)) or "work of the hands"
    if isinstance(fact, Judge):
        return judge_text(fact)
    if isinstance(fact, bool):
        return "yes" if fact else "no"
    if isinstance(fact, int) and timed:
        return duration_text(fact)
    if isinstance(fact, Caution):
        return fact.text
    if isinstance(fact, Item):
        return f"{fact.count} {fact.name}"
    if isinstance(fact, (tuple, frozenset)):
        return ", ".join(_texts(fact)) or NONE
    if is_dataclass(fact) and not isinstance(fact, (Quantity, Ratio, Window)):
        parts = (
            f"{field.name.removesuffix('_s').replace('_', ' ')} "
            f"{text(getattr(fact, field.name), field.name.endswith('_s'))}"
            for field in fields(fact)
        )
        return ", ".join(parts)
    return str(fact)

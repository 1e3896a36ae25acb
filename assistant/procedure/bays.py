"""Which bay of the sink each use of water is laid into, with the fewest changes.

A station has bays and taps.  A procedure uses water again and again: a first
rinse with utility water, detergent baths, a rinse with utility water, a final
rinse with treated water.  The order of the uses is free where neither a track
nor a need ties them, so the uses that suit a bay are drawn together.  A bath is
held from its preparation to its last use.

The rules, all common practice, no source:

- running water needs an empty bay with a drain, or a tap over a drain of its own;
- a bay goes on to something cleaner (first rinse, bath, rinse, final rinse)
  only after it is wiped; to something less clean it goes on as it is;
- soiled work lies in the first bays, clean work in the last ones: a two-bay
  sink is so worked that it resembles three.
"""

from __future__ import annotations

import heapq
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

from assistant.procedure.model import Dwell, DwellKind
from assistant.procedure.water_use import Purpose, Use, Water

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from assistant.procedure.model import Procedure, Step
    from assistant.procedure.quantity import Quantity


@dataclass(frozen=True, slots=True)
class Bay:
    """One bay of the sink.

    Attributes:
        name: as spoken ("bay one").
        volume: what it holds; None where nobody measured it.
        drains: whether it can be drained.
    """

    name: str
    volume: Quantity | None = None
    drains: bool = True


@dataclass(frozen=True, slots=True)
class Tap:
    """A source of water.

    Attributes:
        water: what it gives.
        apart: whether it runs over a drain of its own, so that it needs no bay.
        runs: False where the water comes in containers and can only fill a bay.
    """

    water: Water
    apart: bool = False
    runs: bool = True


@dataclass(frozen=True, slots=True)
class Station:
    """Where the work is done: bays from the soiled side to the clean one, and taps."""

    bays: tuple[Bay, ...]
    taps: tuple[Tap, ...]


class Change(StrEnum):
    """What is done to a bay before its next use."""

    DRAIN = "drain"
    WIPE = "wipe"
    FILL = "fill"


@dataclass(frozen=True, slots=True)
class Turn:
    """One step's use of water, and what its bay needs before it.

    Attributes:
        step: the step's id.
        short: its cue, as spoken.
        use: what it does with water.
        bay: the bay's name; "" for a tap with a drain of its own.
        changes: in order.
        content: "with treated water", "for the detergent bath"; "" for an empty bay.
    """

    step: str
    short: str
    use: Use
    bay: str
    changes: tuple[Change, ...]
    content: str = ""


@dataclass(frozen=True, slots=True)
class Plan:
    """Every use in an order that the bays allow.

    Attributes:
        turns: in order.
        changes: how often a used bay is given another use.
    """

    turns: tuple[Turn, ...]
    changes: int


@dataclass(frozen=True, slots=True)
class Impossible:
    """Why the uses cannot be laid out, in sentences for speaking; never empty."""

    reasons: tuple[str, ...]


def uses_of(procedure: Procedure, stated: Mapping[str, Use] | None = None) -> dict[str, Use]:
    """The use of water of each step that has one, by step id.

    What the model tells: a dwell in a bath uses it; a timed rinse before the
    first bath of its track is a first rinse; the last one after the last bath
    is the final rinse, any other a rinse.

    Args:
        procedure: whose steps.
        stated: what the model does not tell (the preparation of a bath, rinses
            and baths that are no dwells); it goes before what the model tells.
    """
    stated = stated or {}
    uses: dict[str, Use] = {}
    for component in procedure.components:
        for step in component.steps:
            use = stated.get(step.id)
            if use is None and isinstance(step.task, Dwell) and step.task.bath is not None:
                use = Use(Purpose.BATH, step.task.bath)
            if use is not None:
                uses[step.id] = use
        rinses = [step.id for step in component.steps if _is_rinse(step) and step.id not in stated]
        places = [step.id for step in component.steps]
        baths = [n for n, name in enumerate(places) if name in uses and uses[name].bath]
        for name in rinses:
            first = bool(baths) and places.index(name) < baths[0]
            last = name == rinses[-1] and (not baths or places.index(name) > baths[-1])
            purpose = Purpose.FINAL_RINSE if last else Purpose.RINSE
            uses[name] = Use(Purpose.FIRST_RINSE if first else purpose)
    return uses


def _is_rinse(step: Step) -> bool:
    return isinstance(step.task, Dwell) and step.task.kind is DwellKind.RINSE


def lay_out(
    station: Station, procedure: Procedure, uses: Mapping[str, Use] | None = None
) -> Plan | Impossible:
    """The plan with the fewest changes of a bay's use, or why there is none.

    Args:
        station: bays and taps.
        procedure: checked, so that no step waits for itself.
        uses: by step id; ``uses_of(procedure)`` where None.
    """
    uses = uses_of(procedure) if uses is None else uses
    lacking = tuple(_lacking(station, procedure, uses))
    return Impossible(lacking) if lacking else _Search(station, procedure, uses).run()


def describe(plan: Plan | Impossible) -> tuple[str, ...]:
    """The plan in sentences, as shown and spoken; the reasons where there is none."""
    if isinstance(plan, Impossible):
        return plan.reasons
    return tuple(_sentences(plan))


def _sentences(plan: Plan) -> Iterator[str]:
    for turn in plan.turns:
        for change in turn.changes:
            filled = f" {turn.content}" if change is Change.FILL else ""
            yield f"{change.capitalize()} {turn.bay}{filled}."
        if turn.use.purpose is not Purpose.PREPARE:
            place = f"in {turn.bay}" if turn.bay else f"at the {turn.use.purpose.water} water tap"
            yield f"{turn.short[:1].upper()}{turn.short[1:]}, {place}."


def _lacking(station: Station, procedure: Procedure, uses: Mapping[str, Use]) -> Iterator[str]:
    """What no order of the uses can mend."""
    for water in Water:
        taps = [tap for tap in station.taps if tap.water is water]
        wanting = [name for name, use in uses.items() if use.purpose.water is water]
        if wanting and not taps:
            step = _short(procedure, wanting[0])
            yield f'"{step}" takes {water} water, and the station has no tap for it.'
    for bath in procedure.baths:
        room = [b.volume is None or b.volume.base >= bath.volume.base for b in station.bays]
        if not any(room) and any(use.bath == bath.id for use in uses.values()):
            yield f"The {bath.name} takes {bath.volume.rounded()}, and no bay holds as much."
    known = {bath.id for bath in procedure.baths}
    for name, use in uses.items():
        if (use.purpose in (Purpose.PREPARE, Purpose.BATH)) is not (use.bath in known):
            yield f'"{_short(procedure, name)}" names no bath of the procedure.'


def _short(procedure: Procedure, step_id: str) -> str:
    return next(s.short for c in procedure.components for s in c.steps if s.id == step_id)


@dataclass(frozen=True, slots=True, order=True)
class _Basin:
    """What a bay is at a moment.

    Attributes:
        content: "" empty, else a bath's id or a water.
        soil: the least clean purpose since it was wiped; beyond all where none.
    """

    content: str = ""
    soil: int = len(Purpose)


@dataclass(frozen=True, slots=True, order=True)
class _Now:
    """How many uses of each track are behind, and what the bays are."""

    done: tuple[int, ...]
    basins: tuple[_Basin, ...]


# Changes of use, single acts, and how far from their side of the sink the uses lie.
_Cost = tuple[int, int, int]


class _Search:
    """Dijkstra's search over what is done and what the bays are: exact, and small."""

    def __init__(self, station: Station, procedure: Procedure, uses: Mapping[str, Use]) -> None:
        self.station, self.uses = station, uses
        self.steps = {s.id: s for c in procedure.components for s in c.steps}
        self.tracks = [[s.id for s in c.steps if s.id in uses] for c in procedure.components]
        self.before = _before(procedure)
        self.baths = {bath.id: bath for bath in procedure.baths}

    def run(self) -> Plan | Impossible:
        """The cheapest plan, or what stops the way that came furthest."""
        start = _Now((0,) * len(self.tracks), (_Basin(),) * len(self.station.bays))
        cost: dict[_Now, _Cost] = {start: (0, 0, 0)}
        came: dict[_Now, tuple[_Now, Turn]] = {}
        waiting = [((0, 0, 0), start)]
        furthest = start
        while waiting:
            spent, now = heapq.heappop(waiting)
            if spent > cost[now]:
                continue
            if sum(now.done) > sum(furthest.done):
                furthest = now
            if sum(now.done) == len(self.uses):
                return Plan(self._way(came, now), spent[0])
            for extra, after, turn in self._onward(now):
                total = (spent[0] + extra[0], spent[1] + extra[1], spent[2] + extra[2])
                if after not in cost or total < cost[after]:
                    cost[after], came[after] = total, (now, turn)
                    heapq.heappush(waiting, (total, after))
        return Impossible(tuple(self._stopped(furthest)))

    @staticmethod
    def _way(came: Mapping[_Now, tuple[_Now, Turn]], now: _Now) -> tuple[Turn, ...]:
        turns = []
        while now in came:
            now, turn = came[now]
            turns.append(turn)
        return tuple(reversed(turns))

    def _may_follow(self, now: _Now) -> Iterator[tuple[int, str]]:
        """The uses whose turn it can be, with their tracks."""
        behind = self._behind(now)
        for track, (names, count) in enumerate(zip(self.tracks, now.done, strict=True)):
            if count < len(names) and not ((self.before[names[count]] & self.uses.keys()) - behind):
                yield track, names[count]

    def _behind(self, now: _Now) -> set[str]:
        return {
            name
            for names, count in zip(self.tracks, now.done, strict=True)
            for name in names[:count]
        }

    def _onward(self, now: _Now) -> Iterable[tuple[_Cost, _Now, Turn]]:
        """The turns that can follow; one alone where it costs and alters nothing.

        To take such a turn at once is never worse: what its use would change
        later, the next use of that bay changes instead.
        """
        found = []
        for track, name in self._may_follow(now):
            for onward in self._turns(now, track, name):
                if onward[0][:2] == (0, 0) and onward[1].basins == now.basins:
                    return (onward,)
                found.append(onward)
        return found

    def _turns(self, now: _Now, track: int, name: str) -> Iterator[tuple[_Cost, _Now, Turn]]:
        """The ways to lay one use, with what each costs and leaves."""
        done = (*now.done[:track], now.done[track] + 1, *now.done[track + 1 :])
        use, short = self.uses[name], self.steps[name].short
        if self._apart(use):
            yield (0, 0, 0), replace(now, done=done), Turn(name, short, use, "", ())
            return
        for place, bay in enumerate(self.station.bays):
            made = self._made(now, place, use)
            if isinstance(made, str):
                continue
            changes, basin = made
            basins = (*now.basins[:place], basin, *now.basins[place + 1 :])
            turned = Change.DRAIN in changes or Change.WIPE in changes
            dirty = use.purpose < Purpose.RINSE
            side = place if dirty else len(self.station.bays) - 1 - place
            turn = Turn(name, short, use, bay.name, changes, self._filling(basin.content))
            yield (int(turned), len(changes), side), _Now(done, basins), turn

    def _apart(self, use: Use) -> bool:
        water = use.purpose.water
        return (
            not use.bath
            and not use.standing
            and any(tap.apart and tap.runs and tap.water is water for tap in self.station.taps)
        )

    def _made(self, now: _Now, place: int, use: Use) -> tuple[tuple[Change, ...], _Basin] | str:
        """How the bay is made ready and what it is then; a sentence where it cannot be."""
        bay, basin = self.station.bays[place], now.basins[place]
        wanted = self._wanted(use)
        soil = min(basin.soil, Purpose.BATH if use.bath else use.purpose)
        if use.bath and any(b.content == use.bath for b in now.basins):
            if basin.content == use.bath:
                return (), replace(basin, soil=soil)
            return f"{bay.name} is not where the {self._said(use.bath)} is"
        held = self._held(now, basin.content)
        if held:
            return (
                f"{bay.name} is held by the {self._said(basin.content)}, "
                f'which "{self.steps[held].short}" still needs'
            )
        volume = self.baths[use.bath].volume if use.bath else None
        if volume is not None and bay.volume is not None and bay.volume.base < volume.base:
            return f"{bay.name} is too small for the {self._said(use.bath)}"
        wipe = basin.soil < use.purpose
        drain = bool(basin.content) and (wipe or basin.content != wanted)
        fill = bool(wanted) and (drain or wipe or basin.content != wanted)
        if (drain or not wanted) and not bay.drains:
            return f"{bay.name} cannot be drained"
        if wipe:
            soil = Purpose.BATH if use.bath else use.purpose
        acts = ((drain, Change.DRAIN), (wipe, Change.WIPE), (fill, Change.FILL))
        return tuple(change for wants, change in acts if wants), _Basin(wanted, soil)

    def _wanted(self, use: Use) -> str:
        """What the bay must be filled with; "" for running water."""
        if use.bath:
            return use.bath
        water = use.purpose.water
        running = any(tap.runs and tap.water is water for tap in self.station.taps)
        return "" if running and not use.standing else water

    def _held(self, now: _Now, content: str) -> str:
        """The use that a bath still waits for; "" where none does."""
        behind = self._behind(now)
        names = (name for names in self.tracks for name in names)
        left = [n for n in names if self.uses[n].bath == content and n not in behind]
        return left[-1] if content and left else ""

    def _said(self, content: str) -> str:
        if content in self.baths:
            return self.baths[content].name
        return f"{content} water" if content else ""

    def _filling(self, content: str) -> str:
        link = "for the" if content in self.baths else "with"
        return f"{link} {self._said(content)}" if content else ""

    def _stopped(self, now: _Now) -> Iterator[str]:
        """Why no use can follow."""
        for _, name in self._may_follow(now):
            why = [self._made(now, place, self.uses[name]) for place in range(len(now.basins))]
            reasons = [reason for reason in why if isinstance(reason, str)]
            kind = self.uses[name].purpose.name.lower().replace("_", " ")
            told = ", and ".join(reasons) or "the station has no bay"
            yield f'"{self.steps[name].short}" ({kind}) has no bay: {told}.'


def _before(procedure: Procedure) -> dict[str, frozenset[str]]:
    """For each step all that must be behind it, through its track and its needs."""
    direct: dict[str, list[str]] = {}
    for component in procedure.components:
        above: list[str] = []
        for step in component.steps:
            direct[step.id] = [*above, *step.needs]
            above = [step.id]
    return {step: _closure(step, direct) for step in direct}


def _closure(step: str, direct: Mapping[str, Iterable[str]]) -> frozenset[str]:
    seen: set[str] = set()
    waiting = list(direct[step])
    while waiting:
        earlier = waiting.pop()
        if earlier not in seen:
            seen.add(earlier)
            waiting += direct[earlier]
    return frozenset(seen)

"""Which bay of the sink each use of water is laid into, with the fewest changes.

A station has bays and taps.  A procedure uses water again and again: a first
rinse with utility water, detergent baths, a rinse with utility water, a final
rinse with treated water.  The order of the uses is free where neither a track
nor a need ties them, so the uses that suit a bay are drawn together.  A bath is
held from its preparation to its last use.

The rules, all common practice, no source: those of a bay (``basin``), and

- running water needs an empty bay with a drain, or a tap over a drain of its own;
- soiled work lies in the first bays, clean work in the last ones: a two-bay
  sink is so worked that it resembles three.
"""

from __future__ import annotations

import heapq
from enum import StrEnum
from itertools import count
from typing import TYPE_CHECKING, NamedTuple

from assistant.procedure.basin import Basin, Change
from assistant.procedure.bay_plan import Impossible, Plan, Turn
from assistant.procedure.uses import uses_of
from assistant.procedure.water_use import Purpose, Water

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from assistant.procedure.model import Procedure
    from assistant.procedure.station import Station
    from assistant.procedure.water_use import Use

# Ways to lay a use that are looked at before an exact search is given up: about 1 s.
MOST_WAYS = 120_000
# States kept at each use by the search after that: about 2 s for 100 uses.
_KEPT = 60


def lay_out(
    station: Station, procedure: Procedure, uses: Mapping[str, Use] | None = None
) -> Plan | Impossible:
    """The plan with the fewest changes of a bay's use, or why there is none.

    Args:
        station: bays and taps; at the beginning every bay is empty and clean.
        procedure: checked, so that no step waits for itself.
        uses: by step id; ``uses_of(procedure)`` where None.
    """
    uses = uses_of(procedure) if uses is None else uses
    lacking = tuple(_lacking(station, procedure, uses))
    return Impossible(lacking) if lacking else _Search(station, procedure, uses).run()


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


class _Why(StrEnum):
    """Why a bay cannot take a use."""

    ELSEWHERE = "{bay} is not where the {wanted} is"
    HELD = '{bay} is held by the {content}, which "{holder}" still needs'
    SMALL = "{bay} is too small for the {wanted}"
    NO_DRAIN = "{bay} cannot be drained"


# Named tuples, for a search hashes and compares them a hundred thousand times.
class _Now(NamedTuple):
    """How many uses of each track are behind, and what the bays are."""

    done: tuple[int, ...]
    basins: tuple[Basin, ...]


class _Laid(NamedTuple):
    """One use laid.

    Attributes:
        name: its step.
        place: of its bay among the bays; -1 for a tap with a drain of its own.
        changes: what is done to the bay before.
    """

    name: str
    place: int
    changes: tuple[Change, ...]


# Changes of use, single acts, how far first rinses lie from the soiled end of the sink, and
# how far all else lies from its own end.
_Cost = tuple[int, int, int, int]
_FREE: _Cost = (0, 0, 0, 0)
_Onward = tuple[_Cost, _Now, _Laid]
# For each state the one before it, and the use between them.
_Came = dict[_Now, tuple[_Now, _Laid]]


class _Search:
    """The cheapest way through what is done and what the bays are.

    Dijkstra's search is exact, and small for a procedure and a sink.  Where it is not
    small, the best states after each use are followed instead.
    """

    def __init__(self, station: Station, procedure: Procedure, uses: Mapping[str, Use]) -> None:
        self.station, self.uses = station, uses
        self.shorts = {s.id: s.short for c in procedure.components for s in c.steps}
        tracks = [tuple(s.id for s in c.steps if s.id in uses) for c in procedure.components]
        self.tracks = [names for names in tracks if names]
        self.baths = {bath.id: bath for bath in procedure.baths}
        self.waits = self._waits(_before(procedure))
        self.apart = {name: self._apart(use) for name, use in uses.items()}
        self.wanted = {name: self._wanted(use) for name, use in uses.items()}
        self.held_until = {bath: self._reached(self._of(bath)) for bath in self.baths}
        self.start = _Now((0,) * len(self.tracks), (Basin(),) * len(station.bays))
        self.furthest = self.start

    def run(self) -> Plan | Impossible:
        """The cheapest plan found, or what stops the way that came furthest."""
        return self._exact() or self._followed()

    def _exact(self) -> Plan | Impossible | None:
        """The cheapest plan, or that there is none; None where that is too much to look at."""
        cost: dict[_Now, _Cost] = {self.start: _FREE}
        came: _Came = {}
        numbers = count()  # of equal costs the first comes first
        waiting = [(_FREE, next(numbers), self.start)]
        looked = 0
        while waiting and looked < MOST_WAYS:
            spent, _, now = heapq.heappop(waiting)
            if spent > cost[now]:
                continue
            self._note(now)
            if self._finished(now):
                return self._plan(came, now, spent, proven=True)
            for extra, after, laid in self._onward(now):
                looked += 1
                total = _sum(spent, extra)
                if after not in cost or total < cost[after]:
                    cost[after], came[after] = total, (now, laid)
                    heapq.heappush(waiting, (total, next(numbers), after))
        return None if waiting else Impossible(tuple(self._stopped()))

    def _followed(self) -> Plan | Impossible:
        """A good plan: the cheapest states with as many uses behind are followed, use by use."""
        came: _Came = {}
        level = {self.start: _FREE}
        while level:
            best = heapq.nsmallest(_KEPT, level.items(), key=lambda item: item[1])
            level = {}
            for now, spent in best:
                self._note(now)
                if self._finished(now):
                    return self._plan(came, now, spent, proven=False)
                for extra, after, laid in self._onward(now):
                    total = _sum(spent, extra)
                    if after not in level or total < level[after]:
                        level[after], came[after] = total, (now, laid)
        more = "There are too many orders to look at all of them."
        return Impossible((*self._stopped(), more))

    def _finished(self, now: _Now) -> bool:
        return sum(now.done) == len(self.uses)

    def _note(self, now: _Now) -> None:
        if sum(now.done) > sum(self.furthest.done):
            self.furthest = now

    def _plan(self, came: _Came, now: _Now, spent: _Cost, *, proven: bool) -> Plan:
        way = []
        while now in came:
            now, laid = came[now]
            way.append(laid)
        return Plan(tuple(self._turn(laid) for laid in reversed(way)), spent[0], proven)

    def _turn(self, laid: _Laid) -> Turn:
        use = self.uses[laid.name]
        bay = self.station.bays[laid.place].name if laid.place >= 0 else ""
        content = self.wanted[laid.name] if bay else ""
        link = "for the" if use.bath else "with"
        filling = f"{link} {self._said(content)}" if content else ""
        return Turn(laid.name, self.shorts[laid.name], use, bay, laid.changes, filling, content)

    def _reached(self, names: Iterable[str]) -> tuple[tuple[int, int], ...]:
        """For each track of those uses how many must be behind so that they are."""
        counts: dict[int, int] = {}
        wanted = set(names)
        for track, own in enumerate(self.tracks):
            for place, name in enumerate(own, start=1):
                if name in wanted:
                    counts[track] = place
        return tuple(counts.items())

    def _waits(
        self, before: Mapping[str, frozenset[str]]
    ) -> dict[str, tuple[tuple[int, int], ...]]:
        return {name: self._reached(before[name] & self.uses.keys()) for name in self.uses}

    def _of(self, bath: str) -> Iterator[str]:
        return (name for name, use in self.uses.items() if use.bath == bath)

    def _may_follow(self, now: _Now) -> Iterator[tuple[int, str]]:
        """The uses whose turn it can be, with their tracks."""
        for track, (names, behind) in enumerate(zip(self.tracks, now.done, strict=True)):
            if behind < len(names):
                name = names[behind]
                if all(now.done[other] >= least for other, least in self.waits[name]):
                    yield track, name

    def _onward(self, now: _Now) -> Iterable[_Onward]:
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

    def _turns(self, now: _Now, track: int, name: str) -> Iterator[_Onward]:
        """The ways to lay one use, with what each costs and leaves."""
        done = (*now.done[:track], now.done[track] + 1, *now.done[track + 1 :])
        use = self.uses[name]
        if self.apart[name]:
            yield _FREE, _Now(done, now.basins), _Laid(name, -1, ())
            return
        last = len(self.station.bays) - 1
        for place in range(last + 1):
            made = self._made(now, place, name)
            if isinstance(made, _Why):
                continue
            changes, basin = made
            basins = (*now.basins[:place], basin, *now.basins[place + 1 :])
            turned = int(Change.DRAIN in changes or Change.WIPE in changes)
            if use.purpose is Purpose.FIRST_RINSE:
                cost = (turned, len(changes), place, 0)
            else:
                cost = (turned, len(changes), 0, place if use.bath else last - place)
            yield cost, _Now(done, basins), _Laid(name, place, changes)

    def _apart(self, use: Use) -> bool:
        water = use.purpose.water
        return (
            not use.bath
            and not use.standing
            and any(tap.apart and tap.runs and tap.water is water for tap in self.station.taps)
        )

    def _made(self, now: _Now, place: int, name: str) -> tuple[tuple[Change, ...], Basin] | _Why:
        """How the bay is made ready and what it is then; why it cannot be."""
        bay, basin = self.station.bays[place], now.basins[place]
        use, wanted = self.uses[name], self.wanted[name]
        if not wanted and not bay.drains:
            return _Why.NO_DRAIN  # whatever it holds
        if use.bath and any(b.content == use.bath for b in now.basins):
            if basin.content == use.bath:
                return (), basin.used(use.purpose, wanted)
            return _Why.ELSEWHERE
        held = self.held_until.get(basin.content, ())
        if any(now.done[track] < least for track, least in held):
            return _Why.HELD
        volume = self.baths[use.bath].volume if use.bath else None
        if volume is not None and bay.volume is not None and bay.volume.base < volume.base:
            return _Why.SMALL
        changes = basin.changes(use.purpose, wanted)
        if Change.DRAIN in changes and not bay.drains:
            return _Why.NO_DRAIN
        return changes, basin.changed(changes, wanted).used(use.purpose, wanted)

    def _wanted(self, use: Use) -> str:
        """What the bay must be filled with; "" for running water."""
        if use.bath:
            return use.bath
        water = use.purpose.water
        running = any(tap.runs and tap.water is water for tap in self.station.taps)
        # With a space, as no bath's id has one.
        return "" if running and not use.standing else f"{water} water"

    def _holder(self, bath: str) -> str:
        """The cue of the last use that a bath still waits for; "" where there is none."""
        behind = zip(self.tracks, self.furthest.done, strict=True)
        done = {name for names, number in behind for name in names[:number]}
        left = [self.shorts[name] for name in self._of(bath) if bath and name not in done]
        return left[-1] if left else ""

    def _said(self, content: str) -> str:
        return self.baths[content].name if content in self.baths else content

    def _stopped(self) -> Iterator[str]:
        """Why no use can follow where the search came furthest."""
        for _, name in self._may_follow(self.furthest):
            reasons = (self._reason(place, name) for place in range(len(self.station.bays)))
            told = ", and ".join(filter(None, reasons)) or "the station has no bay"
            kind = self.uses[name].purpose.name.lower().replace("_", " ")
            yield f'"{self.shorts[name]}" ({kind}) has no bay: {told}.'

    def _reason(self, place: int, name: str) -> str:
        """Why a bay cannot take a use where the search came furthest; "" where it can."""
        why = self._made(self.furthest, place, name)
        if not isinstance(why, _Why):
            return ""
        content = self.furthest.basins[place].content
        return why.format(
            bay=self.station.bays[place].name,
            wanted=self._said(self.wanted[name]),
            content=self._said(content),
            holder=self._holder(content),
        )


def _sum(one: _Cost, other: _Cost) -> _Cost:
    return (one[0] + other[0], one[1] + other[1], one[2] + other[2], one[3] + other[3])


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

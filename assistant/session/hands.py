"""The best order in which one pair of hands does the moves that are left.

For one order the earliest times are the least solution of a simple temporal
problem (Dechter, Meiri, Pearl 1991, "Temporal constraint networks"): where a
dwell would pass its most time its start is put off, and where that never ends
the order is impossible.  Orders are searched by branch and bound under the
preemptive one-machine bound (Carlier 1982, "The one-machine sequencing
problem"), beginning with the best order that plain rules find.  What counts, in
turn: how many dwells overrun, by how many seconds, how much of its spare time the
lifting loses that loses most, when all is finished.  A dwell not begun yet can
always be kept, its spare time too; only running ones can overrun.

Spare time is what lets hands be slower than was reckoned: while those that began
nothing too early are together late by no more than it, nothing overruns, for the
same order at later times is still to be had and loses no more.
"""

from __future__ import annotations

import heapq
import itertools
import math
from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator

# Moves in all orders looked at before the best one so far is taken: about 0.1 s.
MOST_MOVES = 60_000
# The same for the orders that rules find: a rule weighs every choice at every move.
MOST_RULED = 360
# Running dwells of which every order of lifting is tried: 120 orders.
MOST_LIFTED = 5


class Move(StrEnum):
    """What the hands do at a step."""

    DO = "do"
    START = "start"
    LIFT = "lift"


@dataclass(frozen=True, slots=True)
class Op:
    """One move of the hands, in whole seconds.

    Attributes:
        track: place of its component's track among the tracks.
        component, step, move: what it is.
        hands: how long it takes.
        release, due: for the lifting of a running dwell, from now.
        spare: time before ``due`` that is kept free for hands that are slower.
        least, most: for the lifting of another one, from the end of its start;
            its spare time is off ``most`` already.
        needs: (track, moves done there) that must be reached first.
        head: the least time from now until it can begin.
        tail: the least time from its end until all that waits for it is done.
    """

    track: int
    component: str
    step: str
    move: Move
    hands: int
    release: int = 0
    due: int | None = None
    spare: int = 0
    least: int | None = None
    most: int | None = None
    needs: tuple[tuple[int, int], ...] = ()
    head: int = 0
    tail: int = 0

    @property
    def lag(self) -> int:
        """Seconds between the end of the move before it and its own beginning."""
        return self.least or 0


Tracks = tuple[tuple[Op, ...], ...]


def linked(tracks: Iterable[Iterable[Op]]) -> Tracks:
    """The tracks with every move's ``head`` and ``tail`` reckoned; nothing may wait for itself."""
    fixed = tuple(tuple(ops) for ops in tracks)
    heads = [[0] * len(ops) for ops in fixed]
    tails = [[0] * len(ops) for ops in fixed]
    while _pass(fixed, heads, tails):
        pass
    return tuple(
        tuple(
            replace(op, head=head, tail=tail)
            for op, head, tail in zip(ops, heads[track], tails[track], strict=True)
        )
        for track, ops in enumerate(fixed)
    )


def _pass(tracks: Tracks, heads: list[list[int]], tails: list[list[int]]) -> bool:
    """One pass over all moves; whether it lengthened a head or a tail."""
    moved = False
    for track, ops in enumerate(tracks):
        for place, op in enumerate(ops):
            before = [(track, place - 1, op.lag)] if place else []
            before += [(t, count - 1, 0) for t, count in op.needs]
            ends = (heads[t][p] + tracks[t][p].hands + lag for t, p, lag in before)
            head = max(op.release, *ends, 0)
            moved = moved or head > heads[track][place]
            heads[track][place] = head
        for place in reversed(range(len(ops))):
            op = ops[place]
            before = [(track, place - 1, op.lag)] if place else []
            before += [(t, count - 1, 0) for t, count in op.needs]
            for t, p, lag in before:
                tail = lag + op.hands + tails[track][place]
                moved = moved or tail > tails[t][p]
                tails[t][p] = max(tails[t][p], tail)
    return moved


@dataclass(frozen=True, slots=True)
class Order:
    """All moves in the best order found.

    Attributes:
        moves: each with the seconds until it begins.
        end_s: seconds until the last one ends.
        late: overruns of running dwells, their number and seconds.
        proven: whether no order is better; False where the search was cut short.
    """

    moves: tuple[tuple[Op, int], ...]
    end_s: int
    late: tuple[int, int]
    proven: bool


def best_order(tracks: Tracks, focus: str) -> Order:
    """The best order of all moves; ties go to a ripe dwell, then to the component ``focus``."""
    search = _Search(tracks, focus)
    best = search.run()
    moves = tuple(zip(best.order, best.starts, strict=True))
    return Order(moves, best.end, best.late[:2], search.proven)


# Overruns of running dwells, their number and seconds, and the spare time lost by the
# lifting that loses most; a value has the end behind them.
_Late = tuple[int, int, int]
_Value = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class _Line:
    """Some moves in an order, at their earliest times.

    Attributes:
        done: how many moves of each track are in it.
        last: for each track the place of its latest move.
        cut: the moves before this place can no longer be put off by those behind.
        late: of the running dwells in it.
    """

    order: tuple[Op, ...]
    starts: tuple[int, ...]
    done: tuple[int, ...]
    last: tuple[int, ...]
    cut: int = 0
    late: _Late = (0, 0, 0)

    @property
    def end(self) -> int:
        """When the hands are free again."""
        return self.starts[-1] + self.order[-1].hands if self.order else 0


class _Search:
    """Branch and bound over the orders of the moves."""

    def __init__(self, tracks: Tracks, focus: str) -> None:
        self.tracks = tracks
        self.focus = focus
        self.proven = True
        self._total = sum(map(len, tracks))
        none = (0,) * len(tracks)
        self.best = self._empty = _Line((), (), none, none)
        self._value: tuple[float, ...] = (math.inf,)
        self._seen: dict[object, list[tuple[int, ...]]] = {}

    def run(self) -> _Line:
        """The best line: first by rules, then by search until it meets the bound."""
        first = sorted(self._next(self._empty), key=self._preference)
        bound = self._bound(self._empty)
        some = first[: max(1, MOST_RULED // max(1, self._total))]
        some += self._lifted_best()
        for patience in _PATIENCE:
            for line in some:
                self._keep(self._by_rule(line, patience))
                if self._value <= bound:
                    return self.best
        self._branch(first, bound)
        return self.best

    def _lifted_best(self) -> list[_Line]:
        """The line that lifts all running dwells first, in the order that is best for them."""
        lying = [ops[0] for ops in self.tracks if ops and ops[0].due is not None]
        if not 1 < len(lying) <= MOST_LIFTED:
            return []
        lines = []
        for order in itertools.permutations(lying):
            line: _Line | None = self._empty
            for op in order:
                line = None if line is None else self._append(line, op)
            if line is not None:
                lines.append(line)
        return [min(lines, key=lambda line: (line.late, line.end))] if lines else []

    def _keep(self, line: _Line) -> None:
        value = (*line.late, line.end)
        if value < self._value:
            self.best, self._value = line, value

    def _preference(self, line: _Line) -> tuple[bool, bool, float, bool, int]:
        op, start = line.order[0], line.starts[0]
        due = math.inf if op.due is None else op.due
        return (start > 0, op.move is not Move.LIFT, due, op.component != self.focus, op.track)

    def _branch(self, first: list[_Line], bound: _Value) -> None:
        looked_at = 0
        waiting = first[::-1]
        while waiting and self._value > bound:
            if looked_at >= MOST_MOVES:
                self.proven = False
                return
            looked_at += self._total
            line = waiting.pop()
            if self._bound(line) >= self._value or self._dominated(line):
                continue
            if len(line.order) == self._total:
                self._keep(line)
            waiting += sorted(self._next(line), key=_soonest, reverse=True)

    def _next(self, line: _Line) -> list[_Line]:
        """The line with each move that can follow; none where a soak is lost by now."""
        found = []
        for track, ops in enumerate(self.tracks):
            index = line.done[track]
            if index == len(ops) or any(line.done[t] < n for t, n in ops[index].needs):
                continue
            longer = self._append(line, ops[index])
            if longer is None:
                return []
            found.append(longer)
        return found

    def _append(self, line: _Line, op: Op) -> _Line | None:
        """The line with the move behind it; None where no times keep its soaks."""
        start, track, place = max(line.end, op.release), op.track, len(line.order)
        order = (*line.order, op)
        starts: tuple[int, ...] | None
        if op.least is None:
            starts = (*line.starts, start)
        else:
            before = line.last[track]
            laid = line.starts[before] + line.order[before].hands
            start = max(start, laid + op.least)
            starts = (*line.starts, start)
            if op.most is not None and start > laid + op.most:
                starts = _put_off(order, starts)
                if starts is None:
                    return None
        done = (*line.done[:track], line.done[track] + 1, *line.done[track + 1 :])
        last = (*line.last[:track], place, *line.last[track + 1 :])
        cut = line.cut if any(self._open(done)) else place + 1
        return _Line(order, starts, done, last, cut, _late(order, starts))

    def _open(self, done: tuple[int, ...]) -> Iterator[Op]:
        """The liftings, with a most time, of dwells that the line starts."""
        for ops, index in zip(self.tracks, done, strict=True):
            if 0 < index < len(ops) and ops[index].most is not None:
                yield ops[index]

    def _by_rule(self, line: _Line, patience: float) -> _Line:
        """The line completed by a rule that never opens what it cannot close in time.

        Of the moves that can begin before any other could be over (Giffler,
        Thompson 1960), or within a share of that time, the one with most behind it.
        """
        while choices := self._next(line):
            least = min(self._closing(choice) for choice in choices)
            good = [choice for choice in choices if self._closing(choice) == least]
            soon, over = min(c.starts[-1] for c in good), min(c.end for c in good)
            until = soon + patience * (over - soon)
            line = min(
                (choice for choice in good if choice.starts[-1] <= until),
                key=lambda choice: (-choice.order[-1].tail, choice.starts[-1]),
            )
        return line

    def _closing(self, line: _Line) -> tuple[float, ...]:
        """What is late where all that lies in a bath is lifted now in order of due time."""
        lying: list[tuple[int, int, Op]] = []
        for ops, index, last in zip(self.tracks, line.done, line.last, strict=True):
            op = ops[index] if index < len(ops) else None
            if op is None or op.move is not Move.LIFT:
                continue
            if op.due is not None:
                lying.append((op.due - op.spare, op.release, op))
            elif op.most is not None and op.least is not None:
                laid = line.starts[last] + line.order[last].hands
                lying.append((laid + op.most, laid + op.least, op))
        now, late = line.end, line.late
        for until, ready, op in sorted(lying, key=lambda one: one[:2]):
            now = max(now, ready)
            if now > until and op.due is None:
                return (math.inf,)
            late = _later(late, op, now)
            now += op.hands
        return late

    def _bound(self, line: _Line) -> _Value:
        """No completion of the line has a lower value."""
        end, late = line.end, line.late
        left = []
        for ops, index in zip(self.tracks, line.done, strict=True):
            free = end
            for place in range(index, len(ops)):
                op = ops[place]
                if place == index and index and op.least is not None:
                    before = line.last[op.track]
                    free = max(free, line.starts[before] + line.order[before].hands + op.least)
                else:
                    free += op.lag
                free = max(free, op.head)
                late = _later(late, op, free)
                left.append((free, -op.tail, op.hands))
                free += op.hands
        return (*late, max(end, _one_machine(left)))

    def _dominated(self, line: _Line) -> bool:
        """Whether a line with the same moves, no later anywhere, was looked at."""
        key = (line.done, tuple(op.track for op in line.order[line.cut :]))
        laid = [
            line.starts[place] + line.order[place].hands
            for ops, index, place in zip(self.tracks, line.done, line.last, strict=True)
            if 0 < index < len(ops) and ops[index].least is not None
        ]
        early = _late(line.order[: line.cut], line.starts)
        mine = (*early, line.end, *laid, *line.starts[line.cut :])
        known = self._seen.setdefault(key, [])
        if any(all(a <= b for a, b in zip(one, mine, strict=True)) for one in known):
            return True
        known.append(mine)
        return False


def _late(order: Iterable[Op], starts: Iterable[int]) -> _Late:
    late = (0, 0, 0)
    for op, start in zip(order, starts, strict=False):
        late = _later(late, op, start)
    return late


def _later(late: _Late, op: Op, start: int) -> _Late:
    """What is late with one more move at its start."""
    if op.due is None:
        return late
    count, over, lost = late
    past = start - op.due
    return count + (past > 0), over + max(0, past), max(lost, past + op.spare)


def _put_off(order: tuple[Op, ...], earliest: tuple[int, ...]) -> tuple[int, ...] | None:
    """The earliest times that keep every most time of the order; None where there are none."""
    starts = list(earliest)
    windows = sum(op.most is not None for op in order)
    for _ in range(windows + 1):
        end, moved = 0, False
        last: dict[int, int] = {}
        for place, op in enumerate(order):
            start = max(starts[place], end)
            if op.least is not None:
                before = last[op.track]
                laid = starts[before] + order[before].hands
                start = max(start, laid + op.least)
                if op.most is not None and start > laid + op.most:
                    starts[before] += start - laid - op.most
                    moved = True
            starts[place] = start
            last[op.track] = place
            end = start + op.hands
        if not moved:
            return tuple(starts)
    return None


def _one_machine(left: list[tuple[int, int, int]]) -> int:
    """When the last (head, -tail, hands) ends, if the hands could leave a move and come back."""
    left.sort()
    ready: list[list[int]] = []
    now, bound, place = 0, 0, 0
    while place < len(left) or ready:
        if not ready:
            now = max(now, left[place][0])
        while place < len(left) and left[place][0] <= now:
            _, tail, hands = left[place]
            heapq.heappush(ready, [tail, hands])
            place += 1
        until = left[place][0] if place < len(left) else math.inf
        tail, hands = ready[0]
        if now + hands <= until:
            now += hands
            bound = max(bound, now - tail)
            heapq.heappop(ready)
        else:
            ready[0][1] -= int(until) - now
            now = int(until)
    return bound


def _soonest(line: _Line) -> tuple[int, ...]:
    op = line.order[-1]
    return (line.starts[-1], -op.tail, op.track)


# How long the rule waits for a better move, as a share of the shortest one.
_PATIENCE = (0.0, 1.0)

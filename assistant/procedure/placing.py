"""A procedure placed at a station: every step that uses water says where, and bays are made ready.

The plan (``bays``) is one order in which the bays allow all uses.  The technician may
take the tracks in another one, so the plan's ties become needs: a bay is changed after
every use of it that the plan has before, and used after the change; and of uses with no
change between them the cleaner one comes first.  Every need points from a later place of
the plan to an earlier one, as the procedure's own ties do, so no step waits for itself.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from assistant.procedure.bay_plan import Change, Impossible
from assistant.procedure.bays import lay_out
from assistant.procedure.model import Step
from assistant.procedure.placeholder import fill
from assistant.procedure.uses import uses_of, wiped
from assistant.procedure.water_use import Purpose

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping

    from assistant.procedure.bay_plan import Plan, Turn
    from assistant.procedure.model import Component, Procedure
    from assistant.procedure.station import Station

_SUFFIX = "-bay"


def placed(
    procedure: Procedure, station: Station, words: Mapping[str, str]
) -> Procedure | Impossible:
    """The procedure with its bays named and the changes of bays put in, or why not.

    What a change was made for may be left out later (a step of delayed processing, a
    step skipped), the change itself may not: later uses rely on it.

    Args:
        procedure: as it will be led: only the components that are there, and fitted
            before (``fitting``), for here texts are lengthened.
        station: bays and taps; at the beginning every bay is empty and clean.
        words: texts of the procedure's language (``generated.texts``).
    """
    plan = lay_out(station, procedure, uses_of(procedure))
    if isinstance(plan, Impossible):
        return plan
    return _Placing(procedure, plan, words).placed()


@dataclass(frozen=True, slots=True)
class _Tie:
    """What the plan ties to one turn.

    Attributes:
        change: id of the step that makes its bay ready; "" where there is none.
        behind: steps of other tracks that must be behind before the bay is made ready, or
            before the step itself where there is no such step.
    """

    change: str
    behind: tuple[str, ...]


class _Placing:
    """One procedure and its plan, while steps are put in."""

    def __init__(self, procedure: Procedure, plan: Plan, words: Mapping[str, str]) -> None:
        self.procedure, self.words = procedure, words
        self.tracks = {step.id: part.id for part in procedure.components for step in part.steps}
        self.turns = {turn.step: turn for turn in plan.turns}
        self.ties = self._ties()

    def placed(self) -> Procedure:
        """The procedure with every track placed."""
        components = tuple(self._component(part) for part in self.procedure.components)
        return replace(self.procedure, components=components)

    def _ties(self) -> dict[str, _Tie]:
        """The tie of each turn: to what was done in its bay since the bay's last change.

        What was done before that change is behind through it.
        """
        since: dict[str, list[str]] = {}
        changed: dict[str, str] = {}
        ties = {}
        for turn in self.turns.values():
            if not turn.bay:
                continue
            earlier = since.setdefault(turn.bay, [])
            change = self._new_id(turn.step) if _acts(turn) else ""
            if turn.changes:
                behind = earlier
                since[turn.bay] = [turn.step]
                changed[turn.bay] = change or turn.step
            else:
                purpose = turn.use.purpose
                cleaner = [name for name in earlier if self.turns[name].use.purpose > purpose]
                behind = [*([changed[turn.bay]] if turn.bay in changed else ()), *cleaner]
                earlier.append(turn.step)
            ties[turn.step] = _Tie(change, self._last(turn.step, behind))
        return ties

    def _last(self, step: str, behind: Iterable[str]) -> tuple[str, ...]:
        """The last of those steps in each other track: those above it come before it."""
        last = {self.tracks[name]: name for name in behind}
        last.pop(self.tracks[step], None)
        return tuple(last.values())

    def _new_id(self, step: str) -> str:
        name = f"{step}{_SUFFIX}"
        while name in self.tracks:
            name += _SUFFIX
        self.tracks[name] = self.tracks[step]
        return name

    def _component(self, part: Component) -> Component:
        """The track with its bays; a round that begins with a use begins with its bay."""
        steps = tuple(new for step in part.steps for new in self._steps(step))
        tie = self.ties.get(part.rounds.start) if part.rounds else None
        if part.rounds is None or tie is None or not tie.change:
            return replace(part, steps=steps)
        return replace(part, steps=steps, rounds=replace(part.rounds, start=tie.change))

    def _steps(self, step: Step) -> tuple[Step, ...]:
        """The step that makes the bay ready, where there is one, and the step itself."""
        turn = self.turns.get(step.id)
        if turn is None:
            return (step,)
        told = replace(step, say=self._told(step, turn))
        tie = self.ties.get(step.id, _Tie("", ()))
        needs = tuple(dict.fromkeys((*step.needs, *tie.behind)))
        if not tie.change:
            return (replace(told, needs=needs),)
        ready = Step(
            id=tie.change,
            say=" ".join(self._acts_told(turn)),
            short=fill(self.words["bay_short"], {"bay": turn.bay, "short": step.short}),
            needs=needs,
            mandatory=True,
        )
        return ready, replace(told, needs=())

    def _acts_told(self, turn: Turn) -> Iterator[str]:
        """What is done to the bay, a sentence each."""
        figures = self._figures(turn)
        for act in _acts(turn):
            key = "bay_fill_bath" if act is Change.FILL and turn.use.bath else f"bay_{act}"
            yield fill(self.words[key], figures)

    def _told(self, step: Step, turn: Turn) -> str:
        """The instruction with its place."""
        if turn.use.purpose is Purpose.PREPARE:
            key = "place_fill"
        elif wiped(step):
            key = "place_wipe"
        else:
            key = "place_bay" if turn.bay else "place_tap"
        return fill(self.words[key], {"say": step.say} | self._figures(turn))

    def _figures(self, turn: Turn) -> dict[str, str]:
        bath = self.procedure.bath(turn.use.bath).name if turn.use.bath else ""
        water = self.words[f"water_{turn.use.purpose.water}"]
        return {"bay": turn.bay, "bath": bath, "water": water}


def _acts(turn: Turn) -> tuple[Change, ...]:
    """The changes that are a step of their own: a bath is filled by its own first step."""
    prepares = turn.use.purpose is Purpose.PREPARE
    return tuple(c for c in turn.changes if not (prepares and c is Change.FILL))

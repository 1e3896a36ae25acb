"""A procedure placed at a station: every step that uses water says where, and bays are made ready.

The plan (``bays``) is one order in which the bays allow all uses.  The technician may
take the tracks in another one, parts may be cleaned again or not have arrived, and
baths are renewed.  So the plan gives no list of changes, but two things:

- needs: a use waits for every use that the plan has in its bay before the bay's last
  change, and for the cleaner ones since.  Every need points from a later place of the
  plan to an earlier one, as the procedure's own ties do, so no step waits for itself;
- before each use whose bay may be something else, a step that makes the bay ready.  It
  is passed over where the session finds the bay ready (``BayTask``).
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure.basin import Change, Place
from assistant.procedure.bay_plan import Impossible
from assistant.procedure.bays import lay_out
from assistant.procedure.model import BayTask, Role, Step
from assistant.procedure.placeholder import fill
from assistant.procedure.uses import uses_of, wiped
from assistant.procedure.water_use import Purpose

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from assistant.procedure.bay_plan import Plan, Turn
    from assistant.procedure.model import Component, Procedure
    from assistant.procedure.station import Station

_SUFFIX = "-bay"
_BEGUN = ".bays"


def placed(
    procedure: Procedure, station: Station, words: Mapping[str, str]
) -> Procedure | Impossible:
    """The procedure with its bays named and the changes of bays put in, or why not.

    Args:
        procedure: as it will be led: only the components that are there, and fitted
            before (``fitting``), for here texts are lengthened.
        station: bays and taps; at the beginning every bay is empty and clean.
        words: texts of the procedure's language (``generated.texts``).
    """
    plan = lay_out(station, procedure, uses_of(procedure))
    if isinstance(plan, Impossible):
        return plan
    return _Placing(procedure, station, plan, words).placed()


class _Placing:
    """One procedure and its plan, while steps are put in."""

    def __init__(
        self, procedure: Procedure, station: Station, plan: Plan, words: Mapping[str, str]
    ) -> None:
        self.procedure, self.words = procedure, words
        self.drains = {bay.name: bay.drains for bay in station.bays}
        self.tracks = {step.id: part.id for part in procedure.components for step in part.steps}
        self.turns = {turn.step: turn for turn in plan.turns}
        self.places = {
            turn.step: Place(turn.bay, turn.use.purpose, turn.holds)
            for turn in plan.turns
            if turn.bay
        }
        self.prepared = {t.use.bath for t in plan.turns if t.use.purpose is Purpose.PREPARE}
        self.behind = self._behind()
        self.begun = [
            f"{part.id}{_BEGUN}" for part in procedure.components if part.role is Role.INTAKE
        ]
        self.ready = {step: self._new_id(step) for step in self.places if self._may_differ(step)}

    def placed(self) -> Procedure:
        """The procedure with every track placed."""
        components = tuple(self._component(part) for part in self.procedure.components)
        return replace(self.procedure, components=components)

    def _behind(self) -> dict[str, tuple[str, ...]]:
        """For each use in a bay the steps of other tracks that must be behind it."""
        before: dict[str, list[str]] = {}
        since: dict[str, list[str]] = {}
        behind = {}
        for turn in self.turns.values():
            if not turn.bay:
                continue
            earlier, shared = (of.setdefault(turn.bay, []) for of in (before, since))
            if turn.changes:
                earlier += shared
                shared.clear()
            purpose = turn.use.purpose
            cleaner = [name for name in shared if self.turns[name].use.purpose > purpose]
            behind[turn.step] = self._last(turn.step, (*earlier, *cleaner))
            shared.append(turn.step)
        return behind

    def _last(self, step: str, behind: Iterable[str]) -> tuple[str, ...]:
        """The last of those steps in each other track: those above it come before it."""
        last = {self.tracks[name]: name for name in behind}
        last.pop(self.tracks[step], None)
        return tuple(last.values())

    def _may_differ(self, step: str) -> bool:
        """Whether its bay may be something else than it needs when its turn has come."""
        place = self.places[step]
        if place.purpose is Purpose.BATH and place.content in self.prepared:
            return False  # it waits for its bath, which is made in that bay
        if place.purpose is Purpose.PREPARE:
            return True  # a bath that is renewed lies in it
        others = (other for other in self.places.values() if other.bay == place.bay)
        return any(other != place for other in others) or bool(place.content)

    def _new_id(self, step: str) -> str:
        name = f"{step}{_SUFFIX}"
        while name in self.tracks:
            name += _SUFFIX
        self.tracks[name] = self.tracks[step]
        return name

    def _component(self, part: Component) -> Component:
        """The track with its bays; a round that begins with a use begins with its bay."""
        steps = tuple(new for step in part.steps for new in self._steps(step))
        if part.role is Role.INTAKE and self.drains:
            steps = (steps[0], self._begun(part), *steps[1:])
        if part.rounds is None or part.rounds.start not in self.ready:
            return replace(part, steps=steps)
        rounds = replace(part.rounds, start=self.ready[part.rounds.start])
        return replace(part, steps=steps, rounds=rounds)

    def _begun(self, intake: Component) -> Step:
        """The step in which every bay is looked at before work begins."""
        say = fill(self.words["bays_say"], {"bays": ", ".join(self.drains)})
        return Step(f"{intake.id}{_BEGUN}", say, self.words["bays_short"], mandatory=True)

    def _steps(self, step: Step) -> tuple[Step, ...]:
        """The step that makes the bay ready, where there may be need of one, and the step."""
        turn = self.turns.get(step.id)
        if turn is None:
            return (step,)
        place = self.places.get(step.id)
        begun = self.begun if turn.use.purpose is Purpose.PREPARE else ()
        needs = tuple(dict.fromkeys((*step.needs, *begun, *self.behind.get(step.id, ()))))
        filled = place is not None and bool(place.content) and not turn.use.bath
        use = replace(turn.use, standing=turn.use.standing or filled)
        told = replace(step, say=self._told(step, turn), needs=needs, use=use, place=place)
        if place is None or step.id not in self.ready:
            return (told,)
        changes = self._changes(turn, place)
        ready = Step(
            id=self.ready[step.id],
            say=" ".join(text for _, text in changes),
            short=fill(self.words["bay_short"], {"bay": turn.bay, "short": step.short}),
            task=BayTask(place, changes),
            needs=needs,
            mandatory=True,
            when=step.when,
        )
        return ready, told

    def _changes(self, turn: Turn, place: Place) -> tuple[tuple[Change, str], ...]:
        """What may have to be done to the bay, and how each is said."""
        figures = self._figures(turn)
        empty = "bay_drain" if self.drains[turn.bay] else "bay_tip"
        keys = {Change.DRAIN: empty, Change.WIPE: "bay_wipe"}
        if place.content and turn.use.purpose is not Purpose.PREPARE:
            keys[Change.FILL] = "bay_fill_bath" if turn.use.bath else "bay_fill"
        return tuple((change, fill(self.words[key], figures)) for change, key in keys.items())

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

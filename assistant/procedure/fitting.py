"""A procedure fitted to a station: what its sheet leaves open is taken from the station.

A sheet's own word stays.  Of a light meter that both name, the lower limit counts: a
station never loosens what a sheet demands.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure.model import LightJudge, Question, Role, TestTask, WaterJudge
from assistant.procedure.placeholder import bath_dose, told
from assistant.procedure.water_use import Purpose
from assistant.trade.residue import Meter

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.procedure.model import Bath, Component, Judge, Procedure, Step
    from assistant.procedure.quantity import Quantity
    from assistant.procedure.station import Station


def fitted(procedure: Procedure, station: Station) -> Procedure:
    """The procedure with the station's measuring unit, cooling, taps, light meters, water table.

    Args:
        procedure: not placed yet: the texts that speak a dose are known by their whole
            wording.
        station: what may fill the gaps.
    """
    baths = {bath.id: _bath(bath, station) for bath in procedure.baths}
    texts = {bath.id: _Dose(bath, baths[bath.id]) for bath in procedure.baths}
    components = tuple(_component(part, texts, station) for part in procedure.components)
    return replace(procedure, baths=tuple(baths.values()), components=components, tap=_tap(station))


def _tap(station: Station) -> tuple[Quantity, ...]:
    """The temperatures of the water that baths are filled with, as far as they are stated."""
    taps = [tap for tap in station.taps if tap.water is Purpose.PREPARE.water]
    return tuple(at for tap in taps for at in (tap.hot, tap.cold) if at is not None)


class _Dose:
    """One bath's dose as its texts tell it, before and after."""

    def __init__(self, before: Bath, after: Bath) -> None:
        self.before, self.after = before, after
        self.spoken = str(bath_dose(before).value.rounded())
        self.now = str(bath_dose(after).value.rounded())

    def step(self, step: Step) -> Step:
        """The step with the dose in the unit that it is measured in."""
        if self.spoken == self.now:
            return step
        told_now = {told(text, self.spoken): told(text, self.now) for text in step.dosed}
        task = step.task
        if isinstance(task, Question):
            text, if_not = (told_now.get(asked, asked) for asked in (task.text, task.if_not))
            task = replace(task, text=text, if_not=if_not)
        return replace(
            step,
            say=told_now.get(step.say, step.say),
            short=told_now.get(step.short, step.short),
            cautions=tuple(replace(c, text=told_now.get(c.text, c.text)) for c in step.cautions),
            task=task,
            working=self.after.working if step.working == self.before.working else step.working,
        )


def _bath(bath: Bath, station: Station) -> Bath:
    """The bath with unit and cooling, and its dose worked out in that unit."""
    found = replace(
        bath,
        measured_in=bath.measured_in or station.measured_in,
        cooling=bath.cooling or station.cooling,
    )
    water = bath.working[: len(bath.working) - len(bath_dose(bath).steps)]
    return replace(found, working=(*water, *bath_dose(found).steps) if bath.working else ())


def _component(part: Component, texts: Mapping[str, _Dose], station: Station) -> Component:
    steps = []
    for step in part.steps:
        bath = part.id if part.role is Role.BATH else step.bath
        judged = _judged(step, station)
        steps.append(texts[bath].step(judged) if bath in texts else judged)
    return replace(part, steps=tuple(steps))


def _judged(step: Step, station: Station) -> Step:
    """The step with its test judged by the station's means."""
    if not isinstance(step.task, TestTask):
        return step
    return replace(step, task=replace(step.task, judge=_judge(step.task.judge, station)))


def _judge(judge: Judge, station: Station) -> Judge:
    table = station.water_table
    match judge:
        case WaterJudge(table=None) if table is not None and table.limits(judge.grade, judge.of):
            return replace(judge, table=table)
        case LightJudge(meter=meter):
            own = station.meter(meter.name)
            if own is not None and own.below.base < meter.below.base:
                return LightJudge(Meter(meter.name, own.below))
    return judge

"""Prompts that tell where things stand: timers, the place, what else can be done."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import DwellKind
from assistant.procedure.quantity import duration_text
from assistant.session.command import Verb
from assistant.session.effect import Prompt, Slot, Style
from assistant.session.schedule import next_proposal
from assistant.session.table import Stage
from assistant.session.track import (
    besides,
    elapsed_s,
    elsewhere,
    find,
    present,
    remaining_s,
    sayable,
    unfinished,
)

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from assistant.procedure.model import Procedure
    from assistant.session.state import Running, State


def timers(procedure: Procedure, state: State, at: datetime, only: str = "") -> tuple[Prompt, ...]:
    """Every running timer, a flush first, then the most urgent; ``only`` names one step's."""
    flush = () if only else _flush(state, at)
    dwells = [dwell for dwell in state.running() if only in ("", dwell.step)]
    told = (prompt for dwell in dwells for prompt in _timer(procedure, state, dwell, at))
    return (*flush, *told)


def soaking(procedure: Procedure, state: State, at: datetime) -> tuple[Prompt, ...]:
    """Every soak that runs, the most urgent first."""
    running = [dwell for dwell in state.running() if dwell.kind == DwellKind.SOAK]
    told = (prompt for dwell in running for prompt in _timer(procedure, state, dwell, at))
    return tuple(told) or (Prompt("nothing_soaks"),)


def end(procedure: Procedure, state: State, component_id: str) -> Prompt:
    """How a timer that has had its time is ended: at its own part, never at another."""
    if component_id == state.focus:
        return Prompt("end_here")
    return Prompt("end_there", (Slot("component", procedure.component(component_id).name),))


def status(procedure: Procedure, state: State, at: datetime) -> tuple[Prompt, ...]:
    """The component in hand, its step, then the timers; first what bars the work."""
    if state.barred:
        return (Prompt("barred"),)
    component = procedure.component(state.focus)
    step = present(procedure, state, state.focus)
    if step is None:
        place = Prompt("where_done", (Slot("component", component.name),))
    else:
        number = str(state.position.get(state.focus, 0) + 1)
        slots = (
            Slot("component", component.name),
            Slot("number", number),
            Slot("count", str(len(component.steps))),
            Slot("step", step.short),
        )
        place = Prompt("where", slots)
    return (place, *timers(procedure, state, at))


def choices(procedure: Procedure, state: State) -> Slot:
    """What may be said to go on, as a slot of phrases named "may_say"; never empty."""
    found = tuple(_choices(procedure, state)) or besides(state)
    return Slot("may_say", "|".join(found), Style.PHRASES)


def listing(procedure: Procedure, state: State) -> Prompt:
    """What may be said: to go on, and when it is asked for again, besides."""
    if sayable(procedure, state) and state.listed % 2:
        return Prompt("help", (choices(procedure, state),))
    return Prompt("help_rest", (Slot("may_say", "|".join(besides(state)), Style.PHRASES),))


def _choices(procedure: Procedure, state: State) -> Iterator[str]:
    for verb in sayable(procedure, state):
        other = elsewhere(procedure, state) if verb is Verb.SWITCH else None
        yield verb if other is None else f"{verb}:{other.name}"


def offer(procedure: Procedure, state: State) -> tuple[Prompt, ...]:
    """Where else something can be done now; or that all is done."""
    if not unfinished(procedure, state):
        return (Prompt("all_done"),)
    other = elsewhere(procedure, state)
    if other is None:
        return ()
    phrase = Slot("phrase", f"{Verb.SWITCH}:{other.name}", Style.PHRASES)
    return (Prompt("offer", (phrase,)),)


def _flush(state: State, at: datetime) -> tuple[Prompt, ...]:
    call = state.emergency
    if call is None or not call.flush_s:
        return ()
    if state.flushed:
        return (Prompt("flush_done"),)
    left = call.flush_s - (at - call.at).total_seconds()
    return (Prompt("flush_left", (Slot("left", duration_text(max(1, round(left)))),)),)


def advice(procedure: Procedure, state: State, at: datetime) -> tuple[Prompt, ...]:
    """What is best done next, and where."""
    found = next_proposal(procedure, state, at)
    if found is None:
        return (Prompt("all_done"),)
    proposal, reason = found
    if proposal.start_s or proposal.component == state.focus:
        return (reason,)
    name = procedure.component(proposal.component).name
    phrase = Slot("phrase", f"{Verb.SWITCH}:{name}", Style.PHRASES)
    return (reason, Prompt("offer", (phrase,)))


def _timer(procedure: Procedure, state: State, dwell: Running, at: datetime) -> tuple[Prompt, ...]:
    name = Slot("component", procedure.component(dwell.component).name)
    step = Slot("step", find(procedure, dwell.step).short)
    stage = state.progress[dwell.step].stage
    if stage is Stage.DWELLING:
        left = duration_text(max(1, round(remaining_s(dwell, at))))
        return (Prompt("timer_left", (name, step, Slot("left", left))),)
    then = end(procedure, state, dwell.component)
    if stage is Stage.OVERDUE and dwell.most_s is not None:
        over = duration_text(max(1, round(elapsed_s(dwell, at) - dwell.most_s)))
        return (Prompt("timer_overdue", (name, step, Slot("over", over))), then)
    return (Prompt("timer_ripe", (name, step)), then)

"""What events make of the baths: the part of the fold that is about them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from assistant.session import event as ev
from assistant.session.state import BathNow, Measured, Progress
from assistant.session.table import Stage

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.session.state import State


def _with(state: State, bath: str, now: BathNow) -> State:
    return replace(state, baths={**state.baths, bath: now})


def _stood(state: State, event: ev.BathStood) -> State:
    return replace(state, standing={**state.standing, event.bath: event})


def _taken(state: State, event: ev.BathTaken) -> State:
    """A standing bath with its age and uses; the steps that made it are passed over."""
    stood = state.standing[event.bath]
    now = BathNow(stood.made_at, stood.uses, lot=stood.lot, expires_on=stood.expires_on)
    skipped = {step: Progress(Stage.SKIPPED) for step in event.steps}
    state = replace(
        state,
        progress={**state.progress, **skipped},
        position={**state.position, event.bath: event.index},
        standing={bath: found for bath, found in state.standing.items() if bath != event.bath},
    )
    return _with(state, event.bath, now)


def _made(state: State, event: ev.BathMade) -> State:
    now = BathNow(event.at, lot=event.lot, expires_on=event.expires_on)
    return _with(state, event.bath, now)


def _measured(state: State, event: ev.BathMeasured) -> State:
    now = state.baths.get(event.bath)
    if now is None:
        return state
    leaves_at = None if event.leaves_s is None else event.at + timedelta(seconds=event.leaves_s)
    reading = Measured(event.at, event.value, event.unit)
    return _with(
        state,
        event.bath,
        replace(
            now,
            readings=(*now.readings, reading) if now.within and not now.mixed else (reading,),
            mixed=False,
            within=event.within,
            leaves_at=leaves_at,
            doubtful=False,
        ),
    )


def _doubtful(state: State, event: ev.BathDoubtful) -> State:
    return _with(state, event.bath, replace(state.baths[event.bath], doubtful=True))


def _mixed(state: State, event: ev.MixAdvised) -> State:
    now = state.baths.get(event.bath)
    return state if now is None else _with(state, event.bath, replace(now, mixed=True))


def _used(state: State, event: ev.BathUsed) -> State:
    now = state.baths[event.bath]
    return _with(state, event.bath, replace(now, served=now.served | {event.component}))


def _spoiled(state: State, event: ev.BathSpoiled) -> State:
    return _with(state, event.bath, replace(state.baths[event.bath], spoiled=event.what))


def _emptied(state: State, event: ev.BathEmptied) -> State:
    """Its track begins anew, so that whatever needs the bath waits again."""
    gone = set(event.steps)
    return replace(
        state,
        progress={step: now for step, now in state.progress.items() if step not in gone},
        position={**state.position, event.bath: 0},
        baths={bath: now for bath, now in state.baths.items() if bath != event.bath},
    )


APPLY: dict[type[ev.Event], Callable[[State, Any], State]] = {
    ev.BathStood: _stood,
    ev.BathTaken: _taken,
    ev.BathMade: _made,
    ev.BathMeasured: _measured,
    ev.BathDoubtful: _doubtful,
    ev.MixAdvised: _mixed,
    ev.BathUsed: _used,
    ev.BathSpoiled: _spoiled,
    ev.BathEmptied: _emptied,
}

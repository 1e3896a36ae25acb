"""What events make of the baths: the part of the fold that is about them."""

from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

from assistant.procedure.basin import SPENT, Basin, Change
from assistant.procedure.water_use import Purpose
from assistant.session import event as ev
from assistant.session.state import BathNow, Measured, Progress
from assistant.session.table import Stage

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.session.state import State


def _with(state: State, bath: str, now: BathNow) -> State:
    return replace(state, baths={**state.baths, bath: now})


def _stood(state: State, event: ev.BathStood) -> State:
    """It lies in its bay, and is no bath of this session before it is taken over."""
    bay = {event.bay: Basin(SPENT, Purpose.BATH)} if event.bay else {}
    return replace(
        state, standing={**state.standing, event.bath: event}, bays={**state.bays, **bay}
    )


def _taken(state: State, event: ev.BathTaken) -> State:
    """A standing bath with its age and uses; the steps that made it are passed over."""
    stood = state.standing[event.bath]
    now = BathNow(stood.made_at, stood.uses, lot=stood.lot, expires_on=stood.expires_on)
    bay = {stood.bay: Basin(event.bath, Purpose.BATH)} if stood.bay else {}
    skipped = {step: Progress(Stage.SKIPPED) for step in event.steps}
    state = replace(
        state,
        progress={**state.progress, **skipped},
        position={**state.position, event.bath: event.index},
        standing={bath: found for bath, found in state.standing.items() if bath != event.bath},
        bays={**state.bays, **bay},
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
    """Its track begins anew where it is needed, so that whatever needs the bath waits again."""
    gone = set(event.steps)
    return replace(
        state,
        progress={step: now for step, now in state.progress.items() if step not in gone},
        position={**state.position, event.bath: 0} if gone else state.position,
        baths={bath: now for bath, now in state.baths.items() if bath != event.bath},
        bays={
            bay: now._replace(content=SPENT) if now.content == event.bath else now
            for bay, now in state.bays.items()
        },
    )


def _turned(state: State, event: ev.BayTurned) -> State:
    """A bay that was emptied holds no bath of an earlier session any more."""
    emptied = event.bay if Change.DRAIN in event.changes else None
    return replace(
        state,
        bays={**state.bays, event.bay: Basin(event.content, event.soil)},
        standing={bath: now for bath, now in state.standing.items() if now.bay != emptied},
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
    ev.BayTurned: _turned,
}

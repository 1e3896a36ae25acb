"""Baths that earlier sessions left standing, found in the record."""

from __future__ import annotations

from datetime import timedelta
from typing import TYPE_CHECKING

from assistant.record import codec
from assistant.session import event as ev
from assistant.session.evolve import fold

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import datetime

    from assistant.procedure.model import Procedure
    from assistant.record.store import Store
    from assistant.session.state import BathNow, State

# Nobody leaves a bath standing longer; and a record grows.
_LOOK_BACK = timedelta(hours=24)
_MOST_SESSIONS = 40


def standing_baths(
    procedure: Procedure, store: Store, at: datetime, mode: str, station: str = ""
) -> tuple[ev.BathStood, ...]:
    """For each bath of the procedure the one that stands since the latest session that had it.

    A bath is the same where its name, detergent, dose and volume are; one that is
    spoiled is not offered.

    Args:
        procedure: has the baths.
        store: the record.
        at: now.
        mode: only sessions of the same mode count, for a rehearsal makes no bath.
        station: name of the station; sessions at another one do not count; "" for any.
    """
    wanted = {bath.known_as: bath.id for bath in procedure.baths}
    found: dict[str, ev.BathStood] = {}
    seen: set[str] = set()
    used: set[str] = set()  # bays of later sessions: an earlier bath is gone from them
    for session, events in _recent(store, at, mode, station):
        state = fold(events)
        for name, (now, bay) in _of(events, state).items():
            if name not in wanted or name in seen:
                continue
            seen.add(name)
            if now is not None and not now.spoiled and bay not in used:
                uses = now.uses + len(now.served)
                found[wanted[name]] = ev.BathStood(
                    at, wanted[name], session, now.made_at, uses, now.lot, now.expires_on, bay
                )
        used |= state.bays.keys()
    return tuple(found.values())


def _recent(
    store: Store, at: datetime, mode: str, station: str
) -> Iterator[tuple[str, tuple[ev.Event, ...]]]:
    """The latest sessions of that mode at that station, the newest first."""
    for summary in list(reversed(store.sessions()))[:_MOST_SESSIONS]:
        events = codec.events(store.entries(summary.id))
        first = events[0] if events else None
        if not isinstance(first, ev.SessionOpened) or first.mode != mode:
            continue
        elsewhere = station and first.station and first.station != station
        if not elsewhere and at - events[-1].at <= _LOOK_BACK:
            yield summary.id, events


def _of(events: tuple[ev.Event, ...], state: State) -> dict[str, tuple[BathNow | None, str]]:
    """What became of each bath of a session, and its bay, by its name; None for one given up."""
    named = {event.bath: event.name for event in events if isinstance(event, ev.BathMade)}
    named |= {event.bath: event.name for event in events if isinstance(event, ev.BathTaken)}
    bays = {now.content: bay for bay, now in state.bays.items()}
    return {name: (state.baths.get(bath), bays.get(bath, "")) for bath, name in named.items()}

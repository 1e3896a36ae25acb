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
    from assistant.session.state import BathNow

# Nobody leaves a bath standing longer; and a record grows.
_LOOK_BACK = timedelta(hours=24)
_MOST_SESSIONS = 40


def standing_baths(
    procedure: Procedure, store: Store, at: datetime, mode: str
) -> tuple[ev.BathStood, ...]:
    """For each bath of the procedure the one that stands since the latest session that had it.

    A bath is the same where its name, detergent, dose and volume are; one that is
    spoiled is not offered.

    Args:
        procedure: has the baths.
        store: the record.
        at: now.
        mode: only sessions of the same mode count, for a rehearsal makes no bath.
    """
    wanted = {bath.known_as: bath.id for bath in procedure.baths}
    found: dict[str, ev.BathStood] = {}
    seen: set[str] = set()
    for session, events in _recent(store, at, mode):
        for name, now in _of(events).items():
            if name not in wanted or name in seen:
                continue
            seen.add(name)
            if now is not None and not now.spoiled:
                uses = now.uses + len(now.served)
                bath = wanted[name]
                found[bath] = ev.BathStood(
                    at, bath, session, now.made_at, uses, now.lot, now.expires_on
                )
    return tuple(found.values())


def _recent(store: Store, at: datetime, mode: str) -> Iterator[tuple[str, tuple[ev.Event, ...]]]:
    """The latest sessions of that mode, the newest first."""
    for summary in list(reversed(store.sessions()))[:_MOST_SESSIONS]:
        events = codec.events(store.entries(summary.id))
        first = events[0] if events else None
        if not isinstance(first, ev.SessionOpened) or first.mode != mode:
            continue
        if at - events[-1].at <= _LOOK_BACK:
            yield summary.id, events


def _of(events: tuple[ev.Event, ...]) -> dict[str, BathNow | None]:
    """What became of each bath of a session, by its name; None for one given up."""
    state = fold(events)
    named = {event.bath: event.name for event in events if isinstance(event, ev.BathMade)}
    named |= {event.bath: event.name for event in events if isinstance(event, ev.BathTaken)}
    return {name: state.baths.get(bath) for bath, name in named.items()}

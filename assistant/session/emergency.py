"""Decisions in an emergency: first aid and its clock come before everything else.

What is flushed and for how long is the usual first aid; the facility's exposure
plan rules, and every prompt says so.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.quantity import duration_text
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.moment import Moment, refuse
from assistant.session.moves import brief
from assistant.session.refusal import Refusal
from assistant.trade.exposure import FLUSH_LEAST_S, flush

if TYPE_CHECKING:
    from datetime import datetime

_Events = tuple[ev.Event, ...]

# Washed and covered, not flushed by the clock (usual first aid; from memory, the
# facility's exposure plan rules).
UNTIMED = ("sharps injury",)
_ANNOUNCED_S = (10 * 60, 5 * 60, 60)


def call(moment: Moment) -> _Events:
    """Begin: whatever was going on waits, timers go on, the flush clock starts."""
    return (called(moment.command.value, moment.at),)


def called(body: str, at: datetime) -> ev.EmergencyCalled:
    """The beginning, with its flush clock where one is needed."""
    timed = body not in UNTIMED
    return ev.EmergencyCalled(
        at, body, FLUSH_LEAST_S if timed else 0, _ANNOUNCED_S if timed else ()
    )


def left_s(now: ev.EmergencyCalled, at: datetime) -> int:
    """Seconds that are still to be flushed; 0 where it was long enough or none is needed."""
    if not now.flush_s:
        return 0
    return flush(int((at - now.at).total_seconds()), now.flush_s).value.left_s


def end(moment: Moment, now: ev.EmergencyCalled) -> _Events:
    """Go on with the work ("carry on"), or there was nothing to flush ("incorrect")."""
    false_alarm = moment.command.verb is Verb.DENY
    left = 0 if false_alarm else left_s(now, moment.at)
    if left:
        return refuse(moment, Refusal.FLUSHING, duration_text(left))
    ended = ev.EmergencyEnded(moment.at, (moment.at - now.at).total_seconds(), false_alarm)
    return (ended, *brief(moment, moment.after(ended)))

"""Decisions in an emergency: first aid and its clock come before everything else.

What is flushed and for how long is the usual first aid; the facility's exposure
plan rules, and every prompt says so.
"""

from __future__ import annotations

from assistant.procedure.quantity import duration_text
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.moment import Moment, refuse
from assistant.session.moves import brief
from assistant.session.refusal import Refusal
from assistant.trade.exposure import FLUSH_LEAST_S, flush

_Events = tuple[ev.Event, ...]

# Washed and covered, not flushed by the clock (usual first aid; from memory, the
# facility's exposure plan rules).
UNTIMED = ("sharps injury",)
_ANNOUNCED_S = (10 * 60, 5 * 60, 60)


def call(moment: Moment) -> _Events:
    """Begin: whatever was going on waits, timers go on, the flush clock starts."""
    body = moment.command.value
    timed = body not in UNTIMED
    return (
        ev.EmergencyCalled(
            moment.at, body, FLUSH_LEAST_S if timed else 0, _ANNOUNCED_S if timed else ()
        ),
    )


def end(moment: Moment, called: ev.EmergencyCalled) -> _Events:
    """Go on with the work ("carry on"), or there was nothing to flush ("incorrect")."""
    elapsed_s = (moment.at - called.at).total_seconds()
    false_alarm = moment.command.verb is Verb.DENY
    if called.flush_s and not false_alarm:
        left_s = flush(int(elapsed_s), called.flush_s).value.left_s
        if left_s:
            return refuse(moment, Refusal.FLUSHING, duration_text(left_s))
    ended = ev.EmergencyEnded(moment.at, elapsed_s, false_alarm)
    return (ended, *brief(moment, moment.after(ended)))

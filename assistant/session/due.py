"""What the clock brings: milestones, ends and overruns of running dwells."""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING

from assistant.session.event import (
    BathDoubtful,
    DwellMilestone,
    DwellOverdue,
    DwellRipe,
    Event,
    FlushDone,
    FlushMilestone,
)
from assistant.session.table import Stage

if TYPE_CHECKING:
    from assistant.session.state import Running, State

# Announce half of a dwell and its last minute, where they are worth a word:
# a reminder within half a minute of the cue or of the end only disturbs.
_LAST_CALL_S = 60
_WORTH_S = 30


def milestones(least_s: int) -> tuple[int, ...]:
    """Seconds left at which a dwell of ``least_s`` is announced, longest first."""
    wanted = {least_s // 2, _LAST_CALL_S}
    worth = [m for m in wanted if _LAST_CALL_S <= m <= least_s - _WORTH_S]
    return tuple(sorted(worth, reverse=True))


def next_due(state: State) -> datetime | None:
    """The earliest moment at which the clock must be looked at; None if never."""
    moments = [moment for dwell in state.running() for moment, _ in _ahead(state, dwell)]
    moments += [moment for moment, _ in _flush_ahead(state)]
    moments += [moment for moment, _ in _baths_ahead(state)]
    return min(moments, default=None)


def time_events(state: State, at: datetime) -> tuple[Event, ...]:
    """What the clock has brought up to and including ``at``, in order of due time.

    After a long silence (a crash, a sleeping machine) milestones that a later
    one or the end has overtaken are left out: one sentence, not ten.
    """
    found: list[tuple[datetime, Event]] = []
    for dwell in state.running():
        passed = [(moment, what) for moment, what in _ahead(state, dwell) if moment <= at]
        for index, (moment, what) in enumerate(passed):
            if what is DwellMilestone and index + 1 < len(passed):
                continue
            found.append((moment, _event(dwell, what, moment, at)))
    found += _flush_events(state, at)
    found += [
        (moment, BathDoubtful(at, bath)) for moment, bath in _baths_ahead(state) if moment <= at
    ]
    found.sort(key=lambda pair: pair[0])
    return tuple(event for _, event in found)


def _flush_ahead(state: State) -> list[tuple[datetime, int]]:
    """What is still to come of a flush, in order: the moment, and the seconds then left."""
    call = state.emergency
    if call is None or state.flushed or not call.flush_s:
        return []
    end = call.at + timedelta(seconds=call.flush_s)
    return [(end - timedelta(seconds=left), left) for left in (*call.milestones_s, 0)]


def _flush_events(state: State, at: datetime) -> list[tuple[datetime, Event]]:
    """The latest thing that a flush has brought; what it has overtaken is left out."""
    passed = [(moment, left) for moment, left in _flush_ahead(state) if moment <= at]
    if not passed:
        return []
    moment, left = passed[-1]
    event: Event = FlushMilestone(at, left) if left else FlushDone(at, moment)
    return [(moment, event)]


def _baths_ahead(state: State) -> list[tuple[datetime, str]]:
    """When each bath is expected to leave its window, unless that was told already."""
    return [
        (now.leaves_at, bath)
        for bath, now in state.baths.items()
        if now.leaves_at is not None and not now.doubtful
    ]


_What = type[DwellMilestone] | type[DwellRipe] | type[DwellOverdue]


def _ahead(state: State, dwell: Running) -> list[tuple[datetime, _What]]:
    """What is still to come of one dwell, in order."""
    stage = state.progress[dwell.step].stage
    ahead: list[tuple[datetime, _What]] = []
    if stage is Stage.DWELLING:
        ahead += [
            (dwell.least_at - timedelta(seconds=left), DwellMilestone)
            for left in dwell.milestones_s
        ]
        ahead.append((dwell.least_at, DwellRipe))
    if stage is not Stage.OVERDUE and dwell.most_at is not None:
        ahead.append((dwell.most_at, DwellOverdue))
    return ahead


def _event(dwell: Running, what: _What, moment: datetime, at: datetime) -> Event:
    if what is DwellMilestone:
        left = (dwell.least_at - moment).total_seconds()
        return DwellMilestone(at, dwell.component, dwell.step, dwell.kind, int(left))
    if what is DwellRipe:
        most_at = dwell.most_at
        left_s = None if most_at is None else max(0, int((most_at - at).total_seconds()))
        return DwellRipe(at, dwell.component, dwell.step, dwell.kind, moment, left_s)
    return DwellOverdue(at, dwell.component, dwell.step, dwell.kind, moment)

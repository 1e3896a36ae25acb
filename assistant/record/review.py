"""A session told again from its entries alone: the spoken-step log, folded."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.quantity import duration_text
from assistant.record.review_more import more_told
from assistant.session import event as ev

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

WORKED = "worked"  # how a figure was got
Told = tuple["datetime", str, str]  # moment, what kind of thing, sentence


def told(events: Iterable[ev.Event]) -> Iterator[Told]:
    """Each event as a row of the log; what leaves no trace for a reader is left out."""
    for event in events:
        kind, sentence = _told(event)
        if kind:
            yield event.at, kind, sentence
        for line in getattr(event, "working", ()):
            yield event.at, WORKED, line


def _told(event: ev.Event) -> tuple[str, str]:  # noqa: C901, PLR0912 - one case a fact
    match event:
        case ev.SessionOpened():
            return "opened", (
                f"{event.title}, revision {event.revision}, by {event.operator}"
                f"{f', at {event.station}' if event.station else ''}"
                f" ({event.mode}; {event.recognizer}; {event.program})"
            )
        case ev.SessionReopened():
            return "reopened", "the program had ended; the session goes on"
        case ev.Heard():
            return _heard(event)
        case ev.CommandRefused():
            about = f" ({event.about})" if event.about else ""
            return "refused", f"{event.command}: {event.reason.replace('_', ' ')}{about}"
        case ev.PromptFinished():
            return ("caution" if event.caution else "said"), event.text
        case ev.PromptInterrupted():
            return ("caution cut off" if event.caution else "cut off"), event.text
        case ev.StepEntered():
            return "step", f"{event.step}{' again' if event.again else ''}"
        case ev.StepCompleted():
            return "done", event.step
        case ev.StepSkipped():
            return "left out", f"{event.step}, because: {event.reason}"
        case ev.TrackFinished():
            onward = f", onward {event.onward}" if event.onward else ""
            return "part done", f"{event.component}{onward}"
        case ev.TrackSwitched():
            return "switched", event.component
        case ev.DwellStarted():
            most = "" if event.most_s is None else f", at most {duration_text(event.most_s)}"
            return "timer", f"{event.step} started, at least {duration_text(event.least_s)}{most}"
        case ev.DwellMilestone():
            return "timer", f"{event.step}, {duration_text(event.remaining_s)} left"
        case ev.DwellRipe():
            return "timer", f"{event.step} reached its least time"
        case ev.DwellOverdue():
            return "timer", f"{event.step} passed its most time"
        case ev.DwellEnded():
            spent = duration_text(int(event.seconds))
            return "timer", f"{event.step} ended after {spent}{'' if event.counts else ', undone'}"
        case ev.ConfirmationAsked():
            value = " ".join(part for part in (event.value, event.unit) if part)
            return "read back", f"{event.of or event.kind.replace('_', ' ')} {value}".strip()
        case ev.ConfirmationWithdrawn():
            return "withdrawn", event.of or event.kind.replace("_", " ")
        case ev.ValueRefused():
            value = f"{event.value} {event.unit}".strip()
            return "value refused", f"{event.of} {value}: {event.reason} ({event.limits})"
        case ev.ValueAccepted():
            value = f"{event.value} {event.unit}".strip()
            within = f" (limits {event.limits})" if event.limits else ""
            return "value", f"{event.of}: {value}{within}"
        case ev.ProblemNoted():
            return "problem", f"{event.component}: {event.problem}"
        case ev.DeviationNoted():
            what = event.kind.replace("_", " ")
            return "deviation", f"{event.step}: {what}, {event.detail}"
        case ev.Paused():
            return "paused", ""
        case ev.Resumed():
            return "resumed", ""
        case ev.EmergencyCalled():
            return "emergency", event.body
        case ev.FlushMilestone():
            return "flush", f"{duration_text(event.remaining_s)} left"
        case ev.FlushDone():
            return "flush", "reached its least time"
        case ev.EmergencyEnded():
            what = "false alarm" if event.false_alarm else "over"
            return "emergency", f"{what} after {duration_text(int(event.seconds))}"
        case ev.SignedOff():
            return "signed off", (
                f"by {event.operator}, {event.deviations} deviations, {event.problems} problems"
            )
        case ev.Abandoned():
            return "abandoned", f"by {event.operator}"
        case ev.Asked():
            return "", ""
    return more_told(event)


def _heard(event: ev.Heard) -> tuple[str, str]:
    if not event.accepted:
        return "not understood", f"{event.source}, score {event.score:.1f}: {event.reason}"
    if event.source != "voice":
        return "heard", f'"{event.text}" ({event.source})'
    other = f', next best "{event.runner_up}"' if event.runner_up else ""
    return "heard", f'"{event.text}" (score {event.score:.1f}{other})'

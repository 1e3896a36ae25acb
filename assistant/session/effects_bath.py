"""What is said about baths."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING, Any

from assistant.procedure.model import BayTask
from assistant.procedure.quantity import Quantity, Unit, duration_text
from assistant.session import event as ev
from assistant.session.bath_check import mending
from assistant.session.effect import Effect, Prompt, Say, Tone, ToneName, say, slots
from assistant.session.track import find

if TYPE_CHECKING:
    from collections.abc import Callable
    from datetime import datetime

    from assistant.procedure.model import Procedure
    from assistant.session.state import State


def standing(procedure: Procedure, state: State, bath: str, at: datetime) -> tuple[Prompt, ...]:
    """That a bath of an earlier session may be taken over."""
    stood = state.standing[bath]
    age = duration_text(max(1, int((at - stood.made_at).total_seconds())))
    return (Prompt("bath_stands", slots(bath=procedure.bath(bath).name, age=age,
                                        uses=str(stood.uses))),)  # fmt: skip


def taken(procedure: Procedure, event: ev.BathTaken, _after: State) -> tuple[Effect, ...]:
    """It was taken over."""
    return say("bath_taken", bath=procedure.bath(event.bath).name)


def made(procedure: Procedure, event: ev.BathMade, _after: State) -> tuple[Effect, ...]:
    """Its age counts from here; how long it may be used."""
    bath = procedure.bath(event.bath)
    if bath.most_age_s is None:
        return ()
    return say("bath_made", bath=bath.name, most=duration_text(bath.most_age_s))


def measured(procedure: Procedure, event: ev.BathMeasured, _after: State) -> tuple[Effect, ...]:
    """How long it stays within its window, against the longest soak to come."""
    bath = procedure.bath(event.bath)
    if not event.within:
        at = Quantity(Decimal(event.value), Unit(event.unit))
        known = mending(procedure, bath, at) is not None  # then the advice follows
        return () if known else say("bath_tap", bath=bath.name)
    if event.leaves_s is None:
        return ()
    left = duration_text(event.leaves_s // 60 * 60 or event.leaves_s)  # no more than it is
    soak = duration_text(event.soak_s)
    if event.leaves_s < event.soak_s:
        told = Prompt("bath_cools_early", slots(bath=bath.name, left=left, soak=soak))
        return (Tone(ToneName.ATTENTION), Say((told,)))
    return say("bath_lasts", bath=bath.name, left=left)


def doubtful(procedure: Procedure, event: ev.BathDoubtful, _after: State) -> tuple[Effect, ...]:
    """It must be measured again."""
    told = Prompt("bath_doubtful", slots(bath=procedure.bath(event.bath).name))
    return (Tone(ToneName.ATTENTION), Say((told,)))


def mixed(_procedure: Procedure, event: ev.MixAdvised, _after: State) -> tuple[Effect, ...]:
    """How much water to put in for as much taken out."""
    return say("bath_mix", water=event.water, tap=event.tap, dose=event.dose, after=event.after)


def spoiled(procedure: Procedure, event: ev.BathSpoiled, _after: State) -> tuple[Effect, ...]:
    """It takes no further part."""
    told = Prompt("bath_spoiled", slots(bath=procedure.bath(event.bath).name))
    return (Tone(ToneName.ATTENTION), Say((told,)))


def emptied(procedure: Procedure, event: ev.BathEmptied, _after: State) -> tuple[Effect, ...]:
    """It is made anew, where it is needed; how its bay is made ready, its track tells."""
    if not event.steps:
        return ()
    first = find(procedure, event.steps[0])
    key = "bath_given_up" if isinstance(first.task, BayTask) else "bath_emptied"
    return say(key, bath=procedure.bath(event.bath).name)


# By class of event.
TELL: dict[type[ev.Event], Callable[[Procedure, Any, State], tuple[Effect, ...]]] = {
    ev.BathTaken: taken,
    ev.BathMade: made,
    ev.BathMeasured: measured,
    ev.BathDoubtful: doubtful,
    ev.MixAdvised: mixed,
    ev.BathSpoiled: spoiled,
    ev.BathEmptied: emptied,
}

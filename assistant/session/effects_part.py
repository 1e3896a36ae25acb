"""What is said about what arrived, was counted, tested, and handed on."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from assistant.procedure.model import TestTask, WaterJudge
from assistant.session import event as ev
from assistant.session.effect import (
    Effect,
    Prompt,
    Say,
    Slot,
    Style,
    Tone,
    ToneName,
    say,
    slots,
)
from assistant.session.instruction import instruction
from assistant.session.table import Stage
from assistant.session.track import find, handing_on, open_at, present, stage

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.procedure.model import Procedure, Step
    from assistant.session.state import State

_CLEAN = "clean"


def barred(_p: Procedure, event: ev.ProcedureBarred, _after: State) -> tuple[Effect, ...]:
    """Why the procedure may not be used, and what can be said."""
    why = Prompt(f"barred_{event.reason}", slots(about=event.about))
    return (Tone(ToneName.REFUSED), Say((why, Prompt("barred"))))


def overridden(_p: Procedure, event: ev.ProcedureOverridden, _after: State) -> tuple[Effect, ...]:
    """It is used all the same."""
    return say("overridden", reason=event.reason)


def item(_p: Procedure, event: ev.ItemNoted, _after: State) -> tuple[Effect, ...]:
    """What was missing, damaged or for single use."""
    return say(f"item_{event.kind}", item=event.name)


def delay(_p: Procedure, event: ev.DelayFound, _after: State) -> tuple[Effect, ...]:
    """The device is late: what applies then."""
    told = Prompt("delay_found", slots(instead=event.instead))
    return (Tone(ToneName.ATTENTION), Say((told,)))


def tallied(_p: Procedure, event: ev.Tallied, _after: State) -> tuple[Effect, ...]:
    """How many are still to be made."""
    if not event.left:
        return say(f"{event.kind}_enough", count=str(event.count))
    result = "" if event.result in ("", _CLEAN) else f"_{event.result}"
    return say(f"{event.kind}_counted{result}", count=str(event.count), left=str(event.left))


def not_to_be_passed_on(procedure: Procedure, state: State, step: Step) -> Prompt:
    """At the handing on of a part with an open deviation: which, and what can be said."""
    part = procedure.component(state.focus)
    kinds = "|".join(dict.fromkeys(str(one.kind) for one in open_at(state, part.id)))
    about = Slot("about", kinds, Style.NAMES)
    may_say = Slot("may_say", "|".join(handing_on(procedure, state)), Style.PHRASES)
    return Prompt(
        "step_hand_on_open",
        (Slot("component", part.name), about, may_say),
        step=step.id,
    )


def _unjudged(procedure: Procedure, event: ev.Tested) -> bool:
    """Whether no table says what the water may be."""
    match find(procedure, event.step).task:
        case TestTask(judge=WaterJudge(table=None)):
            return True
    return False


def tested(procedure: Procedure, event: ev.Tested, _after: State) -> tuple[Effect, ...]:
    """What a test came to."""
    tone = () if event.outcome == "pass" else (Tone(ToneName.ATTENTION),)
    value = Slot("value", event.value, Style.DIGITS)
    named = (*slots(of=event.of, unit=event.unit), value)
    key = "test_unjudged" if _unjudged(procedure, event) else f"test_{event.outcome}"
    return (*tone, Say((Prompt(key, named),)))


def begun(procedure: Procedure, event: ev.RoundBegun, _after: State) -> tuple[Effect, ...]:
    """Which round it is."""
    part = procedure.component(event.component)
    return say(
        "round_begun",
        component=part.name,
        number=str(event.number),
        most=str(event.most),
        step=part.steps[event.index].short,
    )


def accepted(
    procedure: Procedure, event: ev.DeviationsAccepted, after: State
) -> tuple[Effect, ...]:
    """A lead took the deviations; what can now be done with the part is said again."""
    name = procedure.component(event.component).name
    told = Prompt("deviations_accepted", slots(component=name, count=str(event.count)))
    step = present(procedure, after, event.component)
    ready = step is not None and stage(after, step) is Stage.READY
    return (Say((told, instruction(step)) if step is not None and ready else (told,)),)


def chosen(procedure: Procedure, event: ev.DispositionChosen, _a: State) -> tuple[Effect, ...]:
    """Where the part goes; its container is asked for."""
    where = Slot("where", str(event.disposition), Style.NAMES)
    part = Slot("component", procedure.component(event.component).name)
    return (Say((Prompt("disposition_chosen", (part, where)),)),)


def disposed(procedure: Procedure, event: ev.Disposed, _after: State) -> tuple[Effect, ...]:
    """It is handed on and recorded."""
    where = Slot("where", str(event.disposition), Style.NAMES)
    part = Slot("component", procedure.component(event.component).name)
    return (Say((Prompt("disposed", (part, where)),)),)


# By class of event.
TELL: dict[type[ev.Event], Callable[[Procedure, Any, State], tuple[Effect, ...]]] = {
    ev.ProcedureBarred: barred,
    ev.ProcedureOverridden: overridden,
    ev.ItemNoted: item,
    ev.DelayFound: delay,
    ev.Tallied: tallied,
    ev.Tested: tested,
    ev.RoundBegun: begun,
    ev.DeviationsAccepted: accepted,
    ev.DispositionChosen: chosen,
    ev.Disposed: disposed,
}

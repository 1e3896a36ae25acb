"""From events to effects: what is said and sounded because something happened."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING, Any

from assistant.procedure.model import HandOnTask, Role
from assistant.procedure.quantity import duration_text
from assistant.session import effects_bath, effects_part, effects_value
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.effect import (
    Effect,
    Explain,
    Hush,
    Prompt,
    Say,
    SayAgain,
    Slot,
    Style,
    Tone,
    ToneName,
    numbered,
    say,
    slots,
)
from assistant.session.instruction import as_needed, step_prompts
from assistant.session.refusal import Refusal
from assistant.session.status import (
    advice,
    choices,
    end,
    listing,
    offer,
    soaking,
    status,
    timers,
)
from assistant.session.table import Phase
from assistant.session.track import answers, blockers, find, open_at, present, sayable, stage

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure
    from assistant.session.state import State

_PATIENCE = 2  # misunderstandings in a row before the choices are offered
_LATE_S = 5  # an end announced later than this is said to be late


def effects(
    procedure: Procedure, before: State, event: ev.Event, after: State
) -> tuple[Effect, ...]:
    """What the station does because ``event`` turned ``before`` into ``after``."""
    del before  # what happened is all in the event and in what came of it
    return numbered(_effects(procedure, event, after), after.seq)


def _effects(procedure: Procedure, event: ev.Event, after: State) -> tuple[Effect, ...]:
    """The working, then whatever the event's class brings."""
    tell = _TELL.get(type(event))
    told = () if tell is None else tell(procedure, event, after)
    lines: tuple[str, ...] = getattr(event, "working", ())
    return (Explain(lines), *told) if lines else told


def _opened(_p: Procedure, event: ev.SessionOpened, _after: State) -> tuple[Effect, ...]:
    named = slots(title=event.title, revision=event.revision, notice=event.notice)
    return (Say((Prompt("opened", named), Prompt("opened_help"))),)


def _reopened(procedure: Procedure, event: ev.SessionReopened, after: State) -> tuple[Effect, ...]:
    again = Say((Prompt("reopened"), *timers(procedure, after, event.at)))
    if after.phase in (Phase.PAUSED, Phase.EMERGENCY, Phase.BARRED):
        return (again, *say(str(after.phase)))
    return (again,)


def _entered(procedure: Procedure, event: ev.StepEntered, after: State) -> tuple[Effect, ...]:
    step = find(procedure, event.step)
    tone = (Tone(ToneName.ATTENTION),) if event.cautions else ()
    stands: tuple[Prompt, ...] = ()
    component = procedure.component(event.component)
    if component.role is Role.BATH and event.index == 0 and component.id in after.standing:
        stands = effects_bath.standing(procedure, after, component.id, event.at)
    prompts = step_prompts(as_needed(step, after), after.received_as)
    if isinstance(step.task, HandOnTask) and open_at(after, event.component):
        prompts = (*prompts[:-1], effects_part.not_to_be_passed_on(procedure, after, step))
    return (*tone, Say((*stands, *prompts)))


def _completed(
    procedure: Procedure, event: ev.StepCompleted | ev.StepPassedOver, after: State
) -> tuple[Effect, ...]:
    return _waiting(procedure, event.component, after)


def _skipped(procedure: Procedure, event: ev.StepSkipped, after: State) -> tuple[Effect, ...]:
    step = find(procedure, event.step)
    said = say("skipped", step=step.short, reason=event.reason)
    return (*said, *_waiting(procedure, event.component, after))


def _finished(procedure: Procedure, event: ev.TrackFinished, after: State) -> tuple[Effect, ...]:
    component = procedure.component(event.component)
    if component.role is not Role.PART:
        return ()
    done = Prompt("track_finished", slots(component=component.name, onward=event.onward))
    told = () if event.component in after.disposed else (done,)
    # Where nothing can be done but wait, it is told for what.
    further = offer(procedure, after) or timers(procedure, after, event.at)
    return (Say((*told, *further)),)


def _milestone(procedure: Procedure, event: ev.DwellMilestone, _a: State) -> tuple[Effect, ...]:
    return _dwell(procedure, event, "milestone", left=duration_text(event.remaining_s))


def _overdue(procedure: Procedure, event: ev.DwellOverdue, after: State) -> tuple[Effect, ...]:
    then = Say((end(procedure, after, event.component),))
    return (Tone(ToneName.TIMER), *_dwell(procedure, event, "overdue"), then)


def _ended(procedure: Procedure, event: ev.DwellEnded, _after: State) -> tuple[Effect, ...]:
    spent = duration_text(int(event.seconds))
    return _dwell(procedure, event, "ended" if event.counts else "undone", spent=spent)


def _problem(procedure: Procedure, event: ev.ProblemNoted, _after: State) -> tuple[Effect, ...]:
    name = procedure.component(event.component).name
    return say("problem_noted", problem=event.problem, component=name)


def _deviation(procedure: Procedure, event: ev.DeviationNoted, _after: State) -> tuple[Effect, ...]:
    names = {component.id: component.name for component in procedure.components}
    part = names.get(event.component, "")
    return say(f"deviation_{event.kind}", detail=event.detail, component=part)


def _withdrawn(
    procedure: Procedure, event: ev.ConfirmationWithdrawn, after: State
) -> tuple[Effect, ...]:
    if event.kind is not ev.PendingKind.VALUE:
        return say(f"withdrawn_{event.kind}", of=event.of)
    step = present(procedure, after, after.focus)
    again = (Verb.READING,) if step is None else answers(step)
    phrase = Slot("phrase", "|".join(again), Style.PHRASES)
    return (Say((Prompt("withdrawn_value", (phrase,)),)),)


def _emergency(_p: Procedure, event: ev.EmergencyCalled, _after: State) -> tuple[Effect, ...]:
    key = f"first_aid_{event.body.replace(' ', '_')}"
    aid = Prompt(key, slots(flush=duration_text(event.flush_s)))
    return (Hush(), Tone(ToneName.ATTENTION), Say((aid, Prompt("exposure_plan"))))


def _flush_left(_p: Procedure, event: ev.FlushMilestone, _after: State) -> tuple[Effect, ...]:
    return say("flush_left", left=duration_text(event.remaining_s))


def _emergency_ended(
    procedure: Procedure, event: ev.EmergencyEnded, after: State
) -> tuple[Effect, ...]:
    ended = Prompt("false_alarm" if event.false_alarm else "emergency_ended")
    return (Say((ended, *timers(procedure, after, event.at))),)


def _resumed(procedure: Procedure, event: ev.Resumed, after: State) -> tuple[Effect, ...]:
    return (Say((Prompt("resumed"), *timers(procedure, after, event.at))),)


def _signed_off(_p: Procedure, event: ev.SignedOff, _after: State) -> tuple[Effect, ...]:
    return say("signed_off", deviations=str(event.deviations), problems=str(event.problems))


def _heard(procedure: Procedure, event: ev.Heard, after: State) -> tuple[Effect, ...]:
    if event.command:
        return (Tone(ToneName.HEARD),)
    refused = Tone(ToneName.REFUSED)
    if after.misheard < _PATIENCE:
        return (refused,)
    return (refused, Say((Prompt("not_understood", (choices(procedure, after),)),)))


# How what a refusal is about is said, where it is no plain text.
_ABOUT: dict[str, Style] = {
    Refusal.EXPECTS: Style.PHRASES,
    Refusal.WRONG_TIMER: Style.PHRASES,
    Refusal.DEVIATION_OPEN: Style.NAMES,
    Refusal.NOT_SOUND: Style.NAMES,
    Refusal.OTHER_TREATMENT: Style.NAMES,
    Refusal.CONTAINER_TAKEN: Style.NAMES,
}


# What may be said beside holding and repairing, where a part cannot be passed on.
_WAYS = {Verb.CLEAN_AGAIN: "way_clean_again", Verb.OVERRIDE: "way_override"}


def _ways(procedure: Procedure, reason: str, after: State) -> tuple[Prompt, ...]:
    if reason not in (Refusal.DEVIATION_OPEN, Refusal.NOT_SOUND):
        return ()
    may_say = sayable(procedure, after)
    return tuple(Prompt(key) for verb, key in _WAYS.items() if verb in may_say)


def _command_refused(
    procedure: Procedure, event: ev.CommandRefused, after: State
) -> tuple[Effect, ...]:
    about = Slot("about", event.about, _ABOUT.get(event.reason, Style.PLAIN))
    step = present(procedure, after, after.focus) if after.focus else None
    step_id = "" if step is None else step.id
    why = Prompt(f"refused_{event.reason}", (about,), step=step_id)
    if event.reason == Refusal.CAUTION_UNHEARD and step is not None:
        return (Tone(ToneName.REFUSED), Say((why, *step_prompts(step, after.received_as))))
    return (Tone(ToneName.REFUSED), Say((why, *_ways(procedure, event.reason, after))))


def _asked(procedure: Procedure, event: ev.Asked, after: State) -> tuple[Effect, ...]:
    match event.verb:
        case Verb.REPEAT:
            return (SayAgain(),)
        case Verb.HUSH:
            return (Hush(),)
        case Verb.WHERE:
            return (Say(status(procedure, after, event.at)),)
        case Verb.ADVISE:
            return (Say(advice(procedure, after, event.at)),)
        case Verb.SOAKING:
            return (Say(soaking(procedure, after, event.at)),)
        case Verb.HOW_LONG:
            return (Say(timers(procedure, after, event.at) or (Prompt("no_timer"),)),)
        case _:
            return (Say((listing(procedure, after),)),)


def _waiting(procedure: Procedure, component: str, after: State) -> tuple[Effect, ...]:
    """What is said when the step that is now present cannot be entered yet."""
    step = present(procedure, after, component)
    if step is None:
        return ()
    waits = ", ".join(need.short for need in blockers(procedure, after, step))
    if not waits:
        return ()
    name = procedure.component(component).name
    prompt = Prompt("track_waits", slots(component=name, waits=waits))
    return (Say((prompt, *offer(procedure, after))),)


def _switched(procedure: Procedure, event: ev.TrackSwitched, after: State) -> tuple[Effect, ...]:
    component = procedure.component(event.component)
    now = Prompt("track_switched", slots(component=component.name))
    step = present(procedure, after, component.id)
    if step is None and component.role is Role.BATH and component.id not in after.baths:
        return (Say((now, Prompt("bath_drained", slots(bath=component.name)))),)
    if step is None and component.role is Role.BATH:
        return (Say((now, Prompt("bath_ready", slots(bath=component.name)))),)
    if step is None:
        done = Prompt("track_done", slots(component=component.name, onward=component.onward))
        return (Say((now, done)),)
    running = [dwell for dwell in after.running() if dwell.step == step.id]
    if running:
        return (Say((now, *timers(procedure, after, event.at, only=step.id))),)
    if stage(after, step) is None:
        return (Say((now,)), *_waiting(procedure, component.id, after))
    return (Say((now,)),)


def _dwell_started(
    procedure: Procedure, event: ev.DwellStarted, after: State
) -> tuple[Effect, ...]:
    name = procedure.component(event.component).name
    named = slots(component=name, least=duration_text(event.least_s))
    key = f"{event.kind}_started"
    if event.most_s is not None:
        key += "_with_most"
        named += slots(most=duration_text(event.most_s))
    return (Say((Prompt(key, named, step=event.step), *offer(procedure, after))),)


_Timed = ev.DwellMilestone | ev.DwellRipe | ev.DwellOverdue | ev.DwellEnded


def _dwell(procedure: Procedure, event: _Timed, what: str, **texts: str) -> tuple[Effect, ...]:
    name = procedure.component(event.component).name
    return say(f"{event.kind}_{what}", component=name, **texts)


def _ripe(procedure: Procedure, event: ev.DwellRipe, after: State) -> tuple[Effect, ...]:
    late_s = int((event.at - event.due_at).total_seconds())
    what, texts = "ripe", {}
    if late_s > _LATE_S:
        what, texts = "ripe_late", {"ago": duration_text(late_s)}
    elif event.left_s is not None:
        what, texts = "ripe_with_most", {"left": duration_text(event.left_s)}
    then = Say((end(procedure, after, event.component),))
    return (Tone(ToneName.TIMER), *_dwell(procedure, event, what, **texts), then)


_Teller = Callable[["Procedure", Any, "State"], tuple[Effect, ...]]

# By class of event.  What is not here is not told: it is history, or told with another.
_TELL: dict[type[ev.Event], _Teller] = {
    ev.SessionOpened: _opened,
    ev.SessionReopened: _reopened,
    ev.Heard: _heard,
    ev.CommandRefused: _command_refused,
    ev.Asked: _asked,
    ev.StepEntered: _entered,
    ev.StepCompleted: _completed,
    ev.StepSkipped: _skipped,
    ev.TrackFinished: _finished,
    ev.TrackSwitched: _switched,
    ev.DwellStarted: _dwell_started,
    ev.DwellMilestone: _milestone,
    ev.DwellRipe: _ripe,
    ev.DwellOverdue: _overdue,
    ev.DwellEnded: _ended,
    ev.ConfirmationAsked: effects_value.read_back,
    ev.ConfirmationWithdrawn: _withdrawn,
    ev.ValueRefused: effects_value.refused,
    ev.ValueAccepted: effects_value.accepted,
    ev.DeviceIdentified: effects_value.identified,
    ev.ProblemNoted: _problem,
    ev.DeviationNoted: _deviation,
    ev.Paused: lambda _p, _event, _after: say("paused"),
    ev.Resumed: _resumed,
    ev.EmergencyCalled: _emergency,
    ev.FlushMilestone: _flush_left,
    ev.FlushDone: lambda _p, _event, _after: (Tone(ToneName.TIMER), *say("flush_done")),
    ev.EmergencyEnded: _emergency_ended,
    ev.SignedOff: _signed_off,
    ev.Abandoned: lambda _p, _event, _after: say("abandoned"),
    **effects_bath.TELL,
    **effects_part.TELL,
}

"""From events to effects: what is said and sounded because something happened."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import Act, Dwell, LotTask, Procedure, Question, ReadingTask, Step
from assistant.procedure.quantity import duration_text
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.effect import (
    Effect,
    Hush,
    Prompt,
    Say,
    SayAgain,
    Slot,
    Style,
    Tone,
    ToneName,
    numbered,
)
from assistant.session.refusal import Refusal
from assistant.session.status import advice, choices, offer, status, timers
from assistant.session.table import Phase
from assistant.session.track import NO, blockers, find, present, stage

if TYPE_CHECKING:
    from assistant.session.state import State

_PATIENCE = 2  # misunderstandings in a row before the choices are offered
_LATE_S = 5  # an end announced later than this is said to be late


def effects(
    procedure: Procedure, before: State, event: ev.Event, after: State
) -> tuple[Effect, ...]:
    """What the station does because ``event`` turned ``before`` into ``after``."""
    del before  # what happened is all in the event and in what came of it
    return numbered(_effects(procedure, event, after), after.seq)


def step_prompts(step: Step) -> tuple[Prompt, ...]:
    """The cautions of a step, then its instruction."""
    cautions = (
        Prompt("caution", (Slot("text", caution.text),), step=step.id, caution=caution.id)
        for caution in step.cautions
    )
    return (*cautions, instruction(step))


def instruction(step: Step) -> Prompt:
    """A step's instruction, with what completes it."""
    say = Slot("say", step.say)
    match step.task:
        case Act():
            return Prompt("step_act", (say,), step=step.id)
        case Dwell(kind=kind):
            return Prompt(f"step_{kind}", (say,), step=step.id)
        case ReadingTask(of=of):
            return Prompt("step_reading", (say, Slot("of", of)), step=step.id)
        case LotTask(of=of):
            return Prompt("step_lot", (say, Slot("of", of)), step=step.id)
    return Prompt("step_question", (say, Slot("question", step.task.text)), step=step.id)


def _effects(  # noqa: C901, PLR0912 - one case a fact
    procedure: Procedure, event: ev.Event, after: State
) -> tuple[Effect, ...]:
    match event:
        case ev.SessionOpened():
            return _say("opened", title=event.title, revision=event.revision, notice=event.notice)
        case ev.SessionReopened():
            again = Say((Prompt("reopened"), *timers(procedure, after, event.at)))
            if after.phase in (Phase.PAUSED, Phase.EMERGENCY):
                return (again, *_say(str(after.phase)))
            return (again,)
        case ev.Heard():
            return _heard(procedure, event, after)
        case ev.CommandRefused():
            return _command_refused(procedure, event, after)
        case ev.Asked():
            return _asked(procedure, event, after)
        case ev.StepEntered():
            prompts = step_prompts(find(procedure, event.step))
            tone = (Tone(ToneName.ATTENTION),) if event.cautions else ()
            return (*tone, Say(prompts))
        case ev.StepCompleted():
            return _waiting(procedure, event.component, after)
        case ev.StepSkipped():
            step = find(procedure, event.step)
            said = _say("skipped", step=step.short, reason=event.reason)
            return (*said, *_waiting(procedure, event.component, after))
        case ev.TrackFinished():
            name = procedure.component(event.component).name
            done = Prompt("track_finished", _slots(component=name, onward=event.onward))
            return (Say((done, *offer(procedure, after))),)
        case ev.TrackSwitched():
            return _switched(procedure, event, after)
        case ev.DwellStarted():
            return _dwell_started(procedure, event, after)
        case ev.DwellMilestone():
            left = duration_text(event.remaining_s)
            return _dwell(procedure, event, "milestone", left=left)
        case ev.DwellRipe():
            return _ripe(procedure, event)
        case ev.DwellOverdue():
            return (Tone(ToneName.TIMER), *_dwell(procedure, event, "overdue"))
        case ev.DwellEnded():
            spent = duration_text(int(event.seconds))
            return _dwell(procedure, event, "ended" if event.counts else "undone", spent=spent)
        case ev.ConfirmationAsked():
            return _read_back(procedure, event, after)
        case ev.ConfirmationWithdrawn():
            return _say(f"withdrawn_{event.kind}", of=event.of)
        case ev.ValueRefused():
            return _value_refused(procedure, event)
        case ev.ValueAccepted():
            return _value_accepted(procedure, event)
        case ev.ProblemNoted():
            name = procedure.component(event.component).name
            return _say("problem_noted", problem=event.problem, component=name)
        case ev.DeviationNoted():
            return _say(f"deviation_{event.kind}", detail=event.detail)
        case ev.Paused():
            return _say("paused")
        case ev.Resumed():
            return _say("resumed")
        case ev.EmergencyCalled():
            aid = Prompt(
                f"first_aid_{event.body.replace(' ', '_')}",
                _slots(flush=duration_text(event.flush_s)),
            )
            return (Hush(), Tone(ToneName.ATTENTION), Say((aid, Prompt("exposure_plan"))))
        case ev.FlushMilestone():
            return _say("flush_left", left=duration_text(event.remaining_s))
        case ev.FlushDone():
            return (Tone(ToneName.TIMER), *_say("flush_done"))
        case ev.EmergencyEnded():
            return _say("false_alarm" if event.false_alarm else "emergency_ended")
        case ev.SignedOff():
            return _say(
                "signed_off", deviations=str(event.deviations), problems=str(event.problems)
            )
        case ev.Abandoned():
            return _say("abandoned")
    return ()


def _slots(**texts: str) -> tuple[Slot, ...]:
    return tuple(Slot(name, text) for name, text in texts.items())


def _say(key: str, **texts: str) -> tuple[Effect, ...]:
    return (Say((Prompt(key, _slots(**texts)),)),)


def _heard(procedure: Procedure, event: ev.Heard, after: State) -> tuple[Effect, ...]:
    if event.command:
        return (Tone(ToneName.HEARD),)
    refused = Tone(ToneName.REFUSED)
    if after.misheard < _PATIENCE:
        return (refused,)
    return (refused, Say((Prompt("not_understood", (choices(procedure, after),)),)))


def _command_refused(
    procedure: Procedure, event: ev.CommandRefused, after: State
) -> tuple[Effect, ...]:
    phrases = event.reason in (Refusal.EXPECTS, Refusal.WRONG_TIMER)
    about = Slot("about", event.about, Style.PHRASES if phrases else Style.PLAIN)
    step = present(procedure, after, after.focus)
    step_id = "" if step is None else step.id
    why = Prompt(f"refused_{event.reason}", (about,), step=step_id)
    if event.reason == Refusal.CAUTION_UNHEARD and step is not None:
        return (Tone(ToneName.REFUSED), Say((why, *step_prompts(step))))
    return (Tone(ToneName.REFUSED), Say((why,)))


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
        case Verb.HOW_LONG:
            return (Say(timers(procedure, after, event.at) or (Prompt("no_timer"),)),)
        case _:
            return (Say((Prompt("help", (choices(procedure, after),)),)),)


def _waiting(procedure: Procedure, component: str, after: State) -> tuple[Effect, ...]:
    """What is said when the step that is now present cannot be entered yet."""
    step = present(procedure, after, component)
    if step is None:
        return ()
    waits = ", ".join(need.short for need in blockers(procedure, after, step))
    if not waits:
        return ()
    name = procedure.component(component).name
    prompt = Prompt("track_waits", _slots(component=name, waits=waits))
    return (Say((prompt, *offer(procedure, after))),)


def _switched(procedure: Procedure, event: ev.TrackSwitched, after: State) -> tuple[Effect, ...]:
    component = procedure.component(event.component)
    now = Prompt("track_switched", _slots(component=component.name))
    step = present(procedure, after, component.id)
    if step is None:
        done = Prompt("track_done", _slots(component=component.name, onward=component.onward))
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
    slots = _slots(component=name, least=duration_text(event.least_s))
    key = f"{event.kind}_started"
    if event.most_s is not None:
        key += "_with_most"
        slots += _slots(most=duration_text(event.most_s))
    return (Say((Prompt(key, slots, step=event.step), *offer(procedure, after))),)


_Timed = ev.DwellMilestone | ev.DwellRipe | ev.DwellOverdue | ev.DwellEnded


def _dwell(procedure: Procedure, event: _Timed, what: str, **texts: str) -> tuple[Effect, ...]:
    name = procedure.component(event.component).name
    return _say(f"{event.kind}_{what}", component=name, **texts)


def _ripe(procedure: Procedure, event: ev.DwellRipe) -> tuple[Effect, ...]:
    late_s = int((event.at - event.due_at).total_seconds())
    what, texts = "ripe", {}
    if late_s > _LATE_S:
        what, texts = "ripe_late", {"ago": duration_text(late_s)}
    elif event.left_s is not None:
        what, texts = "ripe_with_most", {"left": duration_text(event.left_s)}
    return (Tone(ToneName.TIMER), *_dwell(procedure, event, what, **texts))


def _read_back(
    procedure: Procedure, event: ev.ConfirmationAsked, after: State
) -> tuple[Effect, ...]:
    match event.kind:
        case ev.PendingKind.VALUE:
            spelled = isinstance(find(procedure, event.step).task, LotTask)
            style = Style.SPELLED if spelled else Style.DIGITS
            value = Slot("value", event.value, style)
            key = "read_back_lot" if spelled else "read_back_reading"
            slots = (Slot("of", event.of), value, Slot("unit", event.unit))
            return (Say((Prompt(key, slots, step=event.step),)),)
        case ev.PendingKind.SKIP:
            return _say("read_back_skip", step=event.of, reason=event.value)
        case ev.PendingKind.SIGN_OFF:
            counts = str(len(after.deviations)), str(len(after.problems))
            return _say("read_back_sign_off", deviations=counts[0], problems=counts[1])
    return _say("read_back_abandon")


def _value_refused(procedure: Procedure, event: ev.ValueRefused) -> tuple[Effect, ...]:
    spelled = isinstance(find(procedure, event.step).task, LotTask)
    slots = (
        Slot("of", event.of),
        Slot("value", event.value, Style.SPELLED if spelled else Style.DIGITS),
        Slot("unit", event.unit),
        Slot("limits", event.limits),
    )
    return (
        Tone(ToneName.REFUSED),
        Say((Prompt(f"value_{event.reason}", slots, step=event.step),)),
    )


def _value_accepted(procedure: Procedure, event: ev.ValueAccepted) -> tuple[Effect, ...]:
    task = find(procedure, event.step).task
    if not isinstance(task, Question):
        return _say("value_recorded", of=event.of)
    if event.value == NO:
        return _say("answered_no", instead=task.if_not)
    return ()

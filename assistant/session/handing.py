"""Decisions about where a part goes from here: one disposition, a reason, a container."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure.model import HandOnTask
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.moment import AtStep, Moment, ask, refuse
from assistant.session.moves import complete, expects
from assistant.session.refusal import Refusal
from assistant.session.table import Stage
from assistant.session.track import open_at

if TYPE_CHECKING:
    from assistant.session.state import State

_Events = tuple[ev.Event, ...]
_REASON = "cleaned by the procedure"
_CHOSEN_BY = {Verb.HOLD: ev.Disposition.HOLD, Verb.REPAIR: ev.Disposition.REPAIR}


def choose(here: AtStep) -> _Events:
    """Where the part is to go: refused where something keeps it from there."""
    task, moment = here.step.task, here.moment
    if not isinstance(task, HandOnTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    verb, part = moment.command.verb, moment.component
    if verb is Verb.HAND_ON:
        wanted = ev.Disposition(moment.command.value)
        if wanted != task.treatment.value:
            return refuse(moment, Refusal.OTHER_TREATMENT, task.treatment)
        if open_at(moment.state, part.id):
            return refuse(moment, Refusal.DEVIATION_OPEN, _open(moment.state, part.id))
        return (ev.DispositionChosen(moment.at, part.id, wanted, _REASON),)
    disposition = _CHOSEN_BY[verb]
    reason = moment.command.value
    return ask(moment, ev.PendingKind.DISPOSITION, disposition, reason, step=here.step.id)


def _open(state: State, component: str) -> str:
    """What keeps the part, the kinds of its open deviations, each once."""
    kinds = dict.fromkeys(str(d.kind) for d in state.open if d.component == component)
    return "|".join(kinds)


def chosen(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """A hold or a repair was confirmed; its container is named next."""
    moment = here.moment
    where = ev.Disposition(pending.of)
    return (ev.DispositionChosen(moment.at, moment.component.id, where, pending.value),)


def container(here: AtStep, code: str) -> _Events:
    """The container that the part lies in: nothing of another treatment may lie in it."""
    moment, part = here.moment, here.moment.component
    if not isinstance(here.step.task, HandOnTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    choice = moment.state.choices.get(part.id)
    if choice is None:
        return refuse(moment, Refusal.NO_DISPOSITION)
    for other in moment.state.disposed.values():
        if other.container == code and other.disposition is not choice.disposition:
            return refuse(moment, Refusal.CONTAINER_TAKEN, str(other.disposition))
    return ask(moment, ev.PendingKind.CONTAINER, part.name, code, step=here.step.id)


def disposed(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """The part is handed on; its label leads back to the session."""
    moment, part = here.moment, here.moment.component
    choice = moment.state.choices[part.id]
    label = f"sinkside:session:{moment.state.session}:{part.id}"
    gone = ev.Disposed(moment.at, part.id, choice.disposition, choice.reason, pending.value, label)
    return complete(here, gone)


def override(moment: Moment) -> _Events:
    """A lead's word: for a barred procedure, or for a part's open deviations."""
    if not moment.command.value:
        return refuse(moment, Refusal.NO_REASON)
    if moment.state.barred:
        return ask(moment, ev.PendingKind.OVERRIDE)
    part = moment.component
    mine = open_at(moment.state, part.id)
    if not mine:
        return refuse(moment, Refusal.NOTHING_ASKED)
    if any(deviation.kind not in ev.ACCEPTABLE for deviation in mine):
        return refuse(moment, Refusal.NOT_SOUND, _open(moment.state, part.id))
    return ask(moment, ev.PendingKind.ACCEPT, part.name)


def deviations_accepted(moment: Moment, pending: ev.ConfirmationAsked) -> _Events:
    """A lead took the part's deviations, with a reason."""
    part = moment.component.id
    count = len(open_at(moment.state, part))
    return (ev.DeviationsAccepted(moment.at, part, pending.value, count),)

"""Decisions when a device is taken in: its identity, its delay, its count."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure.model import CountTask, ElapsedTask, IdentifyTask, Otherwise, Question
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.moment import AtStep, Moment, ask, refuse
from assistant.session.moves import brief, complete, ended, expects
from assistant.session.refusal import Refusal
from assistant.session.rounds import failed
from assistant.session.state import NO, YES
from assistant.session.table import Stage
from assistant.trade.delay import Course, course
from assistant.trade.identity import Identity, expired

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator
    from datetime import datetime

    from assistant.procedure.model import Item, Procedure

_Events = tuple[ev.Event, ...]
_EXPIRED = "the last good day on its label is over"


def stood(procedure: Procedure, standing: Iterable[ev.BathStood]) -> Iterator[ev.BathStood]:
    """The standing baths that the procedure can take over, each in its bay.

    One in another bay than the plan's is in the way there, and not offered.
    """
    bays = {
        step.place.content: step.place.bay
        for bath in procedure.baths
        for component in procedure.components
        if component.id == bath.id
        for step in component.steps
        if step.place is not None
    }
    known = {bath.id for bath in procedure.baths}
    for found in standing:
        bay = bays.get(found.bath, "")
        if found.bath in known and (not bay or found.bay in ("", bay)):
            yield replace(found, bay=bay)


def barred(procedure: Procedure, at: datetime) -> tuple[ev.ProcedureBarred, ...]:
    """Why the procedure may not be used today; empty where it may."""
    approval, today = procedure.approval, at.date()
    if approval is None:
        return (ev.ProcedureBarred(at, "unapproved", procedure.revision),)
    if today < approval.on:
        return (ev.ProcedureBarred(at, "early", approval.on.isoformat()),)
    if today > approval.until:
        return (ev.ProcedureBarred(at, "expired", approval.until.isoformat()),)
    return ()


def identify(here: AtStep, found: Identity) -> _Events:
    """A scanned device: read back where it is one of this procedure's."""
    moment = here.moment
    if not isinstance(here.step.task, IdentifyTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    if found.key() not in moment.procedure.codes:
        return refuse(moment, Refusal.UNKNOWN_DEVICE, found.item or found.raw)
    return ask(moment, ev.PendingKind.IDENTITY, found.read_back(), found.item, step=here.step.id,
               raw=found.raw)  # fmt: skip


def name_device(here: AtStep) -> _Events:
    """The device by its name: right where it is the one of this procedure."""
    moment = here.moment
    if not isinstance(here.step.task, IdentifyTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    if moment.command.value != moment.procedure.id:
        return refuse(moment, Refusal.OTHER_DEVICE, moment.procedure.title)
    return ask(moment, ev.PendingKind.IDENTITY, moment.procedure.title, "", step=here.step.id)


def received(here: AtStep, found: Identity | None) -> _Events:
    """A yes or a no to the device that chose the procedure, before the session."""
    moment = here.moment
    if here.progress.stage is not Stage.READY:
        return expects(here)
    if moment.command.verb is not Verb.AFFIRM:
        return refuse(moment, Refusal.OTHER_DEVICE, moment.procedure.title)
    return identified(here, moment.state.received, found)


def identified(here: AtStep, raw: str, found: Identity | None) -> _Events:
    """The device is the one that was read back; without an identity, by its name."""
    moment = here.moment
    if found is None:
        return complete(here, ev.DeviceIdentified(moment.at, here.step.id, "name"))
    warnings = tuple(str(caveat) for caveat in found.warnings)
    if expired(found, moment.at.date()):
        warnings += (_EXPIRED,)
    return complete(
        here,
        ev.DeviceIdentified(
            moment.at,
            here.step.id,
            "scan",
            raw,
            found.scheme,
            found.item,
            found.serial,
            found.lot,
            "" if found.expires_on is None else found.expires_on.isoformat(),
            warnings,
        ),
    )


def answer(here: AtStep) -> _Events:
    """A yes or a no to the step's own question, count or inspection.

    A no is a deviation and stays one until it is mended and answered anew; the step
    stays too, so that it can be, or can be left by "next".
    """
    task, moment = here.step.task, here.moment
    yes = moment.command.verb is Verb.AFFIRM
    if isinstance(task, CountTask) and here.progress.stage is Stage.READY:
        return complete(here) if yes else refuse(moment, Refusal.NAME_FINDING)
    if not isinstance(task, Question):
        return refuse(moment, Refusal.NOTHING_ASKED)
    if here.progress.stage is not Stage.READY:
        return expects(here)
    given = _given(here, YES if yes else NO)
    if yes:
        return complete(here, given)
    step, component = here.step.id, moment.component.id
    if task.otherwise is Otherwise.MUST:
        refused = ev.ValueRefused(moment.at, step, task.text, NO, "", task.if_not, "must")
        return (refused,)
    if task.otherwise is Otherwise.DELAYED:
        return delayed(here, task.if_not, (), given)
    if task.otherwise in (Otherwise.SOIL, Otherwise.DAMAGE):
        return ask(moment, ev.PendingKind.FAILED, here.step.short, NO, step=step)
    kind = ev.DeviationKind.ANSWERED_NO
    return (given, ev.DeviationNoted(moment.at, kind, component, step, task.text))


def failed_question(here: AtStep) -> _Events:
    """The part failed: cleaned again, or damaged and to be held or mended."""
    task, moment, given = here.step.task, here.moment, _given(here, NO)
    assert isinstance(task, Question)  # noqa: S101 - a pending no is of its step
    if task.otherwise is Otherwise.SOIL:
        return failed(here, ev.DeviationKind.FOUND, task.text, given)
    kind, part = ev.DeviationKind.DAMAGED, moment.component.id
    return complete(here, given, ev.DeviationNoted(moment.at, kind, part, here.step.id, task.text))


def _given(here: AtStep, answer: str) -> ev.ValueAccepted:
    assert isinstance(here.step.task, Question)  # noqa: S101 - asked by who calls
    return ev.ValueAccepted(here.moment.at, here.step.id, here.step.task.text, answer, "", "")


def unknown(here: AtStep) -> _Events:
    """Nobody knows when the use ended: asked back, for it makes the device a late one."""
    if not isinstance(here.step.task, ElapsedTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    return ask(here.moment, ev.PendingKind.UNKNOWN, here.step.task.of, "", step=here.step.id)


def elapsed(here: AtStep, elapsed_s: int | None, *before: ev.Event) -> _Events:
    """The time since the end of use, against the maker's window."""
    task = here.step.task
    assert isinstance(task, ElapsedTask)  # noqa: S101 - a pending value is of its step
    found = course(elapsed_s, task.most_s)
    if found.value is Course.ROUTINE:
        return complete(here, *before)
    return delayed(here, _instead(here), found.steps, *before)


def _instead(here: AtStep) -> str:
    """What the sheet says about late devices: it stands with the question before."""
    for step in here.moment.component.steps:
        if isinstance(step.task, Question) and step.task.otherwise is Otherwise.DELAYED:
            return step.task.if_not
    return ""


def delayed(here: AtStep, instead: str, working: tuple[str, ...], *before: ev.Event) -> _Events:
    """The device is late or untreated: what applies then is told once, and recorded."""
    moment, step = here.moment, here.step.id
    found = ev.DelayFound(moment.at, step, instead, working)
    detail = "; ".join(working) or here.step.short
    kind = ev.DeviationKind.DELAYED
    noted = ev.DeviationNoted(moment.at, kind, moment.component.id, step, detail)
    return complete(here, *before, found, noted)


_KINDS = {
    Verb.MISSING: ev.PendingKind.MISSING,
    Verb.DAMAGED: ev.PendingKind.DAMAGED,
    Verb.SINGLE_USE: ev.PendingKind.SINGLE_USE,
}


def count(here: AtStep) -> _Events:
    """Something missing, damaged or for single use: read back by its name."""
    task, moment = here.step.task, here.moment
    if not isinstance(task, CountTask) or here.progress.stage is not Stage.READY:
        return expects(here)
    kind, value = _KINDS[moment.command.verb], moment.command.value
    if kind is ev.PendingKind.SINGLE_USE:
        return ask(moment, kind, value, value, step=here.step.id)
    item = _item(task, value)
    if item is None:
        return refuse(moment, Refusal.UNKNOWN_ITEM, value)
    return ask(moment, kind, item.name, item.id, step=here.step.id)


def counted(here: AtStep, pending: ev.ConfirmationAsked) -> _Events:
    """It is so: a deviation; a part that is missing altogether has its track closed."""
    moment, task = here.moment, here.step.task
    assert isinstance(task, CountTask)  # noqa: S101 - a pending item is of its step
    kind = ev.DeviationKind(pending.kind.value)
    item = _item(task, pending.value)
    component = "" if item is None else item.component
    ends = None
    if kind is ev.DeviationKind.MISSING and item is not None and item.id == component:
        whole = moment.procedure.component(component)
        ends = len(whole.steps) if item.count == 1 else None
    noted = ev.ItemNoted(moment.at, kind, pending.value, pending.of, component, ends)
    about = component or moment.component.id
    deviation = ev.DeviationNoted(moment.at, kind, about, here.step.id, pending.of)
    # Found missing late, by going back: nothing of it can be lifted out any more.
    left = () if ends is None else moment.state.running()
    stopped = tuple(ended(d, moment.at, counts=False) for d in left if d.component == component)
    return (*stopped, noted, deviation)


def _item(task: CountTask, identifier: str) -> Item | None:
    return next((item for item in task.items if item.id == identifier), None)


def overridden(moment: Moment, pending: ev.ConfirmationAsked) -> _Events:
    """The procedure is used all the same, and the session begins."""
    done = ev.ProcedureOverridden(moment.at, pending.value)
    kind = ev.DeviationKind.OVERRIDDEN
    noted = ev.DeviationNoted(moment.at, kind, moment.state.focus, "", pending.value)
    return (done, noted, *brief(moment, moment.after(done, noted)))

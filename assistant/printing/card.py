"""The card: one procedure on one printed page, for the wall above the sink.

What stands on it is reckoned here as plain values; ``fit`` chooses how large it is
set, and ``card.typ`` how it looks.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.printing.code import ProcedureCode
from assistant.printing.fact import facts
from assistant.printing.words import words
from assistant.procedure.generated import OPENING
from assistant.procedure.model import InspectionTask, Question, Role, TestTask, When
from assistant.procedure.placeholder import bath_figures, task_figures
from assistant.procedure.quantity import duration_text

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from assistant.procedure.model import Bath, Component, Procedure, Step

# Figures of a bath that are limits or amounts; its names are not.
_BATH_FIGURES = ("volume", "dose", "temperature")
_AFTER_NUMBER = re.compile(r"(?<=\d) ")
# Before and after a figure: no letter, digit, hyphen or en dash, no decimals.
_NOT_INSIDE = (r"(?<![\w.,\u2013-])", r"(?![\w\u2013-]|[.,]\d)")


@dataclass(frozen=True, slots=True)
class Span:
    """A piece of a text; ``strong`` where it is a figure of the procedure."""

    text: str
    strong: bool


@dataclass(frozen=True, slots=True)
class Row:
    """One step of a track.

    Attributes:
        number: in its track, from 1.
        mandatory: whether it may not be left out.
        only: when it is done at all; "" for always.
        cautions: to be read before it.
        text: the instruction.
        facts: limits that the instruction does not state itself.
        asked: the question that completes it, and what a "no" leads to.
        notes: what it waits for, and whether a facility's rule brought or changed it.
    """

    number: int
    mandatory: bool
    only: str
    cautions: tuple[str, ...]
    text: tuple[Span, ...]
    facts: tuple[str, ...]
    asked: tuple[str, ...]
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Track:
    """One track: the intake, a bath or a part.

    Attributes:
        name: its heading.
        pieces: how many there are, where more than one; else "".
        never: methods that the part does not bear; "" for none.
        limits: of the bath or the part as a whole; "" for none.
        working: how the figures of a bath were got.
        rows: its steps.
        onward: where it goes, where no step says so.
        again: what a failed test leads to; "" where there is no test.
    """

    name: str
    pieces: str
    never: str
    limits: str
    working: tuple[str, ...]
    rows: tuple[Row, ...]
    onward: str
    again: str


@dataclass(frozen=True, slots=True)
class Card:
    """All that stands on a card.

    Attributes:
        title: the device.
        name: id and revision of the procedure.
        language: BCP 47 tag.
        code: what the printed code says.
        notice: where the values come from.
        rule: whose instructions come first.
        approval: who let it be used and until when, and whether a facility's policy
            is in it.
        hazards: what can hurt somebody.
        equipment: what to wear, and the question whether it is on.
        before: the intake without its first step, and the baths; none is empty.
        parts: the parts.
    """

    title: str
    name: str
    language: str
    code: str
    notice: str
    rule: str
    approval: str
    hazards: tuple[str, ...]
    equipment: tuple[str, ...]
    before: tuple[Track, ...]
    parts: tuple[Track, ...]


def card(procedure: Procedure, *, under_policy: bool = False) -> Card:
    """The card of a procedure.

    Args:
        procedure: what is to be printed.
        under_policy: whether a facility's policy was laid over it.

    Raises:
        PressError: its language has no words for print.
        CodeError: its id cannot stand in a code.
    """
    own = words(procedure.language)
    opening = _opening(procedure)
    asked = opening.task
    tracks = [
        (component.role, _track(procedure, component, own)) for component in procedure.components
    ]
    return Card(
        title=procedure.title,
        name=own["revision"].format(id=procedure.id, revision=procedure.revision),
        language=procedure.language,
        code=str(ProcedureCode(procedure.id, procedure.revision)),
        notice=procedure.notice,
        rule=own["rule"],
        approval=_approval(procedure, own) + (f", {own['under_policy']}" if under_policy else ""),
        hazards=procedure.hazards,
        equipment=(opening.say, *(_asked(asked, own) if isinstance(asked, Question) else ())),
        before=tuple(track for role, track in tracks if role is not Role.PART and track.rows),
        parts=tuple(track for role, track in tracks if role is Role.PART),
    )


def _opening(procedure: Procedure) -> Step:
    """The step that the sheet's reader puts before all others; its cautions are the hazards."""
    return procedure.components[0].steps[0]


def _approval(procedure: Procedure, own: Mapping[str, str]) -> str:
    approval = procedure.approval
    if approval is None:
        return own["unapproved"]
    return own["approved"].format(
        by=approval.by, on=approval.on.isoformat(), until=approval.until.isoformat()
    )


def _track(procedure: Procedure, component: Component, own: Mapping[str, str]) -> Track:
    bath = procedure.bath(component.id) if component.role is Role.BATH else None
    handed_on = any(component.onward in step.say for step in component.steps)
    return Track(
        name=component.name,
        pieces=own["pieces"].format(count=component.count) if component.count > 1 else "",
        never=_never(component, own),
        limits=_limits(component, bath, own),
        working=() if bath is None else bath.working,
        rows=tuple(
            _row(procedure, number, step, own)
            for number, step in enumerate(component.steps, start=1)
            if step.id != OPENING
        ),
        onward=""
        if handed_on or not component.onward
        else own["onward"].format(onward=component.onward),
        again=_bound(_again(component, own)),
    )


def _never(component: Component, own: Mapping[str, str]) -> str:
    methods = [own[f"never_{method}"] for method in sorted(component.never)]
    return own["never"].format(methods=", ".join(methods)) if methods else ""


def _limits(component: Component, bath: Bath | None, own: Mapping[str, str]) -> str:
    found = []
    if component.adapters:
        found.append(own["adapters"].format(adapters=", ".join(component.adapters)))
    if bath is not None and bath.most_age_s is not None:
        found.append(own["bath_age"].format(age=duration_text(bath.most_age_s)))
    if bath is not None and bath.most_uses is not None:
        found.append(own["bath_uses"].format(uses=bath.most_uses))
    return " ".join(found)


def _again(component: Component, own: Mapping[str, str]) -> str:
    tested = any(isinstance(step.task, TestTask | InspectionTask) for step in component.steps)
    if component.rounds is None or not tested:
        return ""
    if component.rounds.most == 1:
        return own["once"]
    start = [step.id for step in component.steps].index(component.rounds.start) + 1
    return own["rounds"].format(start=start, most=component.rounds.most)


def _row(procedure: Procedure, number: int, step: Step, own: Mapping[str, str]) -> Row:
    figures = set(task_figures(step.task).values())
    if step.bath or step.working:
        for bath in procedure.baths:
            known = bath_figures(bath)
            figures |= {known[key] for key in _BATH_FIGURES}
    return Row(
        number=number,
        mandatory=step.mandatory,
        only=own[step.when.value] if step.when is When.DELAYED else "",
        cautions=tuple(caution.text for caution in step.cautions),
        text=spans(step.say, figures),
        facts=tuple(_bound(fact) for fact in facts(procedure, step, own)),
        asked=_asked(step.task, own) if isinstance(step.task, Question) else (),
        notes=tuple(_notes(procedure, step, own)),
    )


def _asked(question: Question, own: Mapping[str, str]) -> tuple[str, ...]:
    return own["ask"].format(text=question.text), own["if_not"].format(text=question.if_not)


def _bound(text: str) -> str:
    """The text with every number kept on one line with what it counts."""
    return _AFTER_NUMBER.sub("\u00a0", text)


def _notes(procedure: Procedure, step: Step, own: Mapping[str, str]) -> Iterator[str]:
    # That the intake comes first and a bath is ready before its use goes without saying.
    needs = [
        _place(procedure, need) for need in step.needs if _owner(procedure, need).role is Role.PART
    ]
    if needs:
        yield own["after"].format(steps=", ".join(needs))
    if step.origin:
        yield own["origin"]


def _owner(procedure: Procedure, step_id: str) -> Component:
    """The component in whose track the step is."""
    return next(
        component
        for component in procedure.components
        if any(step.id == step_id for step in component.steps)
    )


def _place(procedure: Procedure, step_id: str) -> str:
    """A step of another track, as the card numbers it: "tray 1"."""
    owner = _owner(procedure, step_id)
    return f"{owner.name} {[step.id for step in owner.steps].index(step_id) + 1}"


def spans(text: str, figures: set[str]) -> tuple[Span, ...]:
    """The text in pieces, its figures apart.

    Args:
        text: an instruction.
        figures: as they stand in it; a figure inside a longer word or number is none.
    """
    longest_first = sorted((figure for figure in figures if figure), key=len, reverse=True)
    if not longest_first:
        return (Span(text, strong=False),)
    either = "|".join(map(re.escape, longest_first))
    pieces = re.split(rf"{_NOT_INSIDE[0]}({either}){_NOT_INSIDE[1]}", text)
    return tuple(Span(piece, strong=bool(index % 2)) for index, piece in enumerate(pieces) if piece)

"""A policy's additions to what the program makes: the intake, the baths, the handing on.

The sheet has no block for these, so they are laid over the finished procedure.  Only
cautions and simple steps can be added there: nothing in the intake or in a bath's track
meets a part, and all parts wait for both.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import generated
from assistant.procedure.addition import made_by_program, made_of
from assistant.procedure.fields import Fields
from assistant.procedure.model import HandOnTask, Role
from assistant.procedure.placeholder import bath_figures, fill, mistakes
from assistant.procedure.policy_layout import MADE_STEP
from assistant.procedure.steps import read_step
from assistant.procedure.tasks import Known
from assistant.procedure.yaml_nodes import Mapping, Scalar

if TYPE_CHECKING:
    from assistant.procedure.finding import Findings
    from assistant.procedure.model import Component, Procedure, Step
    from assistant.procedure.rule import Rule

_WHERE = {
    Role.BATH: 'write "bath:" with its id instead of "step:"',
    Role.INTAKE: 'write hazards, protective_equipment or arrival without "step:"',
    Role.PART: "add a caution, or leave it as it is",
}


def concerns(rule: Rule, root: Mapping, plain: Procedure) -> bool:
    """Whether the rule is about a track or a step that the program makes."""
    found = made_by_program(rule.target, root, plain)
    return found is not None and (rule.kind == "step" or found[0].role is not Role.PART)


def lay(
    rule: Rule, root: Mapping, plain: Procedure, procedure: Procedure, findings: Findings
) -> Procedure | None:
    """The procedure with what the rule adds to a made track; None where that is refused.

    Args:
        rule: about a step that the program makes.
        root: the sheet's nodes.
        plain: the procedure that the sheet states.
        procedure: with all that was laid over it so far.
        findings: told why it is refused.
    """
    made = made_by_program(rule.target, root, procedure)
    if made is None:
        return None
    track, step = made
    noted = len(findings)
    if rule.kind == "step":
        changed = _warned(rule, root, procedure, track, step, findings)
    else:
        made_ids = {one.id for one in plain.component(track.id).steps}
        changed = _longer(rule, procedure, track, step, made_ids, findings)
    if changed is None or len(findings) > noted:
        return None
    return _relinked(procedure, track, changed)


def _warned(
    rule: Rule,
    root: Mapping,
    procedure: Procedure,
    track: Component,
    step: Step,
    findings: Findings,
) -> Component | None:
    """The track with more cautions at one of its steps."""
    base = made_of(step.id, root)
    if track.role is Role.PART and not isinstance(step.task, HandOnTask):
        findings.add(rule.target_mark, f'"{step.id}" is made of "{base}"', f'write "step: {base}"')
        return None
    for figure in rule.figures:
        findings.add(
            figure.node.mark,
            f'"{step.id}" is made by the program, and has no "{figure.path[0]}" of its own',
            _WHERE[track.role],
        )
    figures = bath_figures(procedure.bath(track.id)) if track.role is Role.BATH else {}
    texts = [caution.text for caution in step.cautions]
    for node in (node for _, nodes in rule.lists for node in nodes if isinstance(node, Scalar)):
        text = " ".join(node.text.split())
        for what, remedy in mistakes(text, figures):
            findings.add(node.mark, f'in "cautions": {what}', remedy)
        texts.append(fill(text, figures))
    warned = replace(step, cautions=generated.cautions(step.id, texts), origin=_origin(step, rule))
    steps = tuple(warned if one.id == step.id else one for one in track.steps)
    return replace(track, steps=steps)


def _longer(
    rule: Rule,
    procedure: Procedure,
    track: Component,
    step: Step,
    made_ids: set[str],
    findings: Findings,
) -> Component | None:
    """The track with more steps before or after one of its own."""
    if step.id == generated.OPENING and rule.kind == "before":
        findings.add(
            rule.target_mark,
            f'nothing comes before "{step.id}": first the protective equipment is put on',
            f'write "after: {step.id}"',
        )
        return None
    words = generated.texts(procedure.language)
    known = {one.id for one in track.steps}
    brought: list[Step] = []
    for node in rule.steps:
        if not isinstance(node, Mapping):
            findings.add(node.mark, "a step needs a block of keys here", "write its id, say, short")
            continue
        fields = Fields(node, MADE_STEP, findings)
        for draft in read_step(fields, track.id, Known({}, {}), words):
            if draft.step.id in known:
                fields.refuse("id", f'"{draft.step.id}" is there already', "choose another id")
            known.add(draft.step.id)
            brought.append(replace(draft.step, origin=rule.origin))
    steps = list(track.steps)
    index = steps.index(step)
    if rule.kind == "after":
        index += 1
        while index < len(steps) and steps[index].id not in made_ids:
            index += 1
    if index == 0 and brought:
        brought[0] = replace(brought[0], needs=step.needs)
    return replace(track, steps=(*steps[:index], *brought, *steps[index:]))


def _origin(step: Step, rule: Rule) -> str:
    return f"{step.origin}; {rule.origin}" if step.origin else rule.origin


def _relinked(procedure: Procedure, old: Component, new: Component) -> Procedure:
    """The procedure with the new track; what waited for its end waits for the new end."""
    was, now = old.steps[-1].id, new.steps[-1].id
    tracks = []
    for track in procedure.components:
        if track.id == new.id:
            tracks.append(new)
            continue
        steps = tuple(
            replace(step, needs=tuple(now if need == was else need for need in step.needs))
            for step in track.steps
        )
        tracks.append(replace(track, steps=steps))
    return replace(procedure, components=tuple(tracks))

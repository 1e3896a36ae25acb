"""Steps that a policy adds: where they go in the track of a part, or why they cannot."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure import overlay
from assistant.procedure.edit import Edit
from assistant.procedure.model import HandOnTask
from assistant.procedure.spelling import near
from assistant.procedure.yaml_nodes import Sequence

if TYPE_CHECKING:
    from assistant.procedure.finding import Findings
    from assistant.procedure.model import Component, Procedure, Step
    from assistant.procedure.rule import Rule
    from assistant.procedure.yaml_nodes import Mapping


def made_by_program(target: str, root: Mapping, plain: Procedure) -> tuple[Component, Step] | None:
    """The step of that id with its track, where the program makes it and the sheet does not."""
    if target in overlay.steps(root):
        return None
    for track in plain.components:
        for step in track.steps:
            if step.id == target:
                return track, step
    return None


def made_of(target: str, root: Mapping) -> str:
    """The id of the sheet's step that such a step is made of, as "scope.leak"; "" for none."""
    known = [step for step in overlay.steps(root) if target.startswith(f"{step}-")]
    return max(known, key=len, default="")


def addition(rule: Rule, root: Mapping, plain: Procedure, findings: Findings) -> Edit | None:
    """The edit that brings the rule's steps into a part's track; None where that is refused.

    Args:
        rule: one that adds steps before or after another of a part's track.
        root: the sheet's nodes, with what was added so far.
        plain: the procedure that the sheet states.
        findings: told why it is refused.
    """
    known = overlay.steps(root)
    made = made_by_program(rule.target, root, plain)
    if made is not None:
        track, step = made
        block = overlay.blocks(root, "components")[track.id]
        place = overlay.nearest(root, block)
        if not isinstance(step.task, HandOnTask):
            base = made_of(rule.target, root)
            findings.add(
                rule.target_mark,
                f'"{rule.target}" is made of "{base}" '
                f"({overlay.nearest(root, known.get(base, block)).place})",
                f'write "{rule.kind}: {base}"',
            )
            return None
        if rule.kind == "after":
            findings.add(
                rule.target_mark,
                f'nothing comes after "{rule.target}": the {track.name} ({place.place}) '
                "is out of hand then",
                f'write "before: {rule.target}"',
            )
            return None
        steps, index = (*block, "steps"), None
    elif rule.target in known:
        *path, at = known[rule.target]
        place = overlay.nearest(root, known[rule.target])
        steps, index = tuple(path), _index(rule, root, (*path, at))
    else:
        if rule.target:
            findings.add(
                rule.target_mark,
                f'there is no step "{rule.target}" in {root.mark.path}',
                near(rule.target, known),
            )
        return None
    if _taken(rule, root, plain, findings) or not rule.steps:
        return None
    return Edit(rule, rule.mark, place, items=rule.steps, path=steps, index=index)


def _index(rule: Rule, root: Mapping, anchor: overlay.Path) -> int:
    """Where in its list a rule's steps go: those after one step follow each other as written."""
    *path, at = anchor
    assert isinstance(at, int)  # noqa: S101 - a step's path ends in its index
    if rule.kind == "before":
        return at
    steps = overlay.at(root, tuple(path))
    assert isinstance(steps, Sequence)  # noqa: S101 - a step stands in a list
    at += 1
    while at < len(steps.items) and steps.items[at].mark.path == rule.mark.path:
        at += 1
    return at


def _taken(rule: Rule, root: Mapping, plain: Procedure, findings: Findings) -> bool:
    """Whether a step's id is another step's already, which is noted."""
    track = rule.target.partition(".")[0]
    known = overlay.steps(root)
    made = {step.id for component in plain.components for step in component.steps}
    noted = len(findings)
    for node in rule.steps:
        step = f"{track}.{overlay.words(node, 'id')}"
        mark = overlay.nearest(node, ("id",))
        if step in known:
            other = overlay.nearest(root, known[step]).place
            findings.add(mark, f'there is a step "{step}" already ({other})', "choose another id")
        elif step in made:
            findings.add(
                mark, f'"{step}" is the id of a step that the program makes', "choose another id"
            )
    return len(findings) > noted

"""The edits of a rule: what it puts where in the nodes of the sheet that it belongs to.

An edit is as small as can be read again on its own, a figure or the two ends of a window,
so that what it does is known to come from it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure import overlay
from assistant.procedure.layout import WINDOW
from assistant.procedure.policy_layout import BLOCKS, WINDOWS
from assistant.procedure.rule import Figure
from assistant.procedure.spelling import near
from assistant.procedure.yaml_nodes import Mapping, Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.finding import Findings, Mark
    from assistant.procedure.model import Procedure
    from assistant.procedure.overlay import Path
    from assistant.procedure.rule import Rule
    from assistant.procedure.yaml_nodes import Node


@dataclass(frozen=True, slots=True)
class Edit:
    """One thing that a rule puts into the sheet's nodes.

    Attributes:
        rule: whose it is.
        mark: where it stands in the policy.
        sheet: the place in the sheet that it changes.
        figures: limits, each with the path where it goes.
        items: what is added to a list.
        path: of that list.
        index: where in it; None for its end.
    """

    rule: Rule
    mark: Mark
    sheet: Mark
    figures: tuple[tuple[Figure, Path], ...] = ()
    items: tuple[Node, ...] = ()
    path: Path = ()
    index: int | None = None

    def applied(self, root: Mapping) -> Mapping:
        """The sheet's nodes with this edit."""
        for figure, path in self.figures:
            changed = overlay.put(root, path, figure.node)
            assert isinstance(changed, Mapping)  # noqa: S101 - the path is not empty
            root = changed
        return overlay.extend(root, self.path, self.items, self.index) if self.items else root


def edits(rule: Rule, root: Mapping, plain: Procedure, findings: Findings) -> Iterator[Edit]:
    """The edits of a rule that changes what the sheet states.

    Args:
        rule: no addition of steps, and about no step that the program makes.
        root: the sheet's nodes.
        plain: the procedure that the sheet states.
        findings: told what the sheet does not have.
    """
    target = _target(rule, root, findings)
    if target is None:
        return
    place = overlay.nearest(root, target)
    yield from _limits(rule, root, target, plain, findings)
    for key, items in rule.lists:
        if items:
            yield Edit(rule, items[0].mark, place, items=items, path=(*target, key))


def _target(rule: Rule, root: Mapping, findings: Findings) -> Path | None:
    """The path of the block that the rule is about; None where there is none."""
    if not rule.kind:
        return ()
    kinds = f"{rule.kind}s"
    known = overlay.steps(root) if kinds == "steps" else overlay.blocks(root, kinds)
    if rule.target and rule.target not in known:
        findings.add(
            rule.target_mark,
            f'there is no {rule.kind} "{rule.target}" in {root.mark.path}',
            near(rule.target, known),
        )
    return known.get(rule.target)


def _limits(
    rule: Rule, root: Mapping, target: Path, plain: Procedure, findings: Findings
) -> Iterator[Edit]:
    """One edit for each figure, or for the two ends of a window."""
    groups: dict[tuple[str, ...], list[Figure]] = {}
    for figure in rule.figures:
        inside = figure.path[:-1]
        window = bool(inside) and inside[-1] in WINDOWS and figure.path[-1] in WINDOW.optional
        groups.setdefault(inside if window else figure.path, []).append(figure)
    for figures in groups.values():
        figure = figures[0]
        block = (*target, *figure.path[:-1])
        place = overlay.nearest(root, (*target, *figure.path))
        if overlay.at(root, block) is not None:
            puts = [(one, (*target, *one.path)) for one in figures]
            yield Edit(rule, figure.node.mark, place, tuple(puts))
        elif rule.kind == "component":
            # A sheet that says nothing of rounds has usual ones, from a usual step on.
            rounds = plain.component(rule.target).rounds
            start = "" if rounds is None else rounds.start.removeprefix(f"{rule.target}.")
            stated = Figure(("clean_again", "start"), Scalar(start, plain=True, mark=place))
            puts = [(one, (*target, *one.path)) for one in (stated, figure)]
            yield Edit(rule, figure.node.mark, place, tuple(puts))
        else:
            has = [key for key in BLOCKS if overlay.at(root, (*target, key)) is not None]
            findings.add(
                figure.node.mark,
                f'{rule.about} has no "{".".join(figure.path[:-1])}" ({place.place})',
                f"a policy can only tighten what stands there: {', '.join(has) or 'no limit'}",
            )

"""What comes from where: the sheet, a policy with its reason, or the program."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.procedure import overlay
from assistant.procedure.addition import made_of
from assistant.procedure.compare import Verdict

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.compare import Change
    from assistant.procedure.policy import Applied
    from assistant.procedure.rule import Rule

_PROGRAM = "made by the program"


def sources(applied: Applied) -> dict[str, list[str]]:
    """Where each step, bath and track comes from, by id; the procedure itself by ""."""
    root = applied.root
    places = {
        identifier: overlay.nearest(root, path).place
        for paths in (
            overlay.blocks(root, "baths"),
            overlay.blocks(root, "components"),
            overlay.steps(root),
        )
        for identifier, path in paths.items()
    }
    found = {"": [f"sheet {root.mark.path}"]}
    if applied.policy is not None:
        place = applied.policy.procedure[1].path
        found[""].append(f"policy {place}: {applied.policy.notice}")
    brought = {
        change.where
        for _, changes in applied.effects
        for change in changes
        if change.what == "step" and change.verdict is Verdict.ADDED
    }
    for bath in applied.procedure.baths:
        found[bath.id] = [f"sheet {places[bath.id]}"]
    for track in applied.procedure.components:
        if track.id not in found:
            found[track.id] = [f"sheet {places[track.id]}" if track.id in places else _PROGRAM]
        for step in track.steps:
            base = made_of(step.id, root)
            if step.id in places:
                found[step.id] = [f"sheet {places[step.id]}"]
            elif step.id in brought:
                found[step.id] = []
            else:
                found[step.id] = [f"{_PROGRAM} from {places[base]}" if base else _PROGRAM]
    for rule, changes in applied.effects:
        for where in dict.fromkeys(change.where for change in changes):
            told = [change for change in changes if change.where == where]
            found[where].append(_effect(rule, told))
    _of_figures(applied, found)
    return found


def _effect(rule: Rule, changes: list[Change]) -> str:
    """A rule with what it did at one place."""
    return f"{rule.origin} ({rule.mark.place}: {'; '.join(_shown(changes)) or 'its texts'})"


def _shown(changes: list[Change]) -> Iterator[str]:
    for change in changes:
        if change.stricter is not None:
            yield f"{change.what} {change.old} -> {change.new}"
        elif change.verdict is Verdict.ADDED:
            yield f"{change.what} added"


def _of_figures(applied: Applied, found: dict[str, list[str]]) -> None:
    """Steps whose texts follow from a change elsewhere tell the rule that made it."""
    rules = {rule.origin: rule for rule, _ in applied.effects}
    for track in applied.procedure.components:
        for step in track.steps:
            for origin, rule in rules.items():
                if origin in step.origin and not any(origin in line for line in found[step.id]):
                    found[step.id].append(f"{origin} ({rule.mark.place}: its texts)")

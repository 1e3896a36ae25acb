"""A policy laid over the nodes of a sheet, one edit after another.

The procedure is compared before and after each edit: a limit that became looser is refused,
and the edit and the sheet's line are named; a step that differs owes it to that edit.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.procedure import made, overlay, sheet
from assistant.procedure.addition import addition
from assistant.procedure.compare import Change, Stricter, Verdict, compare, stated
from assistant.procedure.edit import Edit, edits
from assistant.procedure.finding import Finding, Findings, Mark, SheetError

if TYPE_CHECKING:
    from collections.abc import Iterable

    from assistant.procedure.model import Procedure
    from assistant.procedure.rule import Rule
    from assistant.procedure.yaml_nodes import Mapping


class Laying:
    """A policy being laid over a sheet, edit by edit; what is refused is left out and noted.

    Attributes:
        effects: what each rule did, by its place.
    """

    def __init__(self, root: Mapping, plain: Procedure, own: Findings) -> None:
        self.effects: dict[Mark, list[Change]] = {}
        self._sheet = root
        self._plain = plain
        self._own = own
        self._root = root
        self._procedure = plain
        self._origins: dict[str, list[str]] = {}

    def lay(self, rules: Iterable[Rule]) -> None:
        """Lay all rules: limits first, then sentences that may name them, then steps."""
        of_made: list[Rule] = []
        adding: list[Rule] = []
        of_sheet: list[Edit] = []
        for rule in rules:
            if made.concerns(rule, self._sheet, self._plain):
                of_made.append(rule)
            elif rule.kind in ("before", "after"):
                adding.append(rule)
            else:
                of_sheet += edits(rule, self._sheet, self._plain, self._own)
        stated_once = self._once(of_sheet)
        for edit in sorted(stated_once, key=lambda edit: bool(edit.items)):
            self._try(edit)
        self._add(adding)
        for rule in of_made:
            self._lay_made(rule)

    def finished(self) -> Procedure:
        """The procedure, each step with what brought or changed it."""
        tracks = []
        for track in self._procedure.components:
            steps = []
            for step in track.steps:
                origins = [*self._origins.get(step.id, ()), *([step.origin] if step.origin else ())]
                steps.append(replace(step, origin="; ".join(dict.fromkeys(origins))))
            tracks.append(replace(track, steps=tuple(steps)))
        return replace(self._procedure, components=tuple(tracks))

    def _once(self, found: list[Edit]) -> list[Edit]:
        """The edits without those of a limit that another one changes already."""
        first: dict[overlay.Path, Mark] = {}
        kept = []
        for edit in found:
            again = False
            for figure, path in edit.figures:
                before = first.setdefault(path, figure.node.mark)
                if before is not figure.node.mark:
                    again = True
                    self._own.add(
                        figure.node.mark,
                        f'"{figure.path[-1]}" of {edit.rule.about} is changed on line '
                        f"{before.line} and again on line {figure.node.mark.line}",
                        "keep one of the two",
                    )
            if not again:
                kept.append(edit)
        return kept

    def _try(self, edit: Edit) -> None:
        """Lay an edit of what the sheet states, where it neither loosens nor contradicts."""
        root = edit.applied(self._root)
        procedure, noted = _examined(root)
        if procedure is None:
            self._untenable(edit, noted)
            return
        loose = _loosened(compare(self._procedure, procedure))
        if loose:
            self._refuse(edit, loose)
            return
        self._keep(edit.rule, root, procedure)

    def _keep(self, rule: Rule, root: Mapping, procedure: Procedure) -> None:
        changes = stated(compare(self._procedure, procedure), procedure)
        self.effects.setdefault(rule.mark, []).extend(changes)
        before = {step.id: step for track in self._procedure.components for step in track.steps}
        for track in procedure.components:
            for step in track.steps:
                if before.get(step.id) != step:
                    self._note_origin(step.id, rule)
        self._root, self._procedure = root, procedure

    def _note_origin(self, step: str, rule: Rule) -> None:
        origins = self._origins.setdefault(step, [])
        if rule.origin not in origins:
            origins.append(rule.origin)

    def _untenable(self, edit: Edit, noted: list[Finding]) -> None:
        """An edit after which the sheet's reader has something to say."""
        for finding in noted:
            if finding.path == edit.mark.path:
                mark = Mark(finding.line, finding.column)
                self._own.add(mark, f"{finding.what} ({edit.sheet.place})", finding.remedy)
            else:
                self._own.add(
                    edit.mark,
                    f"this cannot stand with {finding.path}:{finding.line}: {finding.what}",
                    "correct the policy, or leave it out",
                )

    def _refuse(self, edit: Edit, loose: list[Change]) -> None:
        """An edit that would loosen limits: each figure of it is told once."""
        told = set()
        for change in loose:
            ends = change.what.split(".")[-1]
            at = [pair for pair in edit.figures if pair[0].path[-1] == ends]
            figure, path = (at or list(edit.figures))[0]
            if figure in told:
                continue
            told.add(figure)
            place = overlay.nearest(self._sheet, path).place
            if change.verdict is Verdict.CHANGED:
                what = f"measures something else than the {change.old} of {place}"
                remedy = f"give it in the unit of {change.old}"
            else:
                what = f"is looser than the {change.old} of {place}"
                remedy = _enough(change)
            if not at:
                what = f"would make {change.what} {change.new}, which {what}"
            self._own.add(figure.node.mark, f'"{figure}" {what}', remedy)

    def _add(self, rules: list[Rule]) -> None:
        """Bring the steps of all rules at once, for they may wait for one another."""
        root, laid = self._root, []
        for rule in rules:
            edit = addition(rule, root, self._plain, self._own)
            if edit is not None:
                root = edit.applied(root)
                laid.append(edit)
        if not laid:
            return
        procedure, noted = _examined(root)
        own = [finding for finding in noted if finding.path == laid[0].mark.path]
        for finding in own or noted:
            mark = Mark(finding.line, finding.column)
            before = [edit for edit in laid if edit.mark <= replace(mark, path=edit.mark.path)]
            edit = max(before or laid, key=lambda edit: edit.mark)
            if own:
                what = f"{finding.what} ({edit.rule.kind} {edit.sheet.place})"
                self._own.add(mark, what, finding.remedy)
            else:
                self._untenable(edit, [finding])
        if procedure is None:
            return
        loose = _loosened(compare(self._procedure, procedure)) + self._rounds(procedure)
        for change in loose:
            self._own.add(
                laid[-1].mark,
                f"the added steps would make {change.what} of {change.where} {change.new}, looser "
                f"than the {change.old} of {self._place(change.where)}",
                'delete "first_rinse" or what else changes it',
            )
        if not loose:
            self._bring(laid, root, procedure)

    def _bring(self, laid: list[Edit], root: Mapping, procedure: Procedure) -> None:
        """Keep the added steps, each with the rule that brought it."""
        known = {step.id for track in self._procedure.components for step in track.steps}
        for track in procedure.components:
            for step in track.steps:
                if step.id in known:
                    continue
                owner = max(
                    (
                        (len(identifier), index)
                        for index, edit in enumerate(laid)
                        for identifier in _ids(edit)
                        if step.id == identifier or step.id.startswith(f"{identifier}-")
                    ),
                )
                rule = laid[owner[1]].rule
                self._note_origin(step.id, rule)
                effect = Change(step.id, "step", "", step.say, Verdict.ADDED)
                self.effects.setdefault(rule.mark, []).append(effect)
        self._root, self._procedure = root, procedure

    def _rounds(self, procedure: Procedure) -> list[Change]:
        """The parts that would be cleaned again from a later step than the sheet's."""
        found = []
        for old in self._procedure.parts:
            new = procedure.component(old.id)
            if old.rounds is None or new.rounds is None:
                continue
            order = [step.id for step in new.steps]
            if order.index(new.rounds.start) > order.index(old.rounds.start):
                found.append(
                    Change(
                        old.id,
                        "the start of a new round",
                        old.rounds.start,
                        new.rounds.start,
                        Verdict.LOOSER,
                        Stricter.LESS,
                    )
                )
        return found

    def _place(self, where: str) -> str:
        paths = overlay.steps(self._sheet) | overlay.blocks(self._sheet, "components")
        return overlay.nearest(self._sheet, paths.get(where, ())).place

    def _lay_made(self, rule: Rule) -> None:
        changed = made.lay(rule, self._sheet, self._plain, self._procedure, self._own)
        if changed is not None:
            changes = compare(self._procedure, changed)
            told = [change for change in changes if change.what != "need"]
            self.effects.setdefault(rule.mark, []).extend(told)
            self._procedure = changed


def _examined(root: Mapping) -> tuple[Procedure | None, list[Finding]]:
    """What changed nodes state, and what the sheet's reader has to say about them."""
    noted = Findings(root.mark.path)
    try:
        procedure = sheet.examine(root, noted)
    except SheetError as error:  # more than can be told
        return None, error.findings
    return (None if noted else procedure), noted.sorted()


def _loosened(changes: Iterable[Change]) -> list[Change]:
    """The limits that did not become stricter, or that cannot be compared."""
    return [
        change
        for change in changes
        if change.stricter is not None and change.verdict is not Verdict.TIGHTER
    ]


def _enough(change: Change) -> str:
    """What to write instead of a looser limit."""
    if change.what == "mandatory":
        return 'write "mandatory: yes", or delete it'
    more = "more" if change.stricter is Stricter.MORE else "less"
    return f"write {change.old} or {'an earlier day' if change.what.endswith('until') else more}"


def _ids(edit: Edit) -> list[str]:
    """The ids of the steps that an addition states."""
    track = edit.rule.target.partition(".")[0]
    return [f"{track}.{overlay.words(node, 'id')}" for node in edit.items]

"""The facility's policy: a second file that adds to a sheet and tightens it, never loosens it.

A policy is laid over the nodes of the sheet, before they are read, and the result is read
by the sheet's own reader.  So every figure that is spoken, in generated steps too, is
reckoned from the tightened limits, and every rule of order and trade holds for the steps
that a policy brings, without a second reader that could disagree with the first.

How one is laid over the other is in ``laying``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure import overlay, sheet
from assistant.procedure.finding import Findings, SheetError
from assistant.procedure.laying import Laying
from assistant.procedure.layout import PROCEDURE
from assistant.procedure.policy_layout import POLICY
from assistant.procedure.rule import Policy, Rule, read_policy

if TYPE_CHECKING:
    from assistant.procedure.compare import Change
    from assistant.procedure.model import Procedure
    from assistant.procedure.yaml_nodes import Mapping


@dataclass(frozen=True, slots=True)
class Applied:
    """A sheet with the policy that was laid over it.

    Attributes:
        procedure: with the policy.
        plain: as the sheet alone states it.
        root: the sheet's nodes.
        policy: as read; None where no policy was given.
        effects: what each rule did, in the order of the file.
    """

    procedure: Procedure
    plain: Procedure
    root: Mapping
    policy: Policy | None = None
    effects: tuple[tuple[Rule, tuple[Change, ...]], ...] = ()


def applied(
    sheet_bytes: bytes, sheet_path: str, policy_bytes: bytes, policy_path: str
) -> Procedure:
    """The procedure of a sheet with a policy laid over it; ``Step.origin`` tells what it did.

    Args:
        sheet_bytes: the whole sheet.
        sheet_path: what findings call it.
        policy_bytes: the whole policy.
        policy_path: what findings call it.

    Raises:
        SheetError: one of the two has mistakes, or the policy would loosen a limit or break
            a rule of order; it carries every one.
    """
    return read(sheet_bytes, sheet_path, policy_bytes, policy_path).procedure


def read(
    sheet_bytes: bytes,
    sheet_path: str,
    policy_bytes: bytes | None = None,
    policy_path: str = "",
) -> Applied:
    """The same with all that tells where things come from; the sheet alone without a policy.

    Raises:
        SheetError: as ``applied``.
    """
    of_sheet, own = Findings(sheet_path), Findings(policy_path, "policy")
    root = sheet.nodes(sheet_bytes, f'begin with "{PROCEDURE.required["id"]}"', of_sheet)
    plain = None if root is None else sheet.examine(root, of_sheet)
    policy = None
    if policy_bytes is not None:
        nodes = sheet.nodes(policy_bytes, f'begin with "{POLICY.required["procedure"]}"', own)
        policy = None if nodes is None else read_policy(nodes, own)
    if of_sheet or root is None or plain is None:
        raise SheetError([*of_sheet.sorted(), *own.sorted()])
    if policy_bytes is None:
        return Applied(plain, plain, root)
    if policy is None or not _belongs(policy, plain, root, own):
        raise SheetError(own.sorted())
    laying = Laying(root, plain, own)
    laying.lay(policy.rules)
    if own:
        raise SheetError(own.sorted())
    effects = tuple((rule, tuple(laying.effects.get(rule.mark, ()))) for rule in policy.rules)
    return Applied(laying.finished(), plain, root, policy, effects)


def _belongs(policy: Policy, plain: Procedure, root: Mapping, own: Findings) -> bool:
    """Whether the policy is one for this procedure at this revision."""
    noted = len(own)
    for what, (given, mark), wanted, key in (
        ("procedure", policy.procedure, plain.id, "id"),
        ("revision", policy.revision, plain.revision, "revision"),
    ):
        if given and given != wanted:
            own.add(
                mark,
                f'the policy is for {what} "{given}", and {overlay.nearest(root, (key,)).place} '
                f'is {what} "{wanted}"',
                f'give the sheet of {what} "{given}", or go through the changes and write '
                f'"{wanted}"',
            )
    return len(own) == noted

"""The rules of a policy: each block read into one change with its reason, author and date.

Figures stay as they are written: they are laid over the sheet's own and read there, by
the sheet's reader.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.fields import Fields
from assistant.procedure.policy_layout import BLOCKS, LISTS, POLICY, TARGETS, WHOLE
from assistant.procedure.yaml_nodes import Mapping, Scalar

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.finding import Findings, Mark
    from assistant.procedure.layout import Layout
    from assistant.procedure.yaml_nodes import Node

MOST_RULES = 60  # each is read with the whole sheet, and nobody keeps more in mind


@dataclass(frozen=True, slots=True)
class Figure:
    """One limit as the policy writes it.

    Attributes:
        path: keys that lead to it from its block ("soak", "least").
        node: what is written.
    """

    path: tuple[str, ...]
    node: Scalar

    def __str__(self) -> str:
        return f"{self.path[-1]}: {self.node.text}"


@dataclass(frozen=True, slots=True)
class Rule:
    """One change that a facility makes.

    Attributes:
        mark: where it stands.
        kind: what it is about ("step", "bath", "component", "before", "after"); "" for
            the procedure as a whole.
        target: id of that; "" for the procedure as a whole.
        target_mark: where the id stands.
        origin: who decided it, when and why, as steps tell it.
        figures: limits, and whether a step is mandatory.
        lists: sentences that are added, by the key of their list.
        steps: blocks of steps that are added.
    """

    mark: Mark
    kind: str
    target: str
    target_mark: Mark
    origin: str
    figures: tuple[Figure, ...] = ()
    lists: tuple[tuple[str, tuple[Node, ...]], ...] = ()
    steps: tuple[Node, ...] = ()

    @property
    def about(self) -> str:
        """What it changes, as findings call it."""
        return f'the {self.kind} "{self.target}"' if self.kind else "the sheet"


@dataclass(frozen=True, slots=True)
class Policy:
    """A facility's rules for one procedure at one revision.

    Attributes:
        procedure: id of the procedure, and where it stands.
        revision: of the procedure, and where it stands.
        notice: where the rules come from.
        rules: in the order of the file.
    """

    procedure: tuple[str, Mark]
    revision: tuple[str, Mark]
    notice: str
    rules: tuple[Rule, ...]


def read_policy(root: Mapping, findings: Findings) -> Policy:
    """The policy that the outermost block states; what is wrong is noted."""
    fields = Fields(root, POLICY, findings)
    nodes = fields.items("changes")
    if len(nodes) > MOST_RULES:
        fields.refuse_at(
            nodes[MOST_RULES].mark,
            f"there are more than {MOST_RULES} changes",
            "ask for a new revision of the sheet",
        )
    rules = [_rule(node, findings) for node in nodes[:MOST_RULES]]
    return Policy(
        (fields.identifier("procedure"), fields.mark_of("procedure")),
        (fields.quoted("revision"), fields.mark_of("revision")),
        fields.text("notice"),
        tuple(rule for rule in rules if rule is not None),
    )


def _rule(node: Node, findings: Findings) -> Rule | None:
    if not isinstance(node, Mapping):
        findings.add(
            node.mark,
            "a change needs a block of keys here",
            "write reason, author and approved, then what is changed",
        )
        return None
    given = [key.text for key, _ in node.pairs if isinstance(key, Scalar) and key.text in TARGETS]
    if len(set(given)) > 1:
        findings.add(
            node.mark,
            f'"{given[0]}" and "{given[1]}" stand in one change',
            "make two changes of them, each with its reason, author and date",
        )
        return None
    kind = given[0] if given else ""
    layout = TARGETS[kind] if kind else WHOLE
    noted = len(findings)
    fields = Fields(node, layout, findings)
    rule = Rule(
        mark=node.mark,
        kind=kind,
        target=fields.text(kind) if kind else "",
        target_mark=fields.mark_of(kind) if kind else node.mark,
        origin=_origin(fields),
        figures=tuple(_figures(fields, layout, ())),
        lists=tuple((key, _sentences(fields, key)) for key in LISTS if key in fields),
        steps=fields.items("steps"),
    )
    if len(findings) == noted and not (rule.figures or rule.lists or rule.steps):
        example = next(iter(layout.optional.values()))
        findings.add(node.mark, "this change changes nothing", f"write as in `{example}`")
    return rule


def _origin(fields: Fields) -> str:
    author, reason, approved = fields.text("author"), fields.text("reason"), fields.day("approved")
    return f"policy {author}, {approved}: {reason}"


def _sentences(fields: Fields, key: str) -> tuple[Node, ...]:
    fields.texts(key)  # notes what is no sentence
    return fields.items(key)


def _figures(fields: Fields, layout: Layout, path: tuple[str, ...]) -> Iterator[Figure]:
    """The limits of a block and of the blocks in it."""
    for key in layout.optional:
        if key in BLOCKS:
            if (block := fields.block(key, BLOCKS[key])) is not None:
                yield from _figures(block, BLOCKS[key], (*path, key))
        elif key not in LISTS and fields.text(key):
            node = fields.node(key)
            assert isinstance(node, Scalar)  # noqa: S101 - it has a text
            yield Figure((*path, key), node)

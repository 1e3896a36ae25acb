"""The fields of one block of a sheet, read as texts, quantities, times and lists.

Every method notes what is wrong and then returns a stand-in, so that one pass
over a sheet finds all its mistakes.  Stand-ins never reach a procedure.
"""

from __future__ import annotations

import re
from datetime import date
from decimal import Decimal
from enum import StrEnum
from typing import TYPE_CHECKING, TypeVar

from assistant.procedure import quantity
from assistant.procedure.quantity import Dimension, Quantity, QuantityError, Window
from assistant.procedure.spelling import near, strange
from assistant.procedure.unit import listing
from assistant.procedure.yaml_nodes import Mapping, Node, Scalar, Sequence

if TYPE_CHECKING:
    from collections.abc import Collection

    from assistant.procedure.finding import Findings, Mark
    from assistant.procedure.layout import Layout

MOST_SIGNS = 400  # of one spoken text: about half a minute of speech
MOST_SECONDS = 24 * 3600
MOST_SAID = Decimal("999.999")  # as the grammars of numbers have it (numbers.jsgf)
_ID = re.compile(r"[a-z][a-z0-9]*(-[a-z0-9]+)*")
_NUMBER = re.compile(r"[-+]?[0-9][0-9.]*")
_DECIMAL = re.compile(r"[0-9]{1,9}(\.[0-9]{1,9})?")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_Member = TypeVar("_Member", bound=StrEnum)
_WHOLE = re.compile(r"0|[1-9][0-9]{0,8}")  # others read "010" as 8
_CURLY = tuple(
    "\u201c\u201d\u201e\u2018\u2019\u201a\u00ab\u00bb"
)  # what word processors make of quotes


def twice(first: Mark, second: Mark) -> str:
    """'on line 3 and again on line 5', or in two files."""
    if first.path != second.path:
        return f"at {first.place} and again at {second.place}"
    if first.line == second.line:
        return f"twice on line {first.line}"
    return f"on line {first.line} and again on line {second.line}"


class Fields:
    """One block with its known keys.

    Attributes:
        mark: where the block begins.
    """

    def __init__(self, mapping: Mapping, layout: Layout, findings: Findings) -> None:
        self.mark = mapping.mark
        self._layout = layout
        self._findings = findings
        self._nodes: dict[str, Node] = {}
        self._key_marks: dict[str, Mark] = {}
        for node, value in mapping.pairs:
            self._enter(node, value)
        for key, example in layout.required.items():
            if key not in self._key_marks:
                findings.add(
                    self.mark, f'"{key}" is missing from {layout.name}', f"write `{example}`"
                )

    def __contains__(self, key: str) -> bool:
        return key in self._nodes

    def mark_of(self, key: str) -> Mark:
        """Where the key's value begins; the block's own place where it is missing."""
        node = self._nodes.get(key)
        return self.mark if node is None else node.mark

    def node(self, key: str) -> Node | None:
        """The key's value as it stands in the file; None where it is missing."""
        return self._nodes.get(key)

    def items(self, key: str) -> tuple[Node, ...]:
        """The items of the list under the key as they stand in the file; () stands in."""
        return self._items(key)

    def refuse(self, key: str, what: str, remedy: str) -> None:
        """Note a mistake at the key's value."""
        self._findings.add(self.mark_of(key), what, remedy)

    def refuse_at(self, mark: Mark, what: str, remedy: str) -> None:
        """Note a mistake at a place within the block."""
        self._findings.add(mark, what, remedy)

    def text(self, key: str) -> str:
        """A text that can be spoken, its white space made single; "" stands in."""
        node = self._nodes.get(key)
        return "" if node is None else self._text(key, node)

    def quoted(self, key: str) -> str:
        """A text that must not look like a number, for "1.10" is not "1.1"; "" stands in."""
        node = self._nodes.get(key)
        if isinstance(node, Scalar) and node.plain and _NUMBER.fullmatch(node.text):
            self.refuse(
                key,
                f'"{key}" must be a text, and {node.text} looks like a number',
                f'put quotes around it: "{node.text}"',
            )
            return ""
        text = self.text(key)
        if text[:1] in _CURLY:
            self.refuse(
                key,
                f'"{key}" begins with {text[0]}, which is a letter of the text and no quote',
                'write straight quotes: "1.10"',
            )
            return ""
        return text

    def texts(self, key: str) -> tuple[tuple[str, Mark], ...]:
        """A list of texts, each with its place; () stands in."""
        return tuple((self._text(key, node), node.mark) for node in self._items(key))

    def identifier(self, key: str) -> str:
        """Small letters, digits and hyphens; "" stands in."""
        text = self.text(key)
        if text and not _ID.fullmatch(text):
            self.refuse(
                key,
                f'"{text}" is no {key}{strange(text)}',
                'use small letters and digits joined by hyphens, as in "first-rinse"',
            )
            return ""
        return text

    def reference(self, key: str, known: Collection[str], of: str) -> str | None:
        """The id of something that the sheet defines; None stands in."""
        text = self.text(key)
        if text and text not in known:
            self.refuse(key, f'there is no {of} "{text}"{strange(text)}', near(text, known))
        return text if text in known else None

    def yes(self, key: str) -> bool:
        """Whether the key says "yes"; False where it is missing."""
        text = self.text(key) if key in self else "no"
        if text and text not in {"yes", "no"}:
            self.refuse(key, f'"{key}" is "{text}"', 'write "yes" or "no"')
        return text == "yes"

    def whole(self, key: str, least: int, most: int, default: int) -> int:
        """A whole number between two ends, both included; the default stands in."""
        text = self.text(key)
        if not text:
            return default
        if not _WHOLE.fullmatch(text) or not least <= int(text) <= most:
            self.refuse(
                key,
                f'"{key}" is "{text}"',
                f"write a whole number from {least} to {most}, without a unit",
            )
            return default
        return int(text)

    def quantity(self, key: str, dimension: Dimension | None) -> Quantity | None:
        """A value with its unit; None stands in."""
        text = self.text(key)
        if not text:
            return None
        try:
            return quantity.parse(text, dimension)
        except QuantityError as error:
            self.refuse(key, error.what, error.remedy)
            return None

    def amount(self, key: str, dimension: Dimension) -> Quantity | None:
        """A value above zero with its unit; None stands in."""
        found = self.quantity(key, dimension)
        if found is None or found.value > 0:
            return found
        self.refuse(key, f'"{found}" is not above zero', "correct the figure")
        return None

    def sayable(self, dimension: Dimension | None) -> Window | None:
        """The window of ``ends``, where values in it can be said; None stands in."""
        window = self.ends(dimension)
        if window is None:
            return None
        ends = {key: end for key in ("least", "most") if (end := getattr(window, key)) is not None}
        cold = window.unit.dimension is Dimension.TEMPERATURE
        for key, end in ends.items():
            if end.value < 0 and not cold:
                self.refuse(key, f'"{end}" is below zero', "correct the figure")
                return None
        if (window.least and window.least.value > MOST_SAID) or (
            window.most and window.most.value < 0
        ):
            self.refuse(
                next(iter(ends)),
                f'no value of "{window}" can be said: numbers go from 0 to {MOST_SAID}',
                f"give it in another of the units {listing(window.unit.dimension)}",
            )
            return None
        return window

    def decimal(self, key: str) -> Decimal | None:
        """A plain number above zero, without a unit; None stands in."""
        text = self.text(key)
        if not text:
            return None
        if not _DECIMAL.fullmatch(text) or not Decimal(text):
            self.refuse(key, f'"{key}" is "{text}"', "write a number above zero, without a unit")
            return None
        return Decimal(text)

    def day(self, key: str) -> date | None:
        """A day as in "2026-03-02"; None stands in."""
        text = self.text(key)
        if not text:
            return None
        try:
            found = date.fromisoformat(text) if _DAY.fullmatch(text) else None
        except ValueError:
            found = None
        if found is None:
            self.refuse(key, f'"{text}" is no day', 'write year, month, day as in "2026-03-02"')
        return found

    def member(self, key: str, kind: type[_Member]) -> _Member | None:
        """One of a fixed list of words; None stands in."""
        text = self.text(key)
        return None if not text else self._member(key, text, self.mark_of(key), kind)

    def members(self, key: str, kind: type[_Member]) -> frozenset[_Member]:
        """Some of a fixed list of words."""
        found = (self._member(key, text, mark, kind) for text, mark in self.texts(key))
        return frozenset(member for member in found if member is not None)

    def _member(self, key: str, text: str, mark: Mark, kind: type[_Member]) -> _Member | None:
        try:
            return kind(text)
        except ValueError:
            known = [str(member) for member in kind]
            self._findings.add(
                mark, f'"{text}" may not stand in "{key}"{strange(text)}', near(text, known)
            )
            return None

    def seconds(self, key: str) -> int | None:
        """A duration above zero and of at most 24 h, in whole seconds; None stands in."""
        text = self.text(key)
        if not text:
            return None
        try:
            seconds = quantity.duration(text)
        except QuantityError as error:
            self.refuse(key, error.what, error.remedy)
            return None
        if not 0 < seconds <= MOST_SECONDS:
            self.refuse(
                key, f'"{text}" is not between 1 s and 24 h', "write the time that the maker gives"
            )
            return None
        return seconds

    def ends(self, dimension: Dimension | None) -> Window | None:
        """The window that this block's ``least`` and ``most`` span; None stands in."""
        ends = {key: self.quantity(key, dimension) for key in ("least", "most")}
        if any(end is None and key in self for key, end in ends.items()):
            return None
        try:
            return Window(ends["least"], ends["most"])
        except QuantityError as error:
            self.refuse("least", error.what, error.remedy)
            return None

    def block(self, key: str, layout: Layout) -> Fields | None:
        """The block under the key; None stands in."""
        node = self._nodes.get(key)
        return None if node is None else self._block(key, node, layout)

    def blocks(self, key: str, layout: Layout) -> list[Fields]:
        """The list of blocks under the key; an empty one stands in."""
        blocks = (self._block(key, node, layout) for node in self._items(key))
        return [block for block in blocks if block is not None]

    def _enter(self, key: Node, value: Node) -> None:
        if not isinstance(key, Scalar):
            self._findings.add(key.mark, "this key is no text", "write a word before the colon")
            return
        first = self._key_marks.get(key.text)
        if key.text not in self._layout.keys:
            self._findings.add(
                key.mark,
                f'"{key.text}" is no key of {self._layout.name}{strange(key.text)}',
                near(key.text, self._layout.keys),
            )
        elif first is not None:
            self._findings.add(
                key.mark,
                f'"{key.text}" stands {twice(first, key.mark)}',
                "keep one of the two",
            )
        else:
            self._key_marks[key.text] = key.mark
            self._nodes[key.text] = value

    def _text(self, key: str, node: Node) -> str:
        if not isinstance(node, Scalar):
            self._wrong_kind(key, node, "a text")
            return ""
        text = " ".join(node.text.split())
        null = node.plain and text.lower() == "null"  # YAML's word for nothing
        if null or not any(map(str.isalnum, text)):
            self._findings.add(node.mark, f'"{key}" is empty', f"write `{self._layout.keys[key]}`")
            return ""
        if len(text) > MOST_SIGNS:
            self._findings.add(
                node.mark,
                f'"{key}" has {len(text)} signs, too many to be heard at a sink',
                f"say it in at most {MOST_SIGNS}, or split it",
            )
            return ""
        return text

    def _items(self, key: str) -> tuple[Node, ...]:
        node = self._nodes.get(key)
        if node is None:
            return ()
        if not isinstance(node, Sequence):
            self._wrong_kind(key, node, "a list")
            return ()
        if not node.items:
            self._findings.add(
                node.mark, f'the list "{key}" is empty', f"write `{self._layout.keys[key]}`"
            )
        return node.items

    def _block(self, key: str, node: Node, layout: Layout) -> Fields | None:
        if not isinstance(node, Mapping):
            self._wrong_kind(key, node, "a block of keys")
            return None
        return Fields(node, layout, self._findings)

    def _wrong_kind(self, key: str, node: Node, wanted: str) -> None:
        kind = {Scalar: "a text", Sequence: "a list", Mapping: "a block of keys"}[type(node)]
        self._findings.add(
            node.mark,
            f'"{key}" needs {wanted} here, not {kind}',
            f'write as in `{self._layout.keys[key]}`; quote a text that holds ": "',
        )

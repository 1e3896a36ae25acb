"""A grammar as a tree of frozen facts: what JSGF text becomes, before any automaton.

The terms are those of the W3C Note "JSpeech Grammar Format" (JSGF), 5 June 2000:
a grammar is a list of rules, a rule is a name and an expansion, and an expansion
is a token, a reference, or a composition of expansions.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True, slots=True)
class Token:
    """One word, or several words that were quoted together."""

    text: str


@dataclass(frozen=True, slots=True)
class Reference:
    """A rule spoken in this place.

    Attributes:
        rule: key of the rule in ``Grammar.rules``.
        line: where the reference stands in its file, from 1.
        column: likewise, from 1.
    """

    rule: str
    line: int = field(default=0, compare=False)
    column: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Series:
    """Expansions spoken one after another; none at all is JSGF's <NULL>."""

    items: tuple[Expansion, ...]


@dataclass(frozen=True, slots=True)
class Choice:
    """One of several expansions; none to choose from is JSGF's <VOID>.

    Attributes:
        items: the alternatives, in the order written.
        weights: one for each alternative, at least 0; empty where none was written.
    """

    items: tuple[Expansion, ...]
    weights: tuple[float, ...] = ()

    @property
    def spoken(self) -> tuple[Expansion, ...]:
        """The alternatives that may be spoken: as in JSGF, weight 0 means never."""
        if not self.weights:
            return self.items
        return tuple(i for i, weight in zip(self.items, self.weights, strict=True) if weight > 0)


@dataclass(frozen=True, slots=True)
class Repeat:
    """An expansion spoken ``least`` times (0 or 1), or more.

    Attributes:
        item: what is repeated.
        least: 0 for ``[x]`` and ``x*``, 1 for ``x+``.
        endless: False for ``[x]``, which is spoken once at most.
    """

    item: Expansion
    least: int
    endless: bool


@dataclass(frozen=True, slots=True)
class Tagged:
    """An expansion with a tag: as in JSGF, the tag belongs to the item just before it."""

    item: Expansion
    tag: str


Expansion = Token | Reference | Series | Choice | Repeat | Tagged

NULL = Series(())
VOID = Choice(())


@dataclass(frozen=True, slots=True)
class Rule:
    """A named expansion.

    Attributes:
        name: key in ``Grammar.rules``: simple for the grammar's own rules,
            ``grammar.rule`` for imported ones.
        expansion: what may be spoken.
        public: True where it may be spoken on its own.
        source: the file it was read from.
        line: where it is defined, from 1.
    """

    name: str
    expansion: Expansion
    public: bool
    source: str = ""
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True)
class Grammar:
    """Rules that refer to each other and to nothing else.

    Attributes:
        name: as declared.
        source: the file it was read from.
        rules: by name, imported ones included; every reference finds its rule and
            none leads back to itself.
    """

    name: str
    source: str
    rules: Mapping[str, Rule]

    def flat(self) -> str:
        """One self-contained JSGF text, without imports and tags, for other programs."""
        names = {name: name.replace(".", "_") for name in self.rules}
        while len(set(names.values())) < len(names):
            names = {name: flat + "_" * ("." in name) for name, flat in names.items()}
        lines = ["#JSGF V1.0;", f"grammar {self.name};", ""]
        for rule in self.rules.values():
            body = _flat(rule.expansion, names)
            lines.append(f"{'public ' if rule.public else ''}<{names[rule.name]}> = {body};")
        return "\n".join(lines) + "\n"


# Characters that JSGF reads as its own, so that a token with one of them is quoted.
_SPECIAL = re.compile(r'[\s;=|*+<>()\[\]{}/"\\]')


def _flat(expansion: Expansion, names: Mapping[str, str]) -> str:
    match expansion:
        case Token(text):
            quoted = text.replace("\\", "\\\\").replace('"', '\\"')
            return f'"{quoted}"' if _SPECIAL.search(text) else text
        case Reference(rule):
            return f"<{names[rule]}>"
        case Tagged(item):
            return _flat(item, names)
        case Series(items):
            return " ".join(_flat(item, names) for item in items) or "<NULL>"
        case Choice(items, weights):
            texts = [_flat(item, names) for item in items]
            if weights:
                pairs = zip(weights, texts, strict=True)
                texts = [f"/{weight:g}/ {text}" for weight, text in pairs]
            return f"({' | '.join(texts)})" if texts else "<VOID>"
        case Repeat(item, least, endless):
            sign = ("+" if least else "*") if endless else ""
            return f"({_flat(item, names)}){sign}" if endless else f"[{_flat(item, names)}]"

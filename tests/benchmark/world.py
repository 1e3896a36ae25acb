"""A grammar under test, what its sentences mean, and what the tool does with a meaning."""

from __future__ import annotations

import json
from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.grammar import automaton, jsgf
from assistant.grammar.pack import load
from assistant.session.command import Verb

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence
    from pathlib import Path

    from assistant.grammar.automaton import Automaton
    from assistant.grammar.expansion import Grammar
    from assistant.grammar.orthography import Orthography

PROCEDURE = "demo-grasper"
"""Whose parts can be named; a session has the names of one procedure."""

# Verbs whose command is read back and does nothing before "affirmative"; in the
# session's core each goes through ``moment.ask``.
ASKED_BACK = frozenset(
    {
        Verb.READING,
        Verb.LOT,
        Verb.EXPIRY,
        Verb.CONTAINER,
        Verb.SKIP,
        Verb.SIGN_OFF,
        Verb.ABANDON,
        Verb.FRESH_BATH,
        Verb.CLEAN_AGAIN,
        Verb.OVERRIDE,
        Verb.HOLD,
        Verb.REPAIR,
        Verb.DEVICE,
        Verb.UNKNOWN,
        Verb.MISSING,
        Verb.DAMAGED,
        Verb.SINGLE_USE,
    }
)
# Verbs that only make the tool say something.
TOLD = frozenset(
    {Verb.REPEAT, Verb.WHERE, Verb.HOW_LONG, Verb.SOAKING, Verb.HELP, Verb.ADVISE, Verb.HUSH}
)
ENDLESS = frozenset({Verb.READING, Verb.LOT, Verb.TAP_WATER, Verb.EXPIRY, Verb.CONTAINER})


@dataclass(frozen=True, slots=True)
class World:
    """A grammar and the meaning of its sentences.

    Attributes:
        name: "own", "orders" or "signs".
        grammar: as read.
        automaton: of it.
        orthography: of its language.
        meaning: of a sentence's tags; "" where they mean nothing.
    """

    name: str
    grammar: Grammar
    automaton: Automaton
    orthography: Orthography
    meaning: Callable[[Sequence[tuple[str, str]]], str]

    def wanted(self, text: str) -> str:
        """The meaning of a sentence of the grammar."""
        parse = self.automaton.parse(text.split())
        if parse is None:
            raise ValueError(f'"{text}" is no sentence of the grammar {self.name}')
        return self.meaning(parse.tags)


@cache
def own() -> World:
    """The shipped vocabulary."""
    known = shipped_vocabulary("en", PROCEDURE)

    def meaning(tags: Sequence[tuple[str, str]]) -> str:
        return str(known.command(tags) or "")

    return World("own", known.grammar, known.automaton, known.pack.orthography, meaning)


@cache
def orders(path: Path) -> World:
    """The grammar of the recorded drink orders."""
    grammar = jsgf.load(path)
    orthography = load("en").orthography
    return World("orders", grammar, automaton.build(grammar), orthography, _slots)


@cache
def signs() -> World:
    """Single digits, numbers and letters of the radiotelephony alphabet."""
    path = load("en").commands.with_name("numbers.jsgf")
    numbers = jsgf.load(path)
    body = "<number> {number} | <sign> {sign}"
    text = numbers.flat().replace("grammar numbers", "grammar signs").replace("public ", "")
    grammar = jsgf.parse(f"{text}public <said> = {body};\n")
    return World("signs", grammar, automaton.build(grammar), load("en").orthography, _slots)


def _slots(tags: Sequence[tuple[str, str]]) -> str:
    """Every slot with its words, sorted."""
    return json.dumps(sorted(set(tags)))


def effect(meaning: str) -> str:
    """What an accepted meaning does at the sink: "asks back", "tells" or "acts"."""
    verb = meaning.partition(" ")[0]
    if verb in ASKED_BACK:
        return "asks back"
    return "tells" if verb in TOLD else "acts"

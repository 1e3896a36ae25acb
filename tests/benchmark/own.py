"""Cases of the shipped vocabulary: every fixed phrase, and drawn numbers, lots and dates."""

from __future__ import annotations

import random
from functools import cache
from typing import TYPE_CHECKING

from assistant.session.command import Verb
from tests.benchmark.case import Case, seed
from tests.benchmark.voices import UNUSED, Spoken
from tests.benchmark.world import ENDLESS, own

if TYPE_CHECKING:
    from collections.abc import Iterator

# First words of the sentences that are without end.
_STARTS = frozenset({"value", "lot", "expiry", "tap", "container"})
_MOST_WORDS = 8  # of a drawn lot; the grammar's have no end
# How many of 20 drawn numbers are of each kind.
_MIX = {Verb.READING: 10, Verb.TAP_WATER: 3, Verb.EXPIRY: 3, Verb.LOT: 3, Verb.CONTAINER: 1}


@cache
def fixed_phrases() -> tuple[str, ...]:
    """Every phrase that holds no number, in alphabetical order."""
    return tuple(sorted(text for text in _sentences((0,), ()) if _verb(text) not in ENDLESS))


def _sentences(nodes: tuple[int, ...], words: tuple[str, ...]) -> Iterator[str]:
    """Every sentence that does not begin as one with a number does."""
    automaton = own().automaton
    if any(automaton.ends[node] is not None for node in nodes):
        yield " ".join(words)
    arcs = [arc for node in nodes for arc in automaton.arcs[node]]
    for word in dict.fromkeys(arc.word for arc in arcs):
        if words or word not in _STARTS:
            after = dict.fromkeys(arc.target for arc in arcs if arc.word == word)
            yield from _sentences(tuple(after), (*words, word))


def _verb(text: str) -> Verb:
    return Verb(own().wanted(text).partition(" ")[0])


def commands(voices: int) -> Iterator[Case]:
    """Each fixed phrase by so many of the unused voices, all of which take their turns."""
    for place, text in enumerate(fixed_phrases()):
        for turn in range(voices):
            yield spoken_case(text, place * voices + turn, "fixed")


def numbers(count: int) -> Iterator[Case]:
    """Drawn numbers, dates, lots and containers."""
    world, draw = own(), random.Random(17)  # noqa: S311 - a sample, no secret
    wanted = {verb: -(-count * share // 20) for verb, share in _MIX.items()}
    made, seen = 0, set[str]()
    while made < count:
        text = world.automaton.sample(draw.randrange)
        verb = _verb(text)
        if not wanted.get(verb) or len(text.split()) > _MOST_WORDS or text in seen:
            continue
        seen.add(text)
        wanted[verb] -= 1
        yield spoken_case(text, made, str(verb))
        made += 1


def spoken_case(text: str, turn: int, group: str) -> Case:
    """A sentence of the grammar by the unused voice whose turn it is."""
    name, rate, pitch = UNUSED[(turn + seed(text)) % len(UNUSED)]
    voice = Spoken(text, name, rate, pitch)
    return Case(f"{text} / {name}", voice, text, own().wanted(text), group=group)

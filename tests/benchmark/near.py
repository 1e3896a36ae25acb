"""Near misses: sentences one word or one sound off a command, none of them in the grammar.

Made from the fixed phrases and from readings:

- "sound": one word becomes another word of the pronouncing dictionary (in the
  pocketsphinx wheel) whose ARPAbet differs by one sound put in, taken out or changed;
- "word": one word is left out, or becomes another word of the grammar;
- "negation": the command behind "do not", "don't" or "no".

A sentence whose phonemes (``tests.grammar.phonemes``) equal those of a command is left
out: nobody could hear it apart.  So is one that only lacks an article or "it": it
means the same.
"""

from __future__ import annotations

import random
import re
from functools import cache
from typing import TYPE_CHECKING

from assistant.hearing.pocketsphinx import model_folder
from tests.benchmark.case import Case, seed
from tests.benchmark.own import fixed_phrases
from tests.benchmark.voices import UNUSED, Spoken
from tests.benchmark.world import own
from tests.grammar.phonemes import phonemes

if TYPE_CHECKING:
    from collections.abc import Iterator

_READINGS = ("value forty two degrees", "value one oh five", "lot number alfa three seven")
_NOTHING_LOST = frozenset({"the", "it"})
_NEGATIONS = ("do not", "don't", "no")
_WORD = re.compile(r"[a-z]{2,7}")


def near_misses(of_each: int) -> Iterator[Case]:
    """So many near misses of each kind for each phrase, by the unused voices in turn."""
    commands = {phonemes(text) for text in fixed_phrases()}
    turn = 0
    for phrase in (*fixed_phrases(), *_READINGS):
        draw = random.Random(seed("near", phrase))  # noqa: S311 - a sample, no secret
        for kind, texts in (
            ("sound", list(_sounds(phrase))),
            ("word", list(_words(phrase))),
            ("negation", [f"{negation} {phrase}" for negation in _NEGATIONS]),
        ):
            apart = [text for text in texts if _apart(text, commands)]
            for text in draw.sample(apart, min(of_each, len(apart))):
                name, rate, pitch = UNUSED[turn % len(UNUSED)]
                turn += 1
                voice = Spoken(text, name, rate, pitch)
                yield Case(f"{text} / {name}", voice, text, group=kind)


def _apart(text: str, commands: set[str]) -> bool:
    return own().automaton.parse(text.split()) is None and phonemes(text) not in commands


def _sounds(phrase: str) -> Iterator[str]:
    words = phrase.split()
    for place, word in enumerate(words):
        for other in _neighbours(word):
            yield " ".join([*words[:place], other, *words[place + 1 :]])


def _words(phrase: str) -> Iterator[str]:
    words = phrase.split()
    known = sorted(own().automaton.words)
    for place, word in enumerate(words):
        if len(words) > 1 and word not in _NOTHING_LOST:
            yield " ".join([*words[:place], *words[place + 1 :]])
        for other in known:
            if other != word:
                yield " ".join([*words[:place], other, *words[place + 1 :]])


@cache
def _neighbours(word: str) -> tuple[str, ...]:
    """Words of the dictionary that sound one sound off."""
    sounds, spelled = _dictionary()
    found: dict[str, None] = {}
    for form in sounds.get(word, ()):
        for near in _one_off(form):
            found.update(dict.fromkeys(spelled.get(near, ())))
    same = {other for form in sounds.get(word, ()) for other in spelled[form]}
    return tuple(sorted(other for other in found if other not in same))


def _one_off(form: tuple[str, ...]) -> Iterator[tuple[str, ...]]:
    alphabet = sorted({sound for known in _dictionary()[1] for sound in known})
    for place in range(len(form) + 1):
        for sound in alphabet:
            yield (*form[:place], sound, *form[place:])
            if place < len(form) and sound != form[place]:
                yield (*form[:place], sound, *form[place + 1 :])
        if place < len(form) and len(form) > 1:
            yield (*form[:place], *form[place + 1 :])


_Form = tuple[str, ...]


@cache
def _dictionary() -> tuple[dict[str, list[_Form]], dict[_Form, list[str]]]:
    """Pronunciations by word, and words by pronunciation; ordinary short words only."""
    by_word: dict[str, list[_Form]] = {}
    by_form: dict[_Form, list[str]] = {}
    lines = (model_folder() / "cmudict-en-us.dict").read_text(encoding="utf-8").splitlines()
    for line in lines:
        word, *form = line.split()
        word = re.sub(r"\(\d+\)$", "", word)
        if _WORD.fullmatch(word):
            by_word.setdefault(word, []).append(tuple(form))
            by_form.setdefault(tuple(form), []).append(word)
    return by_word, by_form

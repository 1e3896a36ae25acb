"""The recognizers under test, each for one grammar, behind the project's own port."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from assistant.hearing.choose import Choice, Vocabulary, choose
from assistant.hearing.neural import NeuralRecognizer
from assistant.hearing.recognizer import ModelMissingError
from tests.benchmark.keywords import KeywordList
from tests.benchmark.nearest import NearestPhrase
from tests.benchmark.own import fixed_phrases
from tests.benchmark.world import orders, own, signs

if TYPE_CHECKING:
    from pathlib import Path

    from assistant.hearing.recognizer import Recognizer
    from tests.benchmark.sets import Sets
    from tests.benchmark.world import World

NAMES = ("neural", "free", "ps-jsgf", "ps-keywords", "vosk")
TITLES = {
    "neural": "this recognizer",
    "free": "same model, freely, nearest phrase",
    "ps-jsgf": "pocketsphinx, JSGF",
    "ps-keywords": "pocketsphinx, keywords",
    "vosk": "vosk",
}


def world(name: str, sets: Sets) -> World:
    """The grammar of that name."""
    if name == "orders":
        if sets.orders is None:
            raise ValueError("the recorded drink orders are not present")
        return orders(sets.orders / "orders.jsgf")
    return {"own": own, "signs": signs}[name]()


def subject(name: str, of: World, vosk: Path | None) -> Recognizer:
    """The recognizer of that name.

    Raises:
        ModelMissingError: its model is not there.
        KeyError: there is no such recognizer.
    """
    key = name, of.name
    if key not in _CACHED:
        _CACHED[key] = _make(name, of, vosk)
    return _CACHED[key]


_CACHED: dict[tuple[str, str], Recognizer] = {}


# How pocketsphinx is helped to words that its dictionary lacks, so that it can be compared.
_AS_SAID = {"grasper": ("grasp er",)}


def _make(name: str, of: World, vosk: Path | None) -> Recognizer:
    vocabulary = Vocabulary("en", of.grammar, of.automaton, of.orthography)
    helped = replace(of.orthography, spellings={**of.orthography.spellings, **_AS_SAID})
    match name:
        case "neural":
            return choose(vocabulary, Choice.NEURAL).recognizer
        case "free":
            neural = subject("neural", of, None)
            if not isinstance(neural, NeuralRecognizer):
                raise ModelMissingError("the model of the neural recognizer is not there")
            return NearestPhrase(of, neural.model)
        case "ps-jsgf":
            heard = replace(vocabulary, orthography=helped)
            return choose(heard, Choice.POCKETSPHINX).recognizer
        case "ps-keywords":
            return KeywordList(replace(of, orthography=helped), _phrases(of))
        case "vosk":
            return choose(vocabulary, Choice.VOSK, vosk).recognizer
    raise KeyError(name)


def _phrases(of: World) -> list[str]:
    """What a keyword list can hold: all sentences, or those without a number."""
    if of.name == "own":
        return list(fixed_phrases())
    return list(dict.fromkeys(of.automaton.words)) if of.name == "signs" else _orders(of)


def _orders(of: World, most: int = 2000) -> list[str]:
    """Drawn sentences: the grammar of orders has too many for a list."""
    import random  # noqa: PLC0415 - only here

    draw = random.Random(1)  # noqa: S311 - a sample, no secret
    return sorted({of.automaton.sample(draw.randrange) for _ in range(most)})

"""The yardstick: the same model decoded freely, and the nearest phrase of the grammar.

Distance counts letters and digits to be inserted, removed or changed (Levenshtein)
between what the model wrote and any written form of any sentence; the nearest within
a third of the written text's length is taken, otherwise the text is rejected.  The
third was chosen before anything was measured and is not tuned.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from assistant.grammar.written import WrittenForms
from assistant.hearing import tokens
from assistant.hearing.recognizer import SAMPLE_RATE, Hypothesis
from assistant.hearing.speech_model import CachedDecoder
from assistant.hearing.tokens import END

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.hearing.recognizer import Utterance
    from assistant.hearing.speech_model import SpeechModel
    from tests.benchmark.world import World

_SHARE = 1 / 3
_LEAD_S, _TAIL_S = 0.2, 0.3  # of silence, as the recognizer under test puts around
_LONGEST_S, _SHORTEST_S = 8.0, 0.1


@dataclass(slots=True)
class NearestPhrase:
    """Free decoding plus nearest phrase (``hearing.recognizer.Recognizer``)."""

    world: World
    model: SpeechModel
    name: str = "free"
    model_sha256: str = field(init=False)
    _texts: Sequence[str] = field(init=False, repr=False)
    _written: WrittenForms = field(init=False, repr=False)

    def __post_init__(self) -> None:
        self.model_sha256 = self.model.sha256
        self._texts = tokens.read(self.model.tokens)
        self._written = WrittenForms(self.world.automaton, self.world.orthography)

    def hear(self, utterance: Utterance) -> Hypothesis:
        """The phrase nearest to what the model writes, or a rejection."""
        began = time.perf_counter()
        seconds = len(utterance.samples) / SAMPLE_RATE
        text = self._text(utterance) if _SHORTEST_S <= seconds <= _LONGEST_S else ""
        words, distance = self.nearest(text) if text else ((), 0)
        parse = self.world.automaton.parse(words) if words else None
        decode_ms = 1000 * (time.perf_counter() - began)
        if parse is None:
            return Hypothesis(
                text, (), 0.0, accepted=False, reason="no phrase is near", decode_ms=decode_ms
            )
        return Hypothesis(
            parse.text, parse.tags, -float(distance), accepted=True, decode_ms=decode_ms
        )

    def _text(self, utterance: Utterance) -> str:
        padding = int(_LEAD_S * SAMPLE_RATE), int(_TAIL_S * SAMPLE_RATE)
        states = self.model.encode(np.pad(utterance.samples, padding))
        decoder = CachedDecoder(self.model, states)
        rows, ids = decoder.begin(), list[int]()
        for _ in range(int(8 + 6 * len(utterance.samples) / SAMPLE_RATE)):
            token = int(rows[0].argmax())
            if token == END:
                break
            ids.append(token)
            rows = decoder.advance([0], [token])
        text = "".join(self._texts[token] for token in ids)
        return " ".join(text.lower().replace(",", " ").rstrip(" .?!").split())

    def nearest(self, text: str) -> tuple[tuple[str, ...], int]:
        """Words of the nearest sentence and its distance; no words where none is near."""
        most = int(len(text) * _SHARE)
        # Best way to each state of the written forms so far: (distance, text so far).
        reached = self._grown({self._written.start: (0, "")}, most)
        for sign in text:
            after: dict[int, tuple[int, str]] = {}
            for state, (cost, way) in reached.items():
                _keep(after, state, cost + 1, way, most)
                for follower in self._written.following(state):
                    there = self._written.step(state, follower)
                    if there is not None:
                        _keep(after, there, cost + (follower != sign), way + follower, most)
            reached = self._grown(after, most)
        ended = [(cost, way) for s, (cost, way) in reached.items() if self._written.ends(s)]
        if not ended:
            return (), 0
        cost, way = min(ended)
        return self._written.readings(way)[0], cost

    def _grown(self, reached: dict[int, tuple[int, str]], most: int) -> dict[int, tuple[int, str]]:
        """With every state that letters missing from the text lead to."""
        front = dict(reached)
        while front:
            further: dict[int, tuple[int, str]] = {}
            for state, (cost, way) in front.items():
                for follower in self._written.following(state) if cost < most else ():
                    there = self._written.step(state, follower)
                    if there is not None and _keep(reached, there, cost + 1, way + follower, most):
                        further[there] = reached[there]
            front = further
        return reached


def _keep(into: dict[int, tuple[int, str]], state: int, cost: int, way: str, most: int) -> bool:
    """Remember a way to a state where it is the best so far; whether it was."""
    if cost > most or (state in into and into[state] <= (cost, way)):
        return False
    into[state] = (cost, way)
    return True

"""The recognizer for any Vosk model: Korean, English, whatever folder the user has.

The library estimates word pairs from the phrases it is given, so it may hear
sentences that the grammar has not.  It is therefore asked for several readings;
the automaton picks the likeliest that is a sentence, and the distance to the
likeliest of all tells how much that choice had to bend.
"""

from __future__ import annotations

import json
import time
from itertools import islice
from typing import TYPE_CHECKING, Final

from assistant.hearing import voskmodel
from assistant.hearing.recognizer import SAMPLE_RATE, Hypothesis
from assistant.hearing.room import pcm
from assistant.hearing.vocabulary import known_forms

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from pathlib import Path

    from assistant.grammar.automaton import Automaton, Parse
    from assistant.hearing.recognizer import Utterance

UNKNOWN: Final = "[unk]"
"""The word that models which can tell other speech give it."""

_READINGS: Final = 20
_MOST_PHRASES: Final = 2_000  # the library takes 3,000 in 7 ms; a grammar of numbers has millions

BEND: Final = 3.0
"""Natural-log units; a sentence 20 times less likely than the best reading was not said."""


class VoskRecognizer:
    """Hears utterances with a Vosk model under a grammar.

    Args:
        automaton: of the grammar.
        folder: the model's; it is opened by its path, never fetched.
        spellings: for a word of the grammar, other ways to write the same sound;
            tried where the model lacks the word.
        bend: natural-log units; how far a sentence may lie below the best
            reading and still be accepted.

    Raises:
        ModelMissingError: the folder holds no model that can be used.
        UnsayableWordsError: the model lacks words of the grammar.
    """

    name = "vosk"

    def __init__(
        self,
        automaton: Automaton,
        folder: Path,
        spellings: Mapping[str, Sequence[str]] | None = None,
        bend: float = BEND,
    ) -> None:
        self._automaton = automaton
        self._model = voskmodel.load(folder)
        forms = known_forms(automaton.words, spellings or {}, self._knows, str(folder))
        self.model_sha256 = voskmodel.digest(folder)
        self.tells_other_speech = self._knows(UNKNOWN)
        self._ours = {form: word for word, form in forms.items() if form != word}
        phrases = [
            " ".join(forms[word] for word in phrase.split()) for phrase in _phrases(automaton)
        ]
        if self.tells_other_speech:
            phrases.append(UNKNOWN)
        self._grammar = json.dumps(phrases, ensure_ascii=False)
        self._bend = bend

    def hear(self, utterance: Utterance) -> Hypothesis:
        """The likeliest reading that is a sentence of the grammar, or a rejection."""
        begun = time.perf_counter()
        readings = self._readings(utterance)
        hypothesis = _judged(self._automaton, readings, self._bend)
        return Hypothesis(
            text=hypothesis.text,
            tags=hypothesis.tags,
            score=hypothesis.score,
            accepted=hypothesis.accepted,
            runner_up=hypothesis.runner_up,
            runner_up_score=hypothesis.runner_up_score,
            reason=hypothesis.reason,
            decode_ms=1000 * (time.perf_counter() - begun),
        )

    def _knows(self, word: str) -> bool:
        # The library drops unknown words from a grammar and only logs it.
        return int(self._model.vosk_model_find_word(word)) >= 0

    def _readings(self, utterance: Utterance) -> list[tuple[str, float]]:
        """Texts and their log-likelihoods, likeliest first; none where nothing was heard."""
        import vosk  # noqa: PLC0415  (heavy, and only this recognizer needs it)

        # A fresh one each time (1 ms): a used one has adapted to the utterances
        # before, and the same sound would not give the same answer.
        recognizer = vosk.KaldiRecognizer(self._model, SAMPLE_RATE, self._grammar)
        recognizer.SetMaxAlternatives(_READINGS)
        recognizer.AcceptWaveform(pcm(utterance.samples))
        found = json.loads(recognizer.FinalResult()).get("alternatives", [])
        return [
            (self._respelled(reading["text"]), float(reading["confidence"])) for reading in found
        ]

    def _respelled(self, text: str) -> str:
        """The model's words as the grammar writes them."""
        padded = f" {' '.join(text.split())} "
        for form, word in self._ours.items():
            padded = padded.replace(f" {form} ", f" {word} ")
        return padded.strip()


def _phrases(automaton: Automaton) -> list[str]:
    """Every sentence, or where they are too many every pair of neighbouring words.

    The library only learns which word may follow which, so the pairs lose little.
    """
    sentences = list(islice(automaton.sentences(), _MOST_PHRASES + 1))
    if len(sentences) <= _MOST_PHRASES:
        return [sentence for sentence in sentences if sentence]
    pairs = {
        f"{first.word} {second.word}": None
        for node in automaton.arcs
        for first in node
        for second in automaton.arcs[first.target]
    }
    alone = {arc.word: None for arc in automaton.arcs[0] if automaton.ends[arc.target] is not None}
    return [*alone, *pairs]


def _judged(automaton: Automaton, readings: Sequence[tuple[str, float]], bend: float) -> Hypothesis:
    """What the readings mean under the grammar; scores relative to the best reading."""
    if not readings or not readings[0][0]:
        return Hypothesis("", (), 0.0, accepted=False, reason="no words were heard")
    best = max(score for _, score in readings)
    sentences: dict[str, tuple[Parse, float]] = {}
    for text, score in readings:
        parse = automaton.parse(text.split())
        if text and parse is not None:
            sentences.setdefault(text, (parse, score - best))
    if not sentences:
        return Hypothesis(
            "", (), 0.0, accepted=False, reason=f'"{readings[0][0]}" is no sentence of the grammar'
        )
    (parse, score), *others = sentences.values()
    accepted = score >= -bend
    return Hypothesis(
        text=parse.text,
        tags=parse.tags,
        score=score,
        accepted=accepted,
        runner_up=others[0][0].text if others else "",
        runner_up_score=others[0][1] if others else None,
        reason=""
        if accepted
        else f'sounded more like "{readings[0][0]}", which is no sentence of the grammar',
    )

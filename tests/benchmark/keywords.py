"""The yardstick pocketsphinx as a keyword spotter: a list of phrases, each with a threshold.

Only phrases without a number can be listed; a grammar of numbers has no list, so
readings and lots are always rejected.  The threshold of a phrase is 1e-3 for each
of its syllables, about the middle of what the tool's users call usual (1e-5 for one
word to 1e-50 for long phrases; from memory, no source).  It is not tuned.
"""

from __future__ import annotations

import re
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.hearing.pocketsphinx import model_folder
from assistant.hearing.recognizer import Hypothesis
from assistant.hearing.room import pcm
from assistant.hearing.vocabulary import known_forms

if TYPE_CHECKING:
    from collections.abc import Sequence

    from assistant.hearing.recognizer import Utterance
    from tests.benchmark.world import World

_VOWELS = re.compile(r"[aeiouy]+")
_A_SYLLABLE = 3  # powers of ten


class KeywordList:
    """pocketsphinx with a keyword list (``hearing.recognizer.Recognizer``)."""

    name = "ps-keywords"
    model_sha256 = ""

    def __init__(self, world: World, phrases: Sequence[str]) -> None:
        import pocketsphinx  # noqa: PLC0415 - heavy

        self._world = world
        folder = model_folder()
        pocketsphinx.set_loglevel("FATAL")
        self._decoder: Any = pocketsphinx.Decoder(
            hmm=str(folder / "en-us"),
            dict=str(folder / "cmudict-en-us.dict"),
            lm=None,
            samprate=16_000.0,
            loglevel="FATAL",
            cmn="batch",
        )
        words = {word for phrase in phrases for word in phrase.split()}
        forms = known_forms(words, world.orthography.spellings, self._knows, "pocketsphinx")
        for word, form in forms.items():
            if form != word:
                sounds = " ".join(self._decoder.lookup_word(part) for part in form.split())
                self._decoder.add_word(word, sounds)
        with tempfile.TemporaryDirectory() as place:
            listed = Path(place) / "phrases"
            listed.write_text("".join(f"{phrase} /{_threshold(phrase)}/\n" for phrase in phrases))
            self._decoder.add_kws("phrases", str(listed))
        self._decoder.activate_search("phrases")

    def hear(self, utterance: Utterance) -> Hypothesis:
        """The longest phrase that was spotted, or a rejection."""
        began = time.perf_counter()
        self._decoder.reinit_feat()
        self._decoder.start_utt()
        self._decoder.process_raw(pcm(utterance.samples), full_utt=True)
        self._decoder.end_utt()
        spotted = [segment.word.strip() for segment in self._decoder.seg() or ()]
        best = max(spotted, key=lambda phrase: len(phrase.split()), default="")
        parse = self._world.automaton.parse(best.split()) if best else None
        decode_ms = 1000 * (time.perf_counter() - began)
        if parse is None:
            reason = "no phrase was spotted"
            return Hypothesis("", (), 0.0, accepted=False, reason=reason, decode_ms=decode_ms)
        return Hypothesis(parse.text, parse.tags, 0.0, accepted=True, decode_ms=decode_ms)

    def _knows(self, word: str) -> bool:
        return self._decoder.lookup_word(word) is not None


def _threshold(phrase: str) -> str:
    syllables = sum(max(1, len(_VOWELS.findall(word))) for word in phrase.split())
    return f"1e-{_A_SYLLABLE * syllables}"

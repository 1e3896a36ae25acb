"""The pocketsphinx recognizer: a yardstick and an independent listener, English only.

Not good at rejecting: whatever is said is bent into some sentence of the grammar,
often with full confidence.  Do not let it act on unattended listening.
"""

from __future__ import annotations

import hashlib
import math
import time
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from assistant.hearing.recognizer import SAMPLE_RATE, Hypothesis, ModelMissingError
from assistant.hearing.room import pcm
from assistant.hearing.vocabulary import known_forms

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from assistant.grammar.automaton import Automaton
    from assistant.grammar.expansion import Grammar
    from assistant.hearing.recognizer import Utterance

_SEARCH: Final = "commands"
_LEAST_PROBABILITY: Final = 1e-300


class PocketsphinxRecognizer:
    """Hears utterances with the model inside the pocketsphinx wheel, under a grammar.

    ``score`` is the natural logarithm of the sentence's share among all paths
    through the grammar; it says nothing about speech outside the grammar.

    Args:
        grammar: handed to the library as JSGF text.
        automaton: of the same grammar; reads the tags.
        spellings: for a word of the grammar, other ways to write the same sound;
            a word that the dictionary lacks is said as one of them.

    Raises:
        ModelMissingError: the wheel or its model cannot be read.
        UnsayableWordsError: the dictionary lacks words of the grammar.
    """

    name = "pocketsphinx"

    def __init__(
        self,
        grammar: Grammar,
        automaton: Automaton,
        spellings: Mapping[str, Sequence[str]] | None = None,
    ) -> None:
        self._automaton = automaton
        folder = model_folder()
        self._decoder = _decoder(folder)
        forms = known_forms(automaton.words, spellings or {}, self._knows, "pocketsphinx")
        for word, form in forms.items():
            if form != word:
                sounds = " ".join(self._decoder.lookup_word(part) for part in form.split())
                self._decoder.add_word(word, sounds)
        self._decoder.add_jsgf_string(_SEARCH, grammar.flat())
        self._decoder.activate_search(_SEARCH)
        self.model_sha256 = _digest(folder)

    def hear(self, utterance: Utterance) -> Hypothesis:
        """The sentence of the grammar that fits best; rejected only where none is left."""
        begun = time.perf_counter()
        self._decoder.reinit_feat()  # forget the noise estimate of the utterance before
        self._decoder.start_utt()
        self._decoder.process_raw(pcm(utterance.samples), full_utt=True)
        self._decoder.end_utt()
        best = self._decoder.hyp()
        parse = self._automaton.parse(best.hypstr.split()) if best is not None else None
        decode_ms = 1000 * (time.perf_counter() - begun)
        if best is None or parse is None:
            reason = "no sentence of the grammar fits what was heard"
            return Hypothesis("", (), 0.0, accepted=False, reason=reason, decode_ms=decode_ms)
        return Hypothesis(
            text=parse.text,
            tags=parse.tags,
            score=min(0.0, math.log(max(best.prob, _LEAST_PROBABILITY))),
            accepted=True,
            decode_ms=decode_ms,
        )

    def _knows(self, word: str) -> bool:
        return self._decoder.lookup_word(word) is not None


def model_folder() -> Path:
    """Where the wheel keeps its English model.

    Raises:
        ModelMissingError: the wheel is not installed, or has no model.
    """
    try:
        import pocketsphinx  # noqa: PLC0415  (heavy, and only this recognizer needs it)
    except ImportError as error:
        raise ModelMissingError(
            f"pocketsphinx cannot be loaded ({error}); install it: pip install pocketsphinx"
        ) from None
    folder = Path(pocketsphinx.get_model_path()) / "en-us"
    if not (folder / "en-us").is_dir() or not (folder / "cmudict-en-us.dict").is_file():
        raise ModelMissingError(
            f"{folder}: holds no pocketsphinx model; unset POCKETSPHINX_PATH, or install the "
            "wheel again: pip install --force-reinstall pocketsphinx"
        )
    return folder


def _decoder(folder: Path) -> Any:  # noqa: ANN401  (the library has no types)
    import pocketsphinx  # noqa: PLC0415  (heavy, and only this recognizer needs it)

    pocketsphinx.set_loglevel("FATAL")
    try:
        return pocketsphinx.Decoder(
            hmm=str(folder / "en-us"),
            dict=str(folder / "cmudict-en-us.dict"),
            lm=None,
            samprate=float(SAMPLE_RATE),
            loglevel="FATAL",
            # Normalize over the utterance, not over those before it: the same
            # sound gives the same answer.
            cmn="batch",
        )
    except (RuntimeError, ValueError) as error:
        raise ModelMissingError(
            f"{folder}: the pocketsphinx model cannot be read ({error}); install the wheel "
            "again: pip install --force-reinstall pocketsphinx"
        ) from None


def _digest(folder: Path) -> str:
    """SHA-256 over the acoustic model and the dictionary, each file's path and content."""
    whole = hashlib.sha256()
    files = [*(p for p in (folder / "en-us").rglob("*") if p.is_file())]
    for path in sorted([*files, folder / "cmudict-en-us.dict"]):
        with path.open("rb") as raw:
            part = hashlib.file_digest(raw, "sha256").hexdigest()
        whole.update(f"{path.relative_to(folder).as_posix()}\0{part}\n".encode())
    return whole.hexdigest()

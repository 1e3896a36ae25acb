"""Which recognizer hears this session, and why."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from assistant.hearing.recognizer import ModelMissingError

if TYPE_CHECKING:
    from pathlib import Path

    from assistant.grammar.automaton import Automaton
    from assistant.grammar.expansion import Grammar
    from assistant.grammar.orthography import Orthography
    from assistant.hearing.recognizer import Recognizer


class Choice(StrEnum):
    """What a user may ask for."""

    AUTO = "auto"
    NEURAL = "neural"
    VOSK = "vosk"
    POCKETSPHINX = "pocketsphinx"


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """What is to be heard.

    Attributes:
        language: BCP 47 tag.
        grammar: what may be said.
        automaton: of that grammar.
        orthography: how its words may be written.
    """

    language: str
    grammar: Grammar
    automaton: Automaton
    orthography: Orthography

    @property
    def is_english(self) -> bool:
        """Whether the English models can hear it."""
        return self.language.partition("-")[0].lower() == "en"


@dataclass(frozen=True, slots=True)
class Chosen:
    """A recognizer and the reason for it.

    Attributes:
        recognizer: ready to hear.
        why: one sentence that says which it is and why.
    """

    recognizer: Recognizer
    why: str


def choose(vocabulary: Vocabulary, wanted: Choice, model_folder: Path | None = None) -> Chosen:
    """The recognizer that is asked for, or the best that is there.

    Args:
        vocabulary: what is to be heard.
        wanted: ``AUTO`` takes the neural one where its model can be read, else a
            Vosk model where a folder is given, else pocketsphinx.
        model_folder: of a Vosk model.

    Raises:
        ModelMissingError: no recognizer that may be used can be had; the message
            says why, for each that was tried.
    """
    match wanted:
        case Choice.NEURAL:
            return Chosen(_neural(vocabulary), "neural recognizer, as asked")
        case Choice.VOSK:
            return Chosen(_vosk(vocabulary, model_folder), f"vosk with {model_folder}, as asked")
        case Choice.POCKETSPHINX:
            return Chosen(
                _pocketsphinx(vocabulary),
                "pocketsphinx, as asked; it is not good at rejecting other speech",
            )
        case Choice.AUTO:
            return _best(vocabulary, model_folder)


def _best(vocabulary: Vocabulary, model_folder: Path | None) -> Chosen:
    try:
        return Chosen(
            _neural(vocabulary),
            "neural recognizer: it hears English best and its model is there",
        )
    except ModelMissingError as error:
        refusals = [str(error)]
    # A folder that was given and cannot be used is a mistake to be told, not
    # passed over for a recognizer that hears worse.
    if model_folder is not None:
        recognizer = _vosk(vocabulary, model_folder)
        return Chosen(recognizer, f"vosk with {model_folder}: {refusals[0]}")
    try:
        recognizer = _pocketsphinx(vocabulary)
    except ModelMissingError as error:
        refusals = [*refusals, "no folder of a Vosk model is given", str(error)]
        raise ModelMissingError(
            f'nothing here can hear the language "{vocabulary.language}": {"; ".join(refusals)}'
        ) from None
    return Chosen(
        recognizer,
        f"pocketsphinx, which is not good at rejecting other speech: {refusals[0]}, "
        "and no folder of a Vosk model is given",
    )


def _neural(vocabulary: Vocabulary) -> Recognizer:
    _refuse_other_than_english("neural", vocabulary)
    from assistant.hearing.neural import NeuralRecognizer  # noqa: PLC0415  (heavy)

    return NeuralRecognizer.load(vocabulary.automaton, vocabulary.orthography)


def _vosk(vocabulary: Vocabulary, model_folder: Path | None) -> Recognizer:
    if model_folder is None:
        raise ModelMissingError(
            "vosk needs the folder of a Vosk model: name it with --model FOLDER"
        )
    from assistant.hearing.vosk import VoskRecognizer  # noqa: PLC0415  (heavy)

    return VoskRecognizer(vocabulary.automaton, model_folder, vocabulary.orthography.spellings)


def _pocketsphinx(vocabulary: Vocabulary) -> Recognizer:
    _refuse_other_than_english("pocketsphinx", vocabulary)
    from assistant.hearing.pocketsphinx import PocketsphinxRecognizer  # noqa: PLC0415  (heavy)

    return PocketsphinxRecognizer(
        vocabulary.grammar, vocabulary.automaton, vocabulary.orthography.spellings
    )


def _refuse_other_than_english(name: str, vocabulary: Vocabulary) -> None:
    if not vocabulary.is_english:
        raise ModelMissingError(
            f'{name} hears English only, not "{vocabulary.language}"; use vosk with the folder '
            "of a model for that language"
        )

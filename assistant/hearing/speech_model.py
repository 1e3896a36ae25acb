"""The small English speech model: its two networks and how its decoder is stepped."""

from __future__ import annotations

import hashlib
import importlib.util
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.hearing.recognizer import ModelMissingError
from assistant.hearing.tokens import BEGIN, END

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

REMEDY = "install the wheel that carries it with `pip install moonshine-voice==0.0.73`"
_FILES = ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")
_LAYERS, _HEADS, _WIDTH = 6, 8, 36  # of the decoder, read from its inputs' shapes


def model_folder() -> Path:
    """Where the English model lies: inside the wheel, which is never imported.

    Raises:
        ModelMissingError: the wheel is not installed or brings no model.
    """
    spec = importlib.util.find_spec("moonshine_voice")
    if spec is None or spec.origin is None:
        raise ModelMissingError(f"the English speech model is not installed; {REMEDY}")
    return Path(spec.origin).parent / "assets" / "tiny-en"


@dataclass(frozen=True, slots=True)
class SpeechModel:
    """The model's two networks and its token texts.

    Attributes:
        encoder: onnxruntime session, sound to states.
        decoder: onnxruntime session, states and tokens to the next token.
        tokens: content of the file of token texts.
        sha256: hex, over the three files in the order encoder, decoder, tokens.
    """

    encoder: Any
    decoder: Any
    tokens: bytes
    sha256: str

    @classmethod
    def read(cls, folder: Path, threads: int = 1) -> SpeechModel:
        """The model in a folder.

        Args:
            folder: holds encoder_model.ort, decoder_model_merged.ort, tokenizer.bin.
            threads: processor threads for one operation.

        Raises:
            ModelMissingError: a file is missing or cannot be read.
        """
        import onnxruntime  # noqa: PLC0415 - heavy, and only this recognizer needs it

        digest = hashlib.sha256()
        contents = []
        for name in _FILES:
            try:
                content = (folder / name).read_bytes()
            except OSError as error:
                problem = f"{folder / name} cannot be read ({error.strerror}); {REMEDY}"
                raise ModelMissingError(problem) from error
            digest.update(content)
            contents.append(content)
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = threads
        options.inter_op_num_threads = 1
        options.log_severity_level = 3
        # Waiting threads must not burn the cores that the voice and the clock need.
        options.add_session_config_entry("session.intra_op.allow_spinning", "0")
        sessions = []
        for content, name in zip(contents[:2], _FILES, strict=False):
            try:
                sessions.append(
                    onnxruntime.InferenceSession(
                        content, options, providers=["CPUExecutionProvider"]
                    )
                )
            except Exception as error:  # onnxruntime's errors share no narrower base
                problem = f"{folder / name} is damaged; {REMEDY}"
                raise ModelMissingError(problem) from error
        return cls(sessions[0], sessions[1], contents[2], digest.hexdigest())

    def encode(self, samples: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
        """Sound, float32, shape (n,), 16 kHz, to states of shape (1, frames, 288)."""
        sound = samples[np.newaxis].astype(np.float32, copy=False)
        mask = np.ones(sound.shape, np.int64)
        states: npt.NDArray[np.float32] = self.encoder.run(
            None, {"input_values": sound, "attention_mask": mask}
        )[0]
        return states

    def likelihood(self, states: npt.NDArray[np.float32], text: Sequence[int]) -> float:
        """Log-likelihood of a text, its end included, given the states; nats.

        Args:
            states: of one utterance, shape (1, frames, 288).
            text: token ids without begin and end.
        """
        feed: dict[str, npt.NDArray[Any]] = {
            "input_ids": np.array([[BEGIN, *text]], np.int64),
            "encoder_hidden_states": states,
            "encoder_attention_mask": np.ones(states.shape[:2], np.int64),
            "use_cache_branch": np.array([False]),
        }
        empty = np.zeros((1, _HEADS, 0, _WIDTH), np.float32)
        for layer in range(_LAYERS):
            for part in ("decoder.key", "decoder.value", "encoder.key", "encoder.value"):
                feed[f"past_key_values.{layer}.{part}"] = empty
        logits = self.decoder.run(["logits"], feed)[0][0]
        wanted = np.array([*text, END])
        return float(_log_softmax(logits)[np.arange(len(wanted)), wanted].sum())


class CachedDecoder:
    """The decoder over one utterance, with the cache of each row (``beam.Decoder``).

    What it makes of the sound is worked out at the first ``begin`` and kept, so that a
    second search of the same utterance begins at no cost.
    """

    def __init__(self, session: Any, states: npt.NDArray[np.float32]) -> None:  # noqa: ANN401
        self._session = session
        self._sound = states
        kinds = [f"{n}.decoder.{kind}" for n in range(_LAYERS) for kind in ("key", "value")]
        self._own = kinds
        self._cross_names = [kind.replace("decoder", "encoder") for kind in kinds]
        self._repeat(1, [])
        self._cache: list[npt.NDArray[np.float32]] = []
        self._begun: list[npt.NDArray[np.float32]] = []

    def begin(self) -> npt.NDArray[np.float32]:
        """Log-probabilities of the first token, shape (1, vocabulary)."""
        count = len(self._own)
        if not self._begun:
            empty = np.zeros((1, _HEADS, 0, _WIDTH), np.float32)
            names = [f"present.{name}" for name in (*self._own, *self._cross_names)]
            none = [empty] * count
            logits, *present = self._run([BEGIN], none, none, names, cached=False)
            self._begun = [_log_softmax(logits[:, -1]), *present[:count]]
            self._repeat(1, present[count:])
        first, *self._cache = self._begun
        return first

    def advance(self, parents: Sequence[int], tokens: Sequence[int]) -> npt.NDArray[np.float32]:
        """Log-probabilities after one more token, shape (len(parents), vocabulary)."""
        if list(parents) != list(range(len(self._cache[0]))):
            self._cache = [part[list(parents)] for part in self._cache]
        # Every row hears the same sound, so a part of the repeated states serves.
        if len(parents) > len(self._states):
            self._repeat(len(parents), [part[:1] for part in self._cross])
        cross = [part[: len(parents)] for part in self._cross]
        names = [f"present.{name}" for name in self._own]
        logits, *self._cache = self._run(tokens, self._cache, cross, names, cached=True)
        return _log_softmax(logits[:, -1])

    def _repeat(self, rows: int, cross: Sequence[npt.NDArray[np.float32]]) -> None:
        """Have the sound ready for so many rows."""
        self._states = np.repeat(self._sound, rows, axis=0)
        self._mask = np.ones(self._states.shape[:2], np.int64)
        self._cross = [np.repeat(part, rows, axis=0) for part in cross]

    def _run(
        self,
        tokens: Sequence[int],
        own: Sequence[npt.NDArray[np.float32]],
        cross: Sequence[npt.NDArray[np.float32]],
        outputs: Sequence[str],
        *,
        cached: bool,
    ) -> list[npt.NDArray[np.float32]]:
        past = dict(zip((*self._own, *self._cross_names), (*own, *cross), strict=True))
        feed: dict[str, npt.NDArray[Any]] = {
            f"past_key_values.{name}": part for name, part in past.items()
        }
        feed["input_ids"] = np.array(tokens, np.int64)[:, np.newaxis]
        feed["encoder_hidden_states"] = self._states[: len(tokens)]
        feed["encoder_attention_mask"] = self._mask[: len(tokens)]
        feed["use_cache_branch"] = np.array([cached])
        result: list[npt.NDArray[np.float32]] = self._session.run(["logits", *outputs], feed)
        return result


def _log_softmax(logits: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    shifted: npt.NDArray[np.float32] = logits - logits.max(axis=1, keepdims=True)
    shifted -= np.log(np.exp(shifted).sum(axis=1, keepdims=True))
    return shifted

"""The small English speech model: its networks and how its decoder is stepped."""

from __future__ import annotations

import hashlib
import importlib.util
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

from assistant.hearing import step, weights
from assistant.hearing.recognizer import ModelMissingError
from assistant.hearing.tokens import BEGIN, END

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

_Arrays = dict[str, "npt.NDArray[np.float32]"]

REMEDY = "install the wheel that carries it with `pip install moonshine-voice==0.0.73`"
_FILES = ("encoder_model.ort", "decoder_model_merged.ort", "tokenizer.bin")


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
    """The model's networks and its token texts.

    Attributes:
        encoder: onnxruntime session, sound to states.
        decoder: onnxruntime session, states and tokens to the next token.
        step: onnxruntime session, one step of the decoder, made from its weights.
        tokens: content of the file of token texts.
        sha256: hex, over the three files in the order encoder, decoder, tokens.
    """

    encoder: Any
    decoder: Any
    step: Any
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

        def session(content: bytes) -> Any:  # noqa: ANN401 - the library has no types
            return onnxruntime.InferenceSession(
                content, options, providers=["CPUExecutionProvider"]
            )

        sessions = []
        for content, name in zip(contents[:2], _FILES, strict=False):
            try:
                sessions.append(session(content))
            except Exception as error:  # onnxruntime's errors share no narrower base
                problem = f"{folder / name} is damaged; {REMEDY}"
                raise ModelMissingError(problem) from error
        try:
            one_step = session(step.model(weights.read(contents[1])))
        except (weights.WeightsError, KeyError) as error:
            problem = f"{folder / _FILES[1]} is another model than expected; {REMEDY}"
            raise ModelMissingError(problem) from error
        return cls(sessions[0], sessions[1], one_step, contents[2], digest.hexdigest())

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
        empty = np.zeros((1, step.HEADS, 0, step.WIDTH), np.float32)
        for layer in range(step.LAYERS):
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

    def __init__(self, model: SpeechModel, states: npt.NDArray[np.float32]) -> None:
        self._model = model
        self._states = states
        self._first: npt.NDArray[np.float32] | None = None
        self._begun: _Arrays = {}
        self._sound: _Arrays = {}
        self._cache: _Arrays = {}
        self._place = 0

    def begin(self) -> npt.NDArray[np.float32]:
        """Log-probabilities of the first token, shape (1, vocabulary)."""
        if self._first is None:
            self._first = self._read()
        self._cache, self._place = self._begun, 1
        return self._first

    def advance(self, parents: Sequence[int], tokens: Sequence[int]) -> npt.NDArray[np.float32]:
        """Log-probabilities after one more token, shape (len(parents), vocabulary)."""
        feed = {
            "ids": np.array(tokens, np.int64),
            "parents": np.array(parents, np.int64),
            "place": np.array(self._place, np.int64),
            **self._sound,
            **self._cache,
        }
        wanted = ["logits", *(f"next_{name}" for name in self._cache)]
        logits, *longer = self._model.step.run(wanted, feed)
        self._cache = dict(zip(self._cache, longer, strict=True))
        self._place += 1
        return _log_softmax(logits)

    def _read(self) -> npt.NDArray[np.float32]:
        """Hear the sound once, with the whole network; log-probabilities of the first token."""
        empty = np.zeros((1, step.HEADS, 0, step.WIDTH), np.float32)
        feed: dict[str, npt.NDArray[Any]] = {
            "input_ids": np.array([[BEGIN]], np.int64),
            "encoder_hidden_states": self._states,
            "encoder_attention_mask": np.ones(self._states.shape[:2], np.int64),
            "use_cache_branch": np.array([False]),
        }
        names = [
            f"{layer}.{side}.{part}"
            for layer in range(step.LAYERS)
            for side in ("decoder", "encoder")
            for part in ("key", "value")
        ]
        feed.update({f"past_key_values.{name}": empty for name in names})
        wanted = ["logits", *(f"present.{name}" for name in names)]
        logits, *present = self._model.decoder.run(wanted, feed)
        for name, found in zip(names, present, strict=True):
            layer, side, part = name.split(".")
            # Keys lie with their tokens last, as they are multiplied.
            turned = np.ascontiguousarray(found.swapaxes(2, 3)) if part == "key" else found
            if side == "decoder":
                self._begun[f"{part}.{layer}"] = turned
            else:
                self._sound[f"sound_{part}.{layer}"] = turned[0]
        return _log_softmax(logits[:, -1])


def _log_softmax(logits: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    shifted: npt.NDArray[np.float32] = logits - logits.max(axis=1, keepdims=True)
    shifted -= np.log(np.exp(shifted).sum(axis=1, keepdims=True))
    return shifted

"""One step made from the weights gives what the shipped network gives from its cache."""

import numpy as np
import pytest

from assistant.hearing import step
from assistant.hearing.speech_model import CachedDecoder, SpeechModel, _log_softmax, model_folder
from assistant.hearing.tokens import BEGIN, END
from assistant.hearing.weights import WeightsError, read

TEXTS = ("switch to the insert", "lot number alfa three seven", "value forty two degrees")
NAMES = [
    f"{layer}.{side}.{part}"
    for layer in range(step.LAYERS)
    for side in ("decoder", "encoder")
    for part in ("key", "value")
]


@pytest.fixture(scope="module")
def model():
    return SpeechModel.read(model_folder())


def shipped(model, states, past, token):
    """One step of the shipped network: log-probabilities and the longer cache."""
    rows = len(past["0.decoder.key"])
    feed = {f"past_key_values.{name}": part for name, part in past.items()}
    feed["input_ids"] = np.full((rows, 1), token, np.int64)
    feed["encoder_hidden_states"] = states
    feed["encoder_attention_mask"] = np.ones(states.shape[:2], np.int64)
    feed["use_cache_branch"] = np.array([past["0.decoder.key"].shape[2] > 0])
    logits, *present = model.decoder.run(["logits", *(f"present.{name}" for name in NAMES)], feed)
    found = dict(zip(NAMES, present, strict=True))
    if past["0.decoder.key"].shape[2]:
        found |= {name: past[name] for name in NAMES if "encoder" in name}
    return _log_softmax(logits[:, -1]), found


@pytest.mark.parametrize("text", TEXTS)
def test_free_text_and_its_likelihood_are_those_of_the_shipped_network(model, speak, text):
    """The shipped network is the outside here.

    Log-probabilities agree to 0.05 nats: sums in another order let an 8-bit step fall
    the other way now and then.
    """
    states = model.encode(speak(text, "en-us+m3"))
    decoder = CachedDecoder(model, states)
    ours = decoder.begin()
    empty = np.zeros((1, step.HEADS, 0, step.WIDTH), np.float32)
    theirs, past = shipped(model, states, dict.fromkeys(NAMES, empty), BEGIN)
    written = []
    for _ in range(30):
        token = int(theirs.argmax())
        assert int(ours.argmax()) == token
        assert ours[0, token] == pytest.approx(theirs[0, token], abs=0.05)
        written.append(token)
        if token == END:
            break
        ours = decoder.advance([0], [token])
        theirs, past = shipped(model, states, past, token)
    assert written[-1] == END
    assert len(written) > 4


def test_rows_go_on_from_the_rows_that_they_name(model, speak):
    """A row's past is its own, whatever order rows are in: two texts, told apart."""
    states = model.encode(speak("start soak"))
    decoder = CachedDecoder(model, states)
    decoder.begin()
    decoder.advance([0, 0], [500, 600])
    crossed = decoder.advance([1, 0, 1], [700, 700, 700])
    assert crossed[0] == pytest.approx(crossed[2], abs=1e-6)
    for row, first in ((0, 600), (1, 500)):
        decoder.begin()
        decoder.advance([0], [first])
        alone = decoder.advance([0], [700])
        # Rows share the scale of their 8-bit steps, so alone is not exactly together.
        assert np.corrcoef(alone[0], crossed[row])[0, 1] > 0.999


def test_a_file_of_another_form_is_refused():
    with pytest.raises(WeightsError):
        read(b"ORTM no model" * 9)

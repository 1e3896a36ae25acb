"""A decoder that is begun again gives to the bit what a new one gives."""

from dataclasses import replace

import numpy as np
import pytest

from assistant.hearing.speech_model import CachedDecoder, SpeechModel, model_folder


@pytest.fixture(scope="module")
def model():
    return SpeechModel.read(model_folder())


@pytest.fixture(scope="module")
def states(model, speak):
    return model.encode(speak("switch to the insert"))


def walked(decoder, rows):
    """Log-probabilities of some steps, rows changing their order and their number."""
    found = [decoder.begin(), decoder.advance([0] * rows, range(400, 400 + rows))]
    backwards = list(range(rows))[::-1]
    found.append(decoder.advance(backwards, range(500, 500 + rows)))
    found.append(decoder.advance(backwards[1:], range(600, 599 + rows)))
    return found


@pytest.mark.parametrize("rows", [(3, 7), (7, 3), (2, 19)])
def test_a_second_search_is_given_what_a_new_decoder_gives(model, states, rows):
    first, second = rows
    again = CachedDecoder(model, states)
    walked(again, first)
    expected = walked(CachedDecoder(model, states), second)
    for got, wanted in zip(walked(again, second), expected, strict=True):
        assert np.array_equal(got, wanted)


def test_the_first_token_is_worked_out_once(model, states):
    calls = []

    class Counting:
        def run(self, *arguments):
            calls.append(arguments)
            return model.decoder.run(*arguments)

    decoder = CachedDecoder(replace(model, decoder=Counting()), states)
    assert np.array_equal(decoder.begin(), decoder.begin())
    assert len(calls) == 1

"""A stream of sound: a complete command acts at its first pause, one that may go on waits."""

import numpy as np
import pytest
from test_segment import Loudness, loud, silence

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.hearing.choose import Choice, Vocabulary, choose
from assistant.hearing.endpoint import Limits
from assistant.hearing.frames import read
from assistant.hearing.recognizer import SAMPLE_RATE, Hypothesis
from assistant.hearing.stream import Stream
from assistant.shipped import folder

KNOWN = shipped_vocabulary("en", "demo-short")
LIMITS = Limits()


class Says:
    """Hears one text in everything, accepted or not; counts how often it was asked."""

    name = "says"
    model_sha256 = ""

    def __init__(self, *texts, accepted=True):
        self.texts, self.accepted = list(texts), accepted
        self.asked = []

    def hear(self, utterance):
        self.asked.append(len(utterance.samples) / SAMPLE_RATE)
        text = self.texts.pop(0) if len(self.texts) > 1 else self.texts[0]
        return Hypothesis(text, (), 0.0, accepted=self.accepted)


def heard(recognizer, sound, size=512):
    """What is heard, and after how many seconds of sound."""
    stream = Stream(recognizer, KNOWN.automaton, LIMITS, Loudness())
    found = []
    for begin in range(0, len(sound), size):
        after_s = (begin + size) / SAMPLE_RATE
        found += [(after_s, u, h.text) for u, h in stream.push(sound[begin : begin + size])]
    return [*found, *((len(sound) / SAMPLE_RATE, u, h.text) for u, h in stream.flush())]


def sound(*parts):
    return np.concatenate(parts)


def test_a_complete_command_is_heard_at_its_first_pause_and_decoded_once():
    says = Says("start soak")
    ((after_s, _, text),) = heard(says, sound(silence(0.5), loud(0.6), silence(1.5)))
    assert text == "start soak"
    assert after_s == pytest.approx(0.5 + 0.6 + LIMITS.pause_s, abs=0.07)
    assert len(says.asked) == 1


def test_a_command_that_may_go_on_is_waited_for():
    says = Says("value one")
    ((after_s, _, _),) = heard(says, sound(silence(0.5), loud(0.6), silence(1.5)))
    assert after_s == pytest.approx(0.5 + 0.6 + LIMITS.hangover_s, abs=0.07)


def test_a_number_with_a_pause_in_it_is_one_utterance():
    says = Says("value one", "value one oh five")
    parts = (silence(0.5), loud(0.6), silence(0.4), loud(0.6), silence(1.5))
    ((_, utterance, text),) = heard(says, sound(*parts))
    assert text == "value one oh five"
    assert len(utterance.samples) / SAMPLE_RATE > 1.6


def test_what_is_rejected_at_a_pause_may_still_become_a_command():
    parts = (silence(0.5), loud(0.6), silence(0.4), loud(0.6), silence(1.5))
    ((_, utterance, _),) = heard(Says("next", accepted=False), sound(*parts))
    assert len(utterance.samples) / SAMPLE_RATE > 1.6


def test_two_commands_close_together_are_two():
    parts = (silence(0.5), loud(0.5), silence(0.3), loud(0.5), silence(1))
    assert [text for _, _, text in heard(Says("next"), sound(*parts))] == ["next", "next"]


@pytest.mark.parametrize("size", [1, 160, 512, 1_000, 100_000])
def test_any_size_of_chunks_gives_the_same(size):
    parts = (silence(0.3), loud(0.5), silence(0.3), loud(0.5), silence(0.8))
    (one, _, _), (two, _, _) = ((u.start_s, u, t) for _, u, t in heard(Says("next"), sound(*parts)))
    found = heard(Says("next"), sound(*parts), size)
    assert [utterance.start_s for _, utterance, _ in found] == [one, two]


def test_what_was_open_at_a_reset_is_forgotten():
    stream = Stream(Says("next"), KNOWN.automaton, LIMITS, Loudness())
    stream.push(sound(silence(0.3), loud(0.5)))
    stream.reset()
    assert stream.push(silence(2.0)) == []
    assert stream.flush() == []


def test_real_commands_a_third_of_a_second_apart_are_two():
    vocabulary = Vocabulary("en", KNOWN.grammar, KNOWN.automaton, KNOWN.pack.orthography)
    recognizer = choose(vocabulary, Choice.NEURAL).recognizer
    clips = [trimmed(name) for name in ("start_soak", "next")]
    both = sound(silence(0.5), clips[0], silence(0.3), clips[1], silence(1))
    stream = Stream(recognizer, KNOWN.automaton)
    found = [*stream.push(both), *stream.flush()]
    assert [h.text for _, h in found if h.accepted] == ["start soak", "next"]


def trimmed(name):
    """A bundled clip without the silence around it."""
    samples = read(folder("audio_fixtures") / "amber" / f"{name}.wav").samples
    speech = np.flatnonzero(np.abs(samples) > 0.01)
    return samples[speech[0] : speech[-1]]

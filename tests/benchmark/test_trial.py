"""Latency is exact to the sample, and outcomes and causes are what they say."""

from types import SimpleNamespace

import numpy as np
import pytest

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.hearing.endpoint import Limits
from assistant.hearing.recognizer import Hypothesis, Utterance
from tests.benchmark import trial
from tests.benchmark.case import Case
from tests.benchmark.level import RATE
from tests.benchmark.mixing import Condition, Scene
from tests.benchmark.voices import Spoken

FRAME = 512
LIMITS = Limits()
AUTOMATON = shipped_vocabulary("en", "demo-short").automaton


class Loud:
    """Speech is where the frame is not silent."""

    def probability(self, frame):
        return float(np.abs(frame).max() > 0.01)

    def reset(self):
        pass


class Deaf:
    """Accepts whatever it is given, after a fixed time by the test's own clock."""

    name = "deaf"
    model_sha256 = ""

    def __init__(self, clock, *, seconds, text="next"):
        self.clock, self.seconds, self.text = clock, seconds, text
        self.answers = 0

    def hear(self, _utterance):
        self.clock.now += self.seconds
        self.answers += 1
        return Hypothesis(self.text, (("next", "next"),), 0.0, accepted=True)


WORLD = SimpleNamespace(meaning=lambda tags: tags[0][1])
CASE = Case("c", Spoken("next", "en-us"), "next", "next")


@pytest.fixture
def clock(monkeypatch):
    found = SimpleNamespace(now=0.0)
    for name in ("perf_counter", "process_time"):
        monkeypatch.setattr(trial.time, name, lambda: found.now)
    return found


def spoken_frames(*stretches, of):
    """A scene in which the named frames sound."""
    samples = np.zeros(of * FRAME, np.float32)
    for first, last in stretches:
        samples[first * FRAME : last * FRAME] = 0.5
    return Scene(samples, stretches[0][0] * FRAME, stretches[-1][1] * FRAME)


@pytest.mark.parametrize(
    ("text", "silence_s", "answers"),
    [("next", LIMITS.pause_s, 1), ("value one", LIMITS.hangover_s, 2)],
)
def test_latency_runs_from_the_end_of_speech_over_the_silence_to_the_answer(
    clock, text, silence_s, answers
):
    """Frames of 32 ms: the first whole number of frames that fills the silence.

    What may go on is heard at the pause too, and again at its end.
    """
    scene = spoken_frames((20, 40), of=100)
    deaf = Deaf(clock, seconds=0.125, text=text)
    heard = trial.streamed(scene, deaf, AUTOMATON, Loud())
    row = trial.row("p", CASE, Condition(), WORLD, "deaf", scene, heard)
    silent = int(np.ceil(silence_s * RATE / FRAME))
    assert deaf.answers == answers
    assert row.outcome == "right"
    assert row.endpoint_s == pytest.approx(silent * FRAME / RATE)
    assert row.latency_s == pytest.approx(silent * FRAME / RATE + 0.125)
    assert row.decode_ms == (125.0,)


def test_the_end_of_speech_need_not_lie_on_a_frame(clock):
    scene = spoken_frames((20, 40), of=100)
    earlier = Scene(scene.samples, scene.start, scene.end - 100)
    heard = trial.streamed(earlier, Deaf(clock, seconds=0.0), AUTOMATON, Loud())
    rows = [
        trial.row("p", CASE, Condition(), WORLD, "deaf", one, heard) for one in (scene, earlier)
    ]
    assert rows[1].latency_s - rows[0].latency_s == pytest.approx(100 / RATE)


def test_a_second_utterance_waits_until_the_first_is_decoded(clock):
    scene = spoken_frames((20, 40), (70, 90), of=140)
    first, second = trial.streamed(scene, Deaf(clock, seconds=3.0), AUTOMATON, Loud())
    assert first.committed_s == pytest.approx(first.emitted / RATE + 3.0)
    assert second.committed_s == pytest.approx(first.committed_s + 3.0)


@pytest.mark.parametrize(
    ("wanted", "meanings", "outcome"),
    [
        ("next", ["next"], "right"),
        ("next", [], "rejected"),
        ("next", ["pause"], "wrong"),
        ("next", ["next", "next"], "wrong"),
        ("", [], "quiet"),
        ("", ["next"], "acts"),
        ("", ["repeat"], "tells"),
        ("", ["sign_off"], "asks back"),
        ("", ["sign_off", "next"], "acts"),
    ],
)
def test_an_outcome_is_judged_by_what_was_accepted(wanted, meanings, outcome):
    assert trial.judged(wanted, meanings) == outcome


def one_heard(begin_s, end_s, emitted_s):
    samples = np.zeros(round((end_s - begin_s) * RATE), np.float32)
    utterance = Utterance(samples, begin_s, end_s)
    hypothesis = Hypothesis("", (), 0.0, accepted=False)
    return trial.Heard(utterance, hypothesis, round(emitted_s * RATE), 0.0, 0.0, emitted_s)


@pytest.mark.parametrize(
    ("heard", "cause"),
    [
        ([], "unheard"),
        ([one_heard(0.9, 2.2, 2.7)], "sentence"),
        ([one_heard(1.3, 2.2, 2.7)], "cut"),
        ([one_heard(0.9, 1.7, 2.2)], "cut"),
        ([one_heard(0.9, 1.5, 2.2), one_heard(1.5, 2.2, 2.7)], "cut"),
        ([one_heard(0.9, 5.0, 5.0)], "held"),
    ],
)
def test_a_cause_is_told_by_how_the_speech_was_cut(heard, cause):
    scene = Scene(np.zeros(6 * RATE, np.float32), RATE, 2 * RATE)
    assert trial.cause(scene, heard) == cause

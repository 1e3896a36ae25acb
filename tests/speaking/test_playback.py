"""Playback on a card that the test pulls, and on one that pulls in real time."""

from __future__ import annotations

import threading
import time
import wave

import numpy as np
import pytest

from assistant.speaking import playback as playback_module
from assistant.speaking.clip import Clip
from assistant.speaking.playback import MemoryPlayback, Outcome, PlaybackError, SpeakerPlayback

RATE = 1000


def ramp(seconds: float = 1.0, rate: int = RATE) -> Clip:
    count = round(seconds * rate)
    return Clip(np.linspace(0.1, 0.9, count, dtype=np.float32), rate, "soak the insert")


class PulledCard:
    """A card whose blocks the test pulls."""

    def __init__(self, rate: int | None = None):
        self.rate = rate
        self.heard = np.zeros(0, np.float32)
        self.aborted = self.closed = 0

    def open(self, clip_rate, make, ended):
        self.fill, self.ended = make(self.rate or clip_rate), ended
        return self

    def pull(self, samples):
        """Pull blocks of 20 until that many samples were played, or all."""
        for _ in range(0, samples, 20):
            block = np.full(20, np.nan, np.float32)
            more = self.fill(block)
            self.heard = np.concatenate([self.heard, block])
            if not more:
                self.ended()
                return

    def abort(self):
        self.aborted += 1
        self.ended()

    def close(self):
        self.closed += 1


class Clock:
    now = 100.0

    def __call__(self):
        return self.now


def on(card, **settings):
    return SpeakerPlayback(card, **{"lead_in_s": 0.0, **settings})


def test_a_clip_is_played_whole_and_unchanged():
    card, clip = PulledCard(), ramp(0.99)
    playing = on(card).start(clip)
    card.pull(5000)
    assert playing.wait() == Outcome(finished=True, seconds=0.99)
    assert np.array_equal(card.heard[:990], clip.samples)
    assert not card.heard[990:].any()
    assert (card.closed, card.aborted) == (1, 0)


def test_a_stopped_clip_is_interrupted_and_tells_how_much_was_played():
    card = PulledCard()
    playing = on(card).start(ramp())
    card.pull(400)
    playing.stop()
    assert playing.wait() == Outcome(finished=False, seconds=pytest.approx(0.4))
    assert (card.closed, card.aborted) == (1, 1)


def test_nothing_is_heard_after_a_stop_even_if_the_card_pulls_on():
    card = PulledCard()
    playing = on(card).start(ramp())
    card.pull(400)
    playing.stop()
    card.pull(400)
    assert not card.heard[400:].any()


def test_stopping_after_the_end_changes_nothing():
    card = PulledCard()
    playing = on(card).start(ramp())
    card.pull(2000)
    playing.stop()
    playing.stop()
    assert playing.wait().finished
    assert (card.closed, card.aborted) == (1, 0)


def test_five_long_clips_in_a_row_each_stop_and_the_next_one_plays():
    card = PulledCard()
    speaker = on(card)
    for _ in range(5):
        playing = speaker.start(ramp())
        card.pull(100)
        playing.stop()
        assert not playing.wait().finished
    playing = speaker.start(ramp())
    card.pull(2000)
    assert playing.wait().finished


def test_a_new_clip_ends_the_one_before():
    card = PulledCard()
    speaker = on(card)
    first = speaker.start(ramp())
    card.pull(100)
    speaker.start(ramp())
    assert first.wait() == Outcome(finished=False, seconds=pytest.approx(0.1))


def test_a_card_that_may_be_asleep_gets_silence_first():
    card, clock = PulledCard(), Clock()
    speaker = on(card, lead_in_s=0.3, clock=clock)
    playing = speaker.start(ramp())
    card.pull(5000)
    assert not card.heard[:300].any()
    assert np.array_equal(card.heard[300:1300], ramp().samples)
    assert playing.wait() == Outcome(finished=True, seconds=1.0)


@pytest.mark.parametrize(("idle_s", "lead_in"), [(1.9, 0), (2.1, 300)])
def test_silence_comes_first_only_after_idleness(idle_s, lead_in):
    card, clock = PulledCard(), Clock()
    speaker = on(card, lead_in_s=0.3, clock=clock)
    speaker.start(ramp())
    card.pull(5000)
    clock.now += idle_s
    card.heard = card.heard[:0]
    speaker.start(ramp())
    card.pull(5000)
    assert np.flatnonzero(card.heard)[0] == lead_in


def test_silence_before_the_clip_does_not_count_as_played():
    card = PulledCard()
    playing = on(card, lead_in_s=0.3).start(ramp())
    card.pull(200)
    playing.stop()
    assert playing.wait() == Outcome(finished=False, seconds=0.0)


def test_a_card_with_another_rate_hears_the_same_sound():
    card = PulledCard(rate=2000)
    tone = np.sin(np.arange(1000) * 2 * np.pi * 50 / RATE).astype(np.float32)
    playing = on(card, lead_in_s=0.1).start(Clip(tone, RATE, "tone"))
    card.pull(9999)
    assert playing.wait() == Outcome(finished=True, seconds=1.0)
    assert not card.heard[:200].any()
    spectrum = np.abs(np.fft.rfft(card.heard[200:2200]))
    assert spectrum.argmax() == 50  # Hz, as the second lasts 2000 samples


def test_a_card_that_dies_is_noticed(monkeypatch):
    monkeypatch.setattr(playback_module, "STALL_S", 0.05)
    card = PulledCard()
    playing = on(card).start(ramp(0.1))
    card.pull(20)
    with pytest.raises(PlaybackError, match="stopped taking sound"):
        playing.wait()
    assert card.closed == 1


class RealTimeCard(PulledCard):
    """A card with a thread that pulls as fast as sound is heard."""

    def open(self, clip_rate, make, ended):
        super().open(clip_rate, make, ended)
        self.silent = threading.Event()
        self.thread = threading.Thread(target=self.run, args=(clip_rate,))
        self.thread.start()
        return self

    def run(self, rate):
        more = True
        while more and not self.silent.is_set():
            block = np.zeros(20, np.float32)
            more = self.fill(block)
            time.sleep(20 / rate)
        self.ended()

    def abort(self):
        self.silent.set()


def test_a_stop_from_another_thread_is_heard_within_a_fifth_of_a_second():
    card = RealTimeCard()
    playing = on(card).start(ramp(10))
    stopped = []

    def stop():
        stopped.append(time.monotonic())
        playing.stop()

    timer = threading.Timer(0.2, stop)
    timer.start()
    outcome = playing.wait()
    assert time.monotonic() - stopped[0] < 0.2
    assert not outcome.finished
    assert 0 < outcome.seconds < 1
    timer.join()
    card.thread.join()


def test_a_clip_played_in_real_time_takes_its_time():
    card = RealTimeCard()
    begun = time.monotonic()
    assert on(card).start(ramp(0.3)).wait().finished
    assert 0.25 < time.monotonic() - begun < 2
    card.thread.join()


def test_the_memory_keeps_what_was_played_and_saves_it(tmp_path):
    memory = MemoryPlayback()
    playing = memory.start(ramp(1))
    playing.stop()
    assert playing.wait() == Outcome(finished=True, seconds=1.0)
    memory.start(ramp(2, rate=2000))
    assert [clip.seconds for clip in memory.played] == [1, 2]
    memory.save(tmp_path / "all.wav", pause_s=0.5)
    with wave.open(str(tmp_path / "all.wav"), "rb") as file:
        assert (file.getframerate(), file.getnchannels(), file.getsampwidth()) == (2000, 1, 2)
        assert file.getnframes() == 2000 + 1000 + 4000 + 1000
        raw = np.frombuffer(file.readframes(9999), "<i2")
    assert raw[3000:7000].max() == pytest.approx(0.9 * 32767, abs=200)

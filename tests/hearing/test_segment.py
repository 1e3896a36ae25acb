import numpy as np
import pytest

from assistant.hearing.endpoint import Limits
from assistant.hearing.frames import FRAME_S, Audio
from assistant.hearing.segment import Segmenter, Silero, utterances, whole

RATE_HZ = 16_000


class Loudness:
    """Speech is what is loud: shows the cutting without any model."""

    def probability(self, frame):
        return 1.0 if np.abs(frame).max() > 0.1 else 0.0

    def reset(self):
        pass


@pytest.fixture(scope="module")
def silero():
    return Silero()


def silence(seconds):
    return np.zeros(round(seconds * RATE_HZ), np.float32)


def loud(seconds):
    return np.full(round(seconds * RATE_HZ), 0.5, np.float32)


def band_noise(seconds, rms, seed=0, low_hz=300, high_hz=5_000):
    n = round(seconds * RATE_HZ)
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(n))
    hz = np.fft.rfftfreq(n, 1 / RATE_HZ)
    spectrum[(hz < low_hz) | (hz > high_hz)] = 0
    noise = np.fft.irfft(spectrum, n)
    return (rms * noise / noise.std()).astype(np.float32)


def pink_noise(seconds, rms, seed=0):
    n = round(seconds * RATE_HZ)
    spectrum = np.fft.rfft(np.random.default_rng(seed).standard_normal(n))
    noise = np.fft.irfft(spectrum / np.sqrt(np.maximum(np.arange(len(spectrum)), 1)), n)
    return (rms * noise / noise.std()).astype(np.float32)


def running_tap(seconds, rms, seed=0):
    """A rush of water that wavers, with drops that ring."""
    rng = np.random.default_rng(seed)
    sound = band_noise(seconds, 1.0, seed)
    n = len(sound)
    wavering = np.interp(
        np.arange(n),
        np.arange(0, n + 1_600, 1_600),
        rng.uniform(0.6, 1.4, n // 1_600 + 2)[: len(np.arange(0, n + 1_600, 1_600))],
    )
    sound = sound * wavering
    t = np.arange(2_000) / RATE_HZ
    for _ in range(n // 3_000):
        at = rng.integers(0, n - 2_000)
        ring = np.exp(-t * rng.uniform(30, 120)) * np.sin(2 * np.pi * rng.uniform(400, 3_000) * t)
        sound[at : at + 2_000] += rng.uniform(0.5, 3) * ring
    return (rms * sound / sound.std()).astype(np.float32)


def in_chunks(sound, size, **means):
    segmenter = Segmenter(**means)
    found = []
    for start in range(0, len(sound), size):
        found.extend(segmenter.push(sound[start : start + size]))
    return found + segmenter.flush()


def same(one, other):
    return (
        one.start_s == other.start_s
        and one.speech_end_s == other.speech_end_s
        and np.array_equal(one.samples, other.samples)
    )


def test_start_and_end_are_exact_to_the_frame():
    sound = np.concatenate([silence(1.0), loud(0.6), silence(2.0)])
    (utterance,) = utterances(Audio(sound), Limits(pre_roll_s=0.2, tail_s=0.2), Loudness())
    assert utterance.start_s + 0.2 == pytest.approx(1.0, abs=FRAME_S)
    assert utterance.speech_end_s == pytest.approx(1.6, abs=FRAME_S)
    start = round(utterance.start_s * RATE_HZ)
    assert np.array_equal(utterance.samples, sound[start : start + len(utterance.samples)])
    assert len(utterance.samples) / RATE_HZ == pytest.approx(1.0, abs=2 * FRAME_S)


@pytest.mark.parametrize("size", [1, 100, 512, 1_000, 4_000, 16_000, 10**9])
def test_the_size_of_the_chunks_never_shows_in_the_utterances(size):
    sound = np.concatenate(
        [silence(0.4), loud(0.5), silence(1.1), loud(0.4), silence(1.0), loud(1)]
    )
    sound = sound[: round(3.57 * RATE_HZ)]
    found = in_chunks(sound, size, voice_activity=Loudness())
    expected = utterances(Audio(sound), voice_activity=Loudness())
    assert len(found) == len(expected) == 3
    assert all(same(one, other) for one, other in zip(found, expected, strict=True))


def test_speech_cut_at_the_last_sample_is_still_an_utterance():
    sound = np.concatenate([silence(1.0), loud(0.5)])[:-37]
    (utterance,) = utterances(Audio(sound), voice_activity=Loudness())
    assert utterance.speech_end_s == len(sound) / RATE_HZ
    assert utterance.samples[-1] == 0.5


def test_settled_words_end_the_utterance_at_the_first_pause():
    sound = np.concatenate([loud(0.4), silence(0.3), loud(0.4), silence(0.3), loud(0.4)])
    asked = []

    def settled(utterance):
        asked.append(utterance.speech_end_s)
        return len(asked) == 2

    found = in_chunks(sound, 160, voice_activity=Loudness(), settled=settled)
    assert len(asked) == 2
    assert [round(utterance.start_s, 1) for utterance in found] == [0.0, 1.1]
    assert found[0].speech_end_s == pytest.approx(1.1, abs=FRAME_S)


def test_steady_noise_taken_for_speech_is_cut_to_eight_seconds():
    found = in_chunks(loud(60.0), 4_000, voice_activity=Loudness())
    assert len(found) == 8
    assert all(len(utterance.samples) <= (8.0 + FRAME_S) * RATE_HZ for utterance in found)


def test_little_sound_is_kept_between_utterances():
    segmenter = Segmenter(voice_activity=Loudness())
    for _ in range(100):
        segmenter.push(silence(1.0))
    assert len(segmenter._kept) < 20


def test_a_reset_forgets_the_open_utterance():
    segmenter = Segmenter(voice_activity=Loudness())
    segmenter.push(loud(1.0))
    assert segmenter.speaking
    segmenter.reset()
    assert not segmenter.speaking
    assert segmenter.push(silence(3.0)) == segmenter.flush() == []


def test_three_commands_are_three_utterances(speak, silero):
    pause = silence(1.0)
    sound = np.concatenate(
        [pause, speak("next"), pause, speak("say again"), pause, speak("start soak")]
    )
    found = utterances(Audio(sound + pink_noise(len(sound) / RATE_HZ, 0.001)), None, silero)
    assert len(found) == 3
    assert found[-1].speech_end_s > len(sound) / RATE_HZ - 0.2


@pytest.mark.parametrize(("one", "other"), [("next", "next"), ("how long", "carry on")])
def test_two_complete_commands_a_third_of_a_second_apart_are_two(one, other, speak, silero):
    def trimmed(sound):
        first, *_, last = np.flatnonzero(np.abs(sound) > 0.01)
        return sound[first:last]

    words = [trimmed(speak(one)), silence(0.3), trimmed(speak(other))]
    sound = np.concatenate([silence(1.0), *words, silence(1.0)])
    sound += pink_noise(len(sound) / RATE_HZ, 0.001)[: len(sound)]
    segmenter = Segmenter(None, silero, settled=lambda _utterance: True)
    assert len(segmenter.push(sound) + segmenter.flush()) == 2
    assert len(utterances(Audio(sound), None, silero)) == 1


def test_the_same_sound_gives_the_same_utterances_after_other_sound(speak, silero):
    audio = Audio(np.concatenate([silence(0.5), speak("carry on"), silence(1.0)]))
    first = utterances(audio, None, silero)
    utterances(Audio(running_tap(5.0, 0.1)), None, silero)
    again = utterances(audio, None, silero)
    assert len(first) == len(again) == 1
    assert same(first[0], again[0])


@pytest.mark.parametrize(
    "sound",
    [
        silence(30.0),
        pink_noise(30.0, 0.05),
        pink_noise(30.0, 0.001),
        band_noise(30.0, 0.05),
        running_tap(30.0, 0.05),
    ],
    ids=["digital silence", "pink noise", "quiet pink noise", "rushing water", "running tap"],
)
def test_noise_without_speech_gives_no_utterance(sound, silero):
    assert utterances(Audio(sound), None, silero) == []
    assert whole(Audio(sound), voice_activity=silero) is None


def test_nothing_at_all_gives_no_utterance(silero):
    assert whole(Audio(silence(0.0)), voice_activity=silero) is None
    assert utterances(Audio(silence(0.0)), None, silero) == []


def test_whole_spans_a_hesitation_and_leaves_margins(speak, silero):
    one, other = speak("reading ninety"), speak("eight point six")
    sound = np.concatenate([silence(2.0), one, silence(1.2), other, silence(2.0)])
    utterance = whole(Audio(sound), voice_activity=silero)
    assert utterance is not None
    assert 1.5 < utterance.start_s < 2.0
    assert utterance.speech_end_s == pytest.approx(len(sound) / RATE_HZ - 2.0, abs=0.25)


@pytest.mark.parametrize("text", ["next", "start soak", "switch to the cable", "how long"])
def test_commands_in_running_water_are_neither_lost_nor_cut(text, speak, silero):
    speech = np.concatenate([silence(1.0), speak(text), silence(1.0)])
    clean = whole(Audio(speech), voice_activity=silero)
    assert clean is not None
    active = speech[np.abs(speech) > 0.01]
    # 5 dB below the speech's own power, silences between the words not counted.
    rms = float(np.sqrt(np.mean(np.square(active)))) * 10 ** (-5 / 20)
    noisy = whole(Audio(speech + band_noise(len(speech) / RATE_HZ, rms)), voice_activity=silero)
    assert noisy is not None
    assert noisy.start_s == pytest.approx(clean.start_s, abs=0.25)
    assert noisy.speech_end_s == pytest.approx(clean.speech_end_s, abs=0.25)


@pytest.mark.parametrize("gain_db", [-20, -40])
def test_whole_hears_faint_speech_as_it_hears_loud_speech(gain_db, speak, silero):
    speech = np.concatenate([silence(1.0), speak("that is correct"), silence(1.0)])
    loudly = whole(Audio(speech), voice_activity=silero)
    faintly = whole(
        Audio((speech * 10 ** (gain_db / 20)).astype(np.float32)), voice_activity=silero
    )
    assert loudly is not None
    assert faintly is not None
    assert faintly.start_s == pytest.approx(loudly.start_s, abs=0.1)
    assert faintly.speech_end_s == pytest.approx(loudly.speech_end_s, abs=0.1)

import struct
import warnings
from pathlib import Path

import numpy as np
import pytest
import soundfile
from hypothesis import given
from hypothesis import strategies as st

from assistant.hearing.frames import FRAME_SAMPLES, Audio, AudioError, Framer, frames, read


def sweep(rate_hz, seconds=0.5):
    """A tone gliding from 200 to 3,400 Hz: what a telephone keeps of speech."""
    t = np.arange(round(rate_hz * seconds)) / rate_hz
    return 0.5 * np.sin(2 * np.pi * (200 * t + 3200 * t * t / (2 * seconds)))


def likeness(one, other):
    n = min(len(one), len(other))
    return float(np.corrcoef(one[:n], other[:n])[0, 1])


@pytest.mark.parametrize(
    ("container", "subtype", "least"),
    [
        ("WAV", "PCM_U8", 0.999),
        ("WAV", "PCM_16", 0.99999),
        ("WAV", "PCM_24", 0.99999),
        ("WAV", "PCM_32", 0.99999),
        ("WAV", "FLOAT", 0.99999),
        ("WAV", "DOUBLE", 0.99999),
        ("WAV", "ULAW", 0.999),
        ("WAV", "ALAW", 0.999),
        ("WAVEX", "PCM_16", 0.99999),
        ("WAVEX", "FLOAT", 0.99999),
        ("FLAC", "PCM_16", 0.99999),
        ("FLAC", "PCM_24", 0.99999),
    ],
)
def test_every_sample_format_gives_the_same_sound(tmp_path, container, subtype, least):
    path = tmp_path / "sound"
    soundfile.write(path, sweep(16_000), 16_000, format=container, subtype=subtype)
    audio = read(path)
    assert audio.samples.dtype == np.float32
    assert len(audio.samples) == 8_000
    assert likeness(audio.samples, sweep(16_000)) > least


@pytest.mark.parametrize("rate_hz", [8_000, 11_025, 22_050, 44_100, 48_000, 96_000])
def test_every_rate_becomes_16_kilohertz(tmp_path, rate_hz):
    path = tmp_path / "sound.wav"
    soundfile.write(path, sweep(rate_hz), rate_hz)
    audio = read(path)
    assert abs(len(audio.samples) - 8_000) <= 1
    assert audio.rate_hz == rate_hz
    assert likeness(audio.samples, sweep(16_000)) > 0.99


def test_a_file_of_telephone_width_is_read_with_a_warning(tmp_path):
    for rate_hz, warned in ((8_000, True), (11_025, True), (16_000, False), (48_000, False)):
        path = tmp_path / f"{rate_hz}.wav"
        soundfile.write(path, sweep(rate_hz), rate_hz)
        assert (str(rate_hz) in read(path).warning.replace(str(path), "")) is warned


def test_inverted_stereo_does_not_cancel(tmp_path):
    path = tmp_path / "sound.wav"
    soundfile.write(path, np.stack([sweep(16_000), -sweep(16_000)], axis=1), 16_000)
    assert abs(likeness(read(path).samples, sweep(16_000))) > 0.9999


@pytest.mark.parametrize("channels", [2, 6])
def test_speech_on_one_side_keeps_its_level(tmp_path, channels):
    path = tmp_path / "sound.wav"
    sound = np.zeros((8_000, channels))
    sound[:, 1] = sweep(16_000)
    soundfile.write(path, sound, 16_000)
    audio = read(path)
    assert (audio.channels, audio.channel) == (channels, 2)
    assert np.abs(audio.samples).max() == pytest.approx(0.5, abs=0.01)


def test_a_channel_of_loud_steady_hum_is_not_taken_for_speech(tmp_path):
    path = tmp_path / "sound.wav"
    t = np.arange(32_000) / 16_000
    hum = 0.5 * np.sin(2 * np.pi * 100 * t)
    word = np.where((t > 0.8) & (t < 1.2), 0.2 * np.sin(2 * np.pi * 500 * t), 0.0)
    soundfile.write(path, np.stack([hum, word], axis=1), 16_000)
    assert read(path).channel == 2


def test_a_wav_of_unknown_length_from_a_pipe_is_read_to_its_end(tmp_path):
    path = tmp_path / "sound.wav"
    soundfile.write(path, sweep(16_000), 16_000, subtype="PCM_16")
    raw = bytearray(path.read_bytes())
    at = raw.index(b"data")
    raw[at + 4 : at + 8] = struct.pack("<I", 0xFFFFFFFF)
    raw[4:8] = struct.pack("<I", 0xFFFFFFFF)
    path.write_bytes(raw)
    assert len(read(path).samples) == 8_000


def mp3(path):
    soundfile.write(path, sweep(16_000), 16_000, format="MP3")


def cut_wav(path):
    soundfile.write(path, sweep(16_000), 16_000, format="WAV")
    path.write_bytes(path.read_bytes()[:-4_000])


def cut_flac(path):
    noise = np.random.default_rng(0).uniform(-0.5, 0.5, 16_000)
    soundfile.write(path, noise, 16_000, format="FLAC")
    path.write_bytes(path.read_bytes()[:16_000])


def header_only(path):
    soundfile.write(path, sweep(16_000), 16_000, format="WAV")
    path.write_bytes(path.read_bytes()[:36])


def no_samples(path):
    soundfile.write(path, np.zeros(0), 16_000, format="WAV")


def not_a_number(path):
    sound = sweep(16_000)
    sound[4_000] = np.nan
    soundfile.write(path, sound, 16_000, format="WAV", subtype="FLOAT")


def slow(path):
    soundfile.write(path, sweep(4_000), 4_000, format="WAV")


@pytest.mark.parametrize(
    ("make", "what"),
    [
        (Path, "there is no such file"),
        (lambda path: path.mkdir(), "is a folder"),
        (lambda path: path.write_bytes(b""), "is an empty file"),
        (lambda path: path.write_text("next, please\n" * 50), "is no WAV or FLAC sound"),
        (mp3, "holds MP3 sound"),
        (cut_wav, "breaks off"),
        (cut_flac, "breaks off"),
        (header_only, "no sound follows"),
        (no_samples, "holds no sound"),
        (not_a_number, "sample 4000 (0.250 s) is not a number"),
        (slow, "has 4000 Hz"),
    ],
)
def test_an_unusable_file_is_named_with_its_fault(tmp_path, make, what):
    path = tmp_path / "sound.wav"
    make(path)
    with pytest.raises(AudioError) as caught:
        read(path)
    assert what in str(caught.value)
    assert str(caught.value).startswith(str(path))
    assert "\n" not in str(caught.value)


def test_a_file_that_may_not_be_read_says_so(tmp_path, monkeypatch):
    path = tmp_path / "sound.wav"
    soundfile.write(path, sweep(16_000), 16_000)

    def refuse(*_, **__):
        raise PermissionError(13, "Permission denied")

    # Tests may run as a user whom no permission stops.
    monkeypatch.setattr(type(path), "open", refuse)
    with pytest.raises(AudioError, match="may not be read"):
        read(path)


@given(st.binary(max_size=200), st.sampled_from([b"", b"RIFF", b"RIFF\x10\0\0\0WAVEfmt ", b"fLaC"]))
def test_rubbish_never_gives_anything_but_an_audio_error(tmp_path_factory, rubbish, start):
    path = tmp_path_factory.mktemp("rubbish") / "sound.wav"
    path.write_bytes(start + rubbish)
    with warnings.catch_warnings(), pytest.raises(AudioError):
        read(path)


@given(st.integers(0, 4_000), st.lists(st.integers(0, 1_500), max_size=12))
def test_the_size_of_the_chunks_never_shows_in_the_frames(length, cuts):
    sound = np.arange(length, dtype=np.float32)
    framer = Framer()
    found = []
    for chunk in np.split(sound, sorted(cut for cut in cuts if cut <= length)):
        found.extend(framer.push(chunk))
    last = framer.flush()
    found.extend([] if last is None else [last])
    expected = list(frames(Audio(sound)))
    assert len(found) == len(expected) == -(-length // FRAME_SAMPLES)
    assert all(np.array_equal(one, other) for one, other in zip(found, expected, strict=True))
    assert np.array_equal(np.concatenate([*expected, np.zeros(0)])[:length], sound)

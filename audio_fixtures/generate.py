"""Make the spoken audio of this folder anew: ``python audio_fixtures/generate.py``.

Every clip is spoken by the espeak library that the voice uses too, in several
voices; clips in a folder that ends in "-water" have running water under them.
Nothing here was recorded from a person.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import numpy.typing as npt
import soundfile
import soxr

from assistant.speaking.voice import EspeakVoice

RATE = 16_000  # Hz
LEAD_S, TAIL_S = 0.35, 0.6  # silence before and after, seconds
WATER_DB = 15.0  # active-speech level over the water's, dB
PEAK = 0.5  # of full scale

# Folder: voice and words a minute.
SPEAKERS = {
    "amber": ("en-us+f2", 150),
    "basil": ("en-us+m3", 160),
    "cedar": ("en-gb+m1", 150),
    "dahlia": ("en-gb-scotland+f3", 145),
}
DRY = {
    "amber": (
        "next",
        "start soak",
        "switch to the insert",
        "affirmative",
        "oov what time does the next bus leave",
    ),
    "basil": (
        "next",
        "lot number alfa three seven bravo",
        "affirmative",
        "say again",
        "oov put the number on the list please",
    ),
    "cedar": ("next", "begin rinse timer", "switch to the shaft", "affirmative"),
    "dahlia": (
        "next",
        "sign off the session",
        "affirmative",
        "current step",
        "expiry date three four one two three one",
    ),
}
WET = {
    "amber": ("next", "value thirty six", "how long"),
    "basil": ("next", "value one oh five", "affirmative", "switch to the shaft"),
    "cedar": ("next", "begin rinse timer", "oov did you see the game last night"),
    "dahlia": ("switch to the insert", "next"),
}


def water(samples: int, rng: np.random.Generator) -> npt.NDArray[np.float64]:
    """Running water: noise of 300 to 5,000 Hz whose strength flutters; unit power."""
    spectrum = np.fft.rfft(rng.standard_normal(samples))
    hertz = np.fft.rfftfreq(samples, 1 / RATE)
    low, high = 300.0, 5000.0
    shape = 1 / (1 + (low / np.maximum(hertz, 1)) ** 4) / (1 + (hertz / high) ** 4)
    noise = np.fft.irfft(spectrum * np.sqrt(shape), samples)
    flutter = 1 + 0.3 * np.sin(2 * np.pi * 3 * np.arange(samples) / RATE + rng.uniform(0, 6.28))
    noise = noise * flutter
    return noise / np.sqrt(np.mean(noise**2))


def active_power(speech: npt.NDArray[np.float64]) -> float:
    """Mean power of the 20 ms frames within 30 dB of the loudest: the active speech."""
    size = RATE // 50
    frames = speech[: len(speech) // size * size].reshape(-1, size)
    power = (frames**2).mean(axis=1)
    return float(power[power > power.max() / 1000].mean())


def clip(
    voice: EspeakVoice, words: str, noise: np.random.Generator | None
) -> npt.NDArray[np.float32]:
    """The words at 16 kHz, with water under them where there is noise."""
    spoken = voice.render(words)
    speech = soxr.resample(spoken.samples.astype(np.float64), spoken.rate, RATE)
    quiet = np.zeros(round(LEAD_S * RATE)), np.zeros(round(TAIL_S * RATE))
    sound = np.concatenate([quiet[0], speech, quiet[1]])
    if noise is not None:
        power = active_power(speech) / 10 ** (WATER_DB / 10)
        sound = sound + np.sqrt(power) * water(len(sound), noise)
    return (sound / np.abs(sound).max() * PEAK).astype(np.float32)


def main() -> None:
    """Write every clip; the file name is the expected text."""
    here = Path(__file__).resolve().parent
    rng = np.random.default_rng(20260302)
    for speaker, (name, rate) in SPEAKERS.items():
        with EspeakVoice(name, rate=rate) as voice:
            for folder, texts, noise in (
                (speaker, DRY[speaker], None),
                (f"{speaker}-water", WET[speaker], rng),
            ):
                (here / folder).mkdir(exist_ok=True)
                for text in texts:
                    words = text.removeprefix("oov ")
                    path = here / folder / f"{text.replace(' ', '_')}.wav"
                    soundfile.write(path, clip(voice, words, noise), RATE, subtype="PCM_16")


if __name__ == "__main__":
    main()

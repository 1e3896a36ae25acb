"""An independent listener hears what the voice says: no word that turns the meaning is lost."""

from __future__ import annotations

import numpy as np
import pytest

from assistant.speaking.voice import EspeakVoice
from assistant.speaking.wording import spoken

CONTRASTS = [
    ("Do not open the valve.", "Open the valve."),
    ("Never soak the cable.", "Soak the cable."),
    ("Soak 5–10 min.", "Soak 5 min."),  # noqa: RUF001
    ("Not above 43 °C.", "Above 43 °C."),
    ("≥ 2 mL", "≤ 2 mL"),
]


@pytest.fixture(scope="module")
def espeak():
    with EspeakVoice() as voice:
        yield voice


@pytest.mark.parametrize(("one", "other"), [*CONTRASTS, *((b, a) for a, b in CONTRASTS)])
def test_a_caution_is_not_heard_as_its_opposite(espeak, one, other):
    # pocketsphinx 5 with its own acoustic model, an engine unrelated to the voice.
    pocketsphinx = pytest.importorskip("pocketsphinx")
    import soxr  # noqa: PLC0415

    wanted, opposite = (spoken(text).rstrip(".").lower() for text in (one, other))
    clip = espeak.render(spoken(one))
    samples = soxr.resample(clip.samples, clip.rate, 16000)
    # A little noise: the listener hears badly in digital silence.
    noise = np.random.default_rng(3).normal(0, 0.003, len(samples) + 8000).astype(np.float32)
    noise[4000 : 4000 + len(samples)] += samples
    decoder = pocketsphinx.Decoder(lm=None, loglevel="FATAL")
    decoder.add_jsgf_string(
        "listen", f"#JSGF V1.0; grammar listen; public <s> = {wanted} | {opposite};"
    )
    decoder.activate_search("listen")
    decoder.start_utt()
    decoder.process_raw((np.clip(noise, -1, 1) * 32767).astype("<i2").tobytes(), full_utt=True)
    decoder.end_utt()
    assert decoder.hyp().hypstr == wanted

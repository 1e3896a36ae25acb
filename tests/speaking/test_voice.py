"""The voices: the real engine, and one that misbehaves."""

from __future__ import annotations

import functools
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import numpy as np
import pytest

from assistant.speaking import voice as voice_module
from assistant.speaking.engine import Engine, VoiceName
from assistant.speaking.voice import EspeakVoice, PrintedVoice, VoiceError, resolve
from assistant.speaking.wording import spoken

FLAKY = Path(__file__).with_name("flaky_engine.py")


@pytest.fixture(scope="module")
def espeak():
    with EspeakVoice() as voice:
        yield voice


@pytest.fixture
def flaky(monkeypatch):
    monkeypatch.setattr(voice_module, "Engine", functools.partial(Engine, worker=FLAKY))
    with EspeakVoice("en-us", deadline_s=0.5) as voice:
        yield voice


def test_words_become_sound(espeak):
    clip = espeak.render("Caution. Enzyme detergent stings the eyes.")
    assert clip.samples.dtype == np.float32
    assert clip.samples.ndim == 1
    assert clip.rate == 22050
    assert clip.words == "Caution. Enzyme detergent stings the eyes."
    assert 2 < clip.seconds < 6
    assert 0.1 < np.abs(clip.samples).max() <= 1


def test_two_hundred_prompts_are_rendered_in_one_run(espeak):
    numbers = [spoken(f"{number} mL in step {number}.") for number in range(200)]
    lengths = [espeak.render(words).seconds for words in numbers]
    assert min(lengths) > 1
    assert len(set(lengths)) > 50
    assert espeak.faults == []


@pytest.mark.parametrize("signs", [1, 100, 5000])
def test_short_and_long_prompts_are_rendered_whole(espeak, signs):
    clip = espeak.render(("word " * 1000)[: signs - 1] + "s")
    assert clip.seconds > 0.03 * signs


def test_the_speed_is_near_the_words_a_minute_asked_for(espeak):
    # About 150 to 160 words a minute, pauses included (from memory, as common practice).
    prompts = [
        "Caution. Enzyme detergent stings the eyes. Keep the face shield down.",
        "Brush the insert under the surface until no soil comes off. Then say next.",
        "Soak started for the insert: at least ten minutes.",
        "Rinse the shaft with cool water. Let it run through from end to end.",
    ]
    words = " ".join(prompts).replace(":", ",")
    a_minute = len(words.split()) / espeak.render(words).seconds * 60
    assert 140 < a_minute < 185
    with EspeakVoice(rate=300) as fast:
        assert fast.render(words).seconds < espeak.render(words).seconds * 0.7


@pytest.mark.parametrize("words", ["next", "Stop.", "Rinse the shafts."])
def test_a_clip_ends_soon_after_its_last_sound(espeak, words):
    clip = espeak.render(words)
    silent = len(clip.samples) - 1 - np.flatnonzero(clip.samples)[-1]
    assert silent / clip.rate == pytest.approx(0.1, abs=0.001)


def test_the_same_words_are_rendered_once(espeak):
    assert espeak.render("Rinse the shaft.") is espeak.render("Rinse the shaft.")


def test_prepared_words_need_no_engine_any_more(flaky):
    flaky.prepare(["rinse", "brush"])
    flaky._engine.kill()
    assert flaky.render("brush").words == "brush"
    assert flaky.faults == []


def test_the_memory_for_clips_has_an_end(flaky, monkeypatch):
    monkeypatch.setattr(voice_module, "CACHED", 2)
    first = flaky.render("one")
    flaky.prepare(["two", "three"])
    assert len(flaky._cache) == 2
    assert flaky.render("one") is not first


@pytest.mark.parametrize("text", ["[[hello]]", "-v", "5 mL", "<b>", "a\nb", "☠"])
def test_signs_never_reach_an_engine(espeak, text):
    for voice in (espeak, PrintedVoice()):
        with pytest.raises(VoiceError, match="words only") as caught:
            voice.render(text)
        assert caught.value.words == text


@pytest.mark.parametrize("text", ["", " ", "..."])
def test_nothing_to_say_is_an_error_and_no_empty_clip(espeak, text):
    with pytest.raises(VoiceError, match="no words"):
        espeak.render(text)


@pytest.mark.parametrize(
    "name", ["en-gb", "gmw/en-us", "EN-US", "English (America)", "en-us+f3", "ko"]
)
def test_a_voice_is_chosen_by_id_name_language_or_variant(name):
    with EspeakVoice(name) as voice:
        assert voice.render("hello there").seconds > 0.5


def test_a_voice_that_does_not_exist_is_refused_with_a_list():
    with pytest.raises(VoiceError, match=r'no voice "nosuch".*gmw/en-us.*voices in all'):
        EspeakVoice("nosuch")


def test_a_variant_that_does_not_exist_is_refused_at_the_start():
    with pytest.raises(VoiceError, match="instead of"):
        EspeakVoice("en-us+nosuch")


def test_a_language_without_voices_says_none():
    with pytest.raises(VoiceError, match="there are: none"):
        resolve("zz", [VoiceName("gmw/en", "English", "en")], "zz")


@pytest.mark.parametrize("rate", [0, 79, 451])
def test_a_rate_that_the_engine_cannot_speak_is_refused(rate):
    with pytest.raises(VoiceError, match="choose 80 to 450"):
        EspeakVoice(rate=rate)


def test_a_language_without_speech_data_is_refused():
    with pytest.raises(VoiceError, match=r"speech\.yaml"):
        EspeakVoice(language="xx")


def test_a_missing_library_is_one_sentence_with_the_remedy(tmp_path, monkeypatch):
    (tmp_path / "espeakng_loader.py").write_text("raise ImportError('it is not installed')\n")
    monkeypatch.setenv("PYTHONPATH", str(tmp_path))
    with pytest.raises(VoiceError, match=r"cannot start: ImportError.*printed prompts") as caught:
        EspeakVoice()
    assert "\n" not in str(caught.value)


def test_an_engine_that_hangs_is_replaced_and_the_words_are_said(flaky):
    begun = time.monotonic()
    assert flaky.render("hang on").words == "hang on"
    assert time.monotonic() - begun < 3
    assert len(flaky.faults) == 1


def test_an_engine_that_dies_is_replaced_and_the_words_are_said(flaky):
    assert flaky.render("die now").seconds == pytest.approx(5, abs=0.2)
    assert len(flaky.faults) == 1


def test_an_engine_killed_between_prompts_is_replaced(espeak):
    assert espeak.faults == []
    espeak._engine._process.send_signal(signal.SIGKILL)
    assert espeak.render("the engine was killed").seconds > 1
    (fault,) = espeak.faults
    assert "ended with status -9" in fault
    espeak.faults.clear()


@pytest.mark.parametrize(
    ("words", "why"),
    [
        ("hangalways", "did not answer within 0.5 s"),
        ("diealways", "ended with status"),
        ("refuse this", "no such voice"),
        ("nothing comes", "wrote no sound"),
        ("truncated file", "wrote no sound"),
        ("stereo sound", "not 16-bit mono"),
        ("short sound", "words are lost"),
        ("silent sound", "silence"),
    ],
)
def test_an_engine_that_fails_twice_gives_an_error_that_keeps_the_words(flaky, words, why):
    with pytest.raises(VoiceError, match=why) as caught:
        flaky.render(words)
    assert caught.value.words == words
    assert flaky.render("all is well again").words == "all is well again"


def test_closing_ends_the_process_and_removes_its_files():
    voice = EspeakVoice()
    process, folder = voice._engine._process, Path(voice._folder.name)
    assert folder.is_dir()
    voice.close()
    voice.close()
    assert process.returncode is not None
    assert not folder.exists()


def test_a_hung_engine_does_not_hold_up_closing(flaky):
    flaky._engine._process.send_signal(signal.SIGSTOP)
    begun = time.monotonic()
    flaky.close()
    assert time.monotonic() - begun < 3


def test_the_engine_does_not_outlive_a_killed_program():
    code = (
        "from assistant.speaking.voice import EspeakVoice\n"
        "voice = EspeakVoice()\n"
        "print(voice._engine._process.pid, voice._folder.name, flush=True)\n"
        "input()\n"
    )
    with subprocess.Popen(
        [sys.executable, "-c", code],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
        cwd=Path(__file__).parents[2],
    ) as program:
        pid, folder = program.stdout.readline().split()
        program.kill()
    end = time.monotonic() + 5
    while running(int(pid)) and time.monotonic() < end:
        time.sleep(0.05)
    assert not running(int(pid))
    subprocess.run(["rm", "-r", folder], check=True)


def running(pid: int) -> bool:
    try:
        os.kill(pid, 0)
        stat = Path(f"/proc/{pid}/stat")
        return not stat.exists() or stat.read_text().split()[2] != "Z"
    except (ProcessLookupError, FileNotFoundError):
        return False


def test_the_printed_voice_takes_as_long_as_the_words_would():
    clip = PrintedVoice().render(" ".join(["word"] * 155))
    assert clip.seconds == pytest.approx(60)
    assert not clip.samples.any()
    voice = PrintedVoice(rate=310)
    voice.prepare(["word"])
    assert voice.render(" ".join(["word"] * 155)).seconds == pytest.approx(30)
    voice.close()

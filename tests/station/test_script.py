from pathlib import Path

import pytest

from assistant.station.script import Play, Say, Scan, ScriptError, Wait, cue, read


def test_every_kind_of_line_is_read(tmp_path):
    (tmp_path / "a.wav").write_bytes(b"x")
    path = tmp_path / "s.txt"
    path.write_text("# a comment\n\nsay start soak\nplay a.wav\nwait 15 min\nscan A37\n")
    assert read(path) == (Say("start soak"), Play(tmp_path / "a.wav"), Wait(900), Scan("A37"))


@pytest.mark.parametrize(
    ("line", "complaint"),
    [
        ("shout next", "is no cue"),
        ("say", "is no cue"),
        ("wait 15", "has no unit"),
        ("wait 1:30", "may be"),
        ("play missing.wav", "there is no file"),
    ],
)
def test_a_line_that_is_no_cue_is_refused_with_its_place(tmp_path, line, complaint):
    path = tmp_path / "s.txt"
    path.write_text(f"say next\n{line}\n")
    with pytest.raises(ScriptError, match=complaint) as caught:
        read(path)
    assert f"{path}:2:" in str(caught.value)


def test_a_script_that_is_not_there_or_no_text_is_refused(tmp_path):
    with pytest.raises(ScriptError, match="cannot be read"):
        read(tmp_path / "none.txt")
    (tmp_path / "b.txt").write_bytes(b"\xff\xfe\x00")
    with pytest.raises(ScriptError, match="cannot be read"):
        read(tmp_path / "b.txt")


def test_an_empty_line_is_no_cue():
    assert cue("   ", Path()) is None

"""A scanner's input device: key presses in, scans out."""

from __future__ import annotations

import os
import queue
import struct
import time

import pytest

from assistant.session.command import Said, Verb
from assistant.station.clock import RealClock
from assistant.station.key_code import Typing
from assistant.station.loop import Trouble
from assistant.station.scanner import Scanner, ScannerError

# Linux, input-event-codes.h: KEY_LEFTSHIFT 42, KEY_LEFTCTRL 29, KEY_ENTER 28.
SHIFT, CONTROL, ENTER = 42, 29, 28
KEYS = {
    "0": 11, "1": 2, "2": 3, "9": 10, "a": 30, "d": 32, "c": 46, "]": 27, "(": 10, ")": 11,
    "+": 13, "-": 12, "$": 5, ":": 39, "%": 6, " ": 57, "/": 53, ".": 52,
}  # fmt: skip
SHIFTED = "ACD()+$:%"


def presses(text):
    """The presses and releases of a US keyboard that type a text."""
    for sign in text:
        if sign == "\x1d":
            yield from ((CONTROL, 1), (KEYS["]"], 1), (KEYS["]"], 0), (CONTROL, 0))
        elif sign in SHIFTED:
            key = KEYS[sign.lower()]
            yield from ((SHIFT, 1), (key, 1), (key, 0), (SHIFT, 0))
        else:
            yield from ((KEYS[sign], 1), (KEYS[sign], 0))
    yield from ((ENTER, 1), (ENTER, 0))


def events(text):
    """The same as the kernel hands them out: keys (type 1) and their ends (type 0)."""
    for key, value in presses(text):
        yield struct.pack("@llHHi", 0, 0, 1, key, value)
        yield struct.pack("@llHHi", 0, 0, 0, 0, 0)


@pytest.mark.parametrize(
    "text", ["0109", "(01)09", "+A9$", "]C1", "]d2\x1d", "a:d", "AcDa", "9 9", "9-9/9.9%"]
)
def test_keys_become_the_signs_that_were_printed(text):
    typing = Typing()
    assert [line for key in presses(text) if (line := typing.take(*key))] == [text]


def test_a_repeat_types_nothing_and_an_empty_line_is_none():
    typing = Typing()
    keys = [(2, 1), (2, 2), (2, 2), (2, 0), (ENTER, 1), (ENTER, 0), (ENTER, 1)]
    assert [typing.take(*key) for key in keys] == ["", "", "", "", "1", "", ""]


@pytest.fixture
def pipe(tmp_path):
    path = tmp_path / "scanner"
    os.mkfifo(path)
    # Both ways, so that it does not end before the test does.
    file = os.open(path, os.O_RDWR)
    yield path, file
    os.close(file)


def test_a_scan_is_told_though_its_keys_come_in_pieces(pipe):
    path, file = pipe
    inbox = queue.Queue()
    scanner = Scanner(path, RealClock(), inbox.put)
    data = b"".join(events("(01)0\x1d21"))
    for begin in range(0, len(data), 37):
        os.write(file, data[begin : begin + 37])
        time.sleep(0.002)
    said = inbox.get(timeout=5)
    scanner.close()
    assert isinstance(said, Said)
    assert (said.command.verb, said.command.value) == (Verb.SCAN, "(01)0\x1d21")


def test_a_lost_scanner_is_told_once_and_comes_back(tmp_path, monkeypatch):
    monkeypatch.setattr("assistant.station.scanner.RETRY_S", 0.02)
    path = tmp_path / "scanner"
    os.mkfifo(path)
    file = os.open(path, os.O_RDWR)
    inbox = queue.Queue()
    scanner = Scanner(path, RealClock(), inbox.put)
    path.unlink()
    os.close(file)  # the last writer: the reader meets the end
    lost = inbox.get(timeout=5)
    assert isinstance(lost, Trouble)
    assert "lost" in lost.text
    os.mkfifo(path)
    file = os.open(path, os.O_RDWR)
    assert "is back" in inbox.get(timeout=5).text
    os.write(file, b"".join(events("12")))
    assert inbox.get(timeout=5).command.value == "12"
    scanner.close()
    os.close(file)
    assert inbox.empty()


def test_a_scanner_that_is_not_there_is_told_in_one_sentence(tmp_path):
    with pytest.raises(ScannerError, match="cannot be read: No such file"):
        Scanner(tmp_path / "nothing", RealClock(), print)

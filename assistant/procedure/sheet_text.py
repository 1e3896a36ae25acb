"""From a sheet's bytes to its text: one encoding, one line end, nothing invisible."""

from __future__ import annotations

import codecs
import unicodedata
from typing import TYPE_CHECKING

from assistant.procedure.finding import START, Mark

if TYPE_CHECKING:
    from assistant.procedure.finding import Findings

# A procedure of forty steps has about 10,000; so much is refused within a second.
MOST_BYTES = 128 * 1024

# Spaces that look like a space: no-break, figure, narrow no-break.
_SPACES = dict.fromkeys(map(ord, "\u00a0\u2007\u202f"), " ")
# Unicode categories that no reader can see: control, format, private, separators.
_INVISIBLE = frozenset({"Cc", "Cf", "Co", "Cs", "Zl", "Zp"})
# Letters and signs without a picture: grapheme joiner, fillers of Hangul, empty Braille.
_EMPTY = frozenset("\u034f\u115f\u1160\u2800\u3164\uffa0")
_LINES = frozenset("\n\t")
_UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_SAVE = "save the file as UTF-8"
_NO_TEXT = f"give a text file, or {_SAVE}"


def decode(data: bytes, findings: Findings) -> str | None:
    """The text with LF line ends and plain spaces, or None where it cannot be read.

    Args:
        data: the whole file.
        findings: told what is wrong with it.
    """
    if len(data) > MOST_BYTES:
        findings.add(
            START, f"the file is larger than {MOST_BYTES} bytes", f"split the {findings.of}"
        )
        return None
    if data.startswith(_UTF16):
        findings.add(
            START, f"bytes 0x{data[0]:02X} 0x{data[1]:02X} on line 1 begin a UTF-16 file", _SAVE
        )
        return None
    body = data.removeprefix(codecs.BOM_UTF8)
    try:
        text = body.decode("utf-8")
    except UnicodeDecodeError as error:
        _not_utf8(body, error.start, findings)
        return None
    text = text.replace("\r\n", "\n").replace("\r", "\n").translate(_SPACES)
    return None if _invisible(text, findings) else text


def invisible(sign: str) -> bool:
    """Whether no reader can see the sign, other than a line's end and a tab."""
    hidden = unicodedata.category(sign) in _INVISIBLE or sign in _EMPTY
    return hidden and sign not in _LINES


def called(sign: str) -> str:
    """The sign's number and name, as in "U+200B (ZERO WIDTH SPACE)"."""
    nameless = "a control character" if unicodedata.category(sign) == "Cc" else "without a name"
    return f"U+{ord(sign):04X} ({unicodedata.name(sign, nameless)})"


def mark_at(text: str, position: int) -> Mark:
    """The place of the character at that position of a text with LF line ends."""
    return Mark(text.count("\n", 0, position) + 1, position - text.rfind("\n", 0, position))


def _not_utf8(body: bytes, position: int, findings: Findings) -> None:
    if b"\0" in body[:position]:
        # UTF-16 without its mark: half of its bytes are NUL, and some of the rest is no UTF-8.
        _invisible(body[:position].decode("utf-8"), findings)
        return
    before = body[:position].decode("utf-8").replace("\r\n", "\n").replace("\r", "\n")
    mark = mark_at(before, len(before))
    byte = body[position : position + 1]
    try:
        remedy = f'it may be "{byte.decode("cp1252")}" of Windows-1252: {_SAVE}'
    except UnicodeDecodeError:
        remedy = f"the file may be damaged: {_SAVE}"
    if b"\0" in body:
        remedy = _NO_TEXT
    findings.add(mark, f"byte 0x{byte[0]:02X} on line {mark.line} is not UTF-8", remedy)


def _invisible(text: str, findings: Findings) -> bool:
    """Whether the text holds signs that cannot be seen; each kind is told once."""
    if "\0" in text:
        mark = mark_at(text, text.index("\0"))
        findings.add(
            mark,
            f"the invisible character U+0000 (NUL) stands on line {mark.line}",
            f"delete it, or {_NO_TEXT}",
        )
        return True
    kinds = set(filter(invisible, set(text)))
    for sign in kinds:
        mark = mark_at(text, text.index(sign))
        findings.add(
            mark,
            f"the invisible character {called(sign)} stands on line {mark.line}",
            "delete it",
        )
    return bool(kinds)

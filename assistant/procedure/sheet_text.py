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
_INVISIBLE = frozenset({"Cc", "Cf", "Co", "Zl", "Zp"})
_UTF16 = (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)
_SAVE = "save the file as UTF-8"


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
        guess = f'it may be "{byte.decode("cp1252")}" of Windows-1252'
    except UnicodeDecodeError:
        guess = "the file may be damaged"
    findings.add(
        mark, f"byte 0x{byte[0]:02X} on line {mark.line} is not UTF-8", f"{guess}: {_SAVE}"
    )


def _invisible(text: str, findings: Findings) -> bool:
    """Whether the text holds signs that cannot be seen; each kind is told once."""
    kinds = {sign for sign in set(text) - {"\n", "\t"} if unicodedata.category(sign) in _INVISIBLE}
    for sign in kinds:
        mark = mark_at(text, text.index(sign))
        name = "NUL" if sign == "\0" else unicodedata.name(sign, "a control character")
        findings.add(
            mark,
            f"the invisible character U+{ord(sign):04X} ({name}) stands on line {mark.line}",
            f"delete it, or {_SAVE}" if sign == "\0" else "delete it",
        )
    return bool(kinds)

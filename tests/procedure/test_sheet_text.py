"""Encodings; the byte values are those of the code pages published by the Unicode Consortium."""

from __future__ import annotations

import codecs

import pytest

from assistant.procedure.finding import Finding, Findings
from assistant.procedure.sheet_text import MOST_BYTES, decode


def told(data: bytes) -> list[Finding]:
    findings = Findings("x.yaml")
    assert decode(data, findings) is None
    return findings.sorted()


def test_windows_1252_is_named_with_its_byte_and_line() -> None:
    (finding,) = told(b"a: b\r\nc: 43 \xb0C\r\n")
    assert (finding.line, finding.column) == (2, 7)
    assert "0xB0" in finding.what
    assert '"°" of Windows-1252' in finding.remedy


def test_a_byte_of_no_code_page_is_named() -> None:
    (finding,) = told(b"a\n\n\x81")
    assert finding.line == 3
    assert "0x81" in finding.what
    assert "damaged" in finding.remedy


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-16-be"])
def test_utf_16_is_refused_with_what_to_do(encoding: str) -> None:
    finding, *_ = told("a: b\n".encode(encoding))
    assert finding.line == 1
    assert "save the file as UTF-8" in finding.remedy


def test_a_nul_is_named_with_its_line() -> None:
    (finding,) = told(b"a: b\nc\0: d\n")
    assert (finding.line, finding.column) == (2, 2)
    assert "NUL" in finding.what


@pytest.mark.parametrize("sign", ["\u200b", "\u202e", "\u00ad", "\x07", "\u2028", "\x85"])
def test_what_nobody_can_see_is_refused(sign: str) -> None:
    (finding,) = told(f"a: b{sign}\n".encode())
    assert f"U+{ord(sign):04X}" in finding.what


def test_the_size_is_limited() -> None:
    (finding,) = told(b"#" * (MOST_BYTES + 1))
    assert str(MOST_BYTES) in finding.what


def test_a_byte_order_mark_line_ends_and_wide_spaces_are_made_plain() -> None:
    findings = Findings("x.yaml")
    data = codecs.BOM_UTF8 + "5\u00a0min\r\n5\u202fmin\r5 °C \uac00\n".encode()
    assert decode(data, findings) == "5 min\n5 min\n5 °C \uac00\n"
    assert not findings

"""A scan: the text that a scanner types, or a person from a label, made an identity."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from assistant.trade import gs1, hibc
from assistant.trade.identity import IdentityError, shown

if TYPE_CHECKING:
    from assistant.trade.identity import Identity

# ISO/IEC 15424: "]", a letter for the symbology, a digit for its options.
_PREFIX = re.compile(r"\][A-Za-z][0-9A-Za-z]")
# GS1-128, GS1 DataMatrix, GS1 QR Code, GS1 DataBar (GS1 General Specifications, section 7.8).
_ELEMENT_STRINGS = frozenset({"]C1", "]d2", "]Q3", "]e0"})
# EAN-13 with the shorter UPC codes, and EAN-8.
_BARE_NUMBERS = frozenset({"]E0", "]E4"})


def identify(text: str, year: int) -> Identity:
    """The identity that a scanned or typed text gives.

    Args:
        text: one scan.  Line ends and tabs around it do not count, but a space at
            its end may be an HIBC check character: do not strip it.
        year: the present year, to which a year of two digits is related.

    Raises:
        IdentityError: it is no code that is read here, or a wrong one.
    """
    code = text.strip("\r\n\t").lstrip(" ")
    match = _PREFIX.match(code)
    prefix = match[0] if match else ""
    code = code[len(prefix) :]
    if code.startswith(("+", "*+")):
        return hibc.supplier_data(code, text, year)
    code = code.rstrip(" ")
    bare = code.isascii() and code.isdigit() and len(code) in gs1.GTIN_LENGTHS
    if prefix in _BARE_NUMBERS and not bare:
        raise _unread(code, "is no item number of 8, 12, 13 or 14 digits")
    if bare and prefix not in _ELEMENT_STRINGS:
        return gs1.number(code, text)
    if prefix in _ELEMENT_STRINGS or code.startswith("(") or gs1.FNC1 in code or gs1.known(code):
        return gs1.elements(code, text, year)
    raise _unread(code, "is no code that is read here")


def _unread(code: str, why: str) -> IdentityError:
    return IdentityError(
        f'"{shown(code)}" {why}',
        "scan the GS1 or HIBC code of the device, type what is printed, or choose from the list",
    )

"""What a misspelt word was meant to be."""

from __future__ import annotations

import difflib
import unicodedata
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

MOST_COMPARED = 100  # known words: comparing takes time, and a longer list helps nobody


def strange(word: str) -> str:
    """': its "…" is the cyrillic small letter ie', for a letter that only looks right; or ""."""
    sign = next((sign for sign in word if sign.isalpha() and not sign.isascii()), "")
    name = unicodedata.name(sign, "").lower() if sign else ""
    return f': its "{sign}" is the {name}' if name else ""


def near(word: str, known: Collection[str]) -> str:
    """'did you mean "…"?' with the nearest known word, or the list of them."""
    if len(known) > MOST_COMPARED:
        return "check its spelling"
    matches = difflib.get_close_matches(word, known, n=1)
    if matches:
        return f'did you mean "{matches[0]}"?'
    return f"known here: {', '.join(known)}" if known else "none is known here"

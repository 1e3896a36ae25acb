"""What a misspelt word was meant to be."""

from __future__ import annotations

import difflib
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Collection

MOST_COMPARED = 100  # known words: comparing takes time, and a longer list helps nobody


def near(word: str, known: Collection[str]) -> str:
    """'did you mean "…"?' with the nearest known word, or the list of them."""
    if len(known) > MOST_COMPARED:
        return "check its spelling"
    matches = difflib.get_close_matches(word, known, n=1)
    if matches:
        return f'did you mean "{matches[0]}"?'
    return f"known here: {', '.join(known)}" if known else "none is known here"

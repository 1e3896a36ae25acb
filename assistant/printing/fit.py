"""Fitting a card on one page: how large its letters can be, and how its tracks are arranged."""

from __future__ import annotations

from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

from assistant.printing import press, symbol
from assistant.printing.fault import PressError
from assistant.printing.words import words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.printing.card import Card

# Papers by our names, with typst's.
PAPERS = {"a4": "a4", "letter": "us-letter", "a3": "a3", "tabloid": "us-tabloid"}
_LARGER = {"a4": "a3", "letter": "tabloid"}

# Sizes of the instructions' letters, in quarters of a point.  At arm's length (0.6 m) the
# capitals of 9 pt, 2.1 mm high in this font, stand at 12 minutes of arc; a good eye just
# reads 5 (the definition of 20/20, from memory).
LEAST_PT = 9.0
_LARGEST_PT = 20.0
_STEP_PT = 0.25


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A way to lay the tracks out.

    Attributes:
        kind: "rows" sets tracks beside each other, "flow" one after another in columns.
        count: tracks in a row at most, or columns.
        flipped: whether the page lies on its side.
        whole: whether no track is split between columns.
        price: points that the letters must be larger by to choose this one.
    """

    kind: str
    count: int
    flipped: bool = False
    whole: bool = True
    price: float = 0.0


_ROWS = tuple(
    Arrangement("rows", count, flipped)
    for flipped, counts in ((False, (2, 3, 4)), (True, (3, 4, 5, 6)))
    for count in counts
)
_FLOWS = tuple(
    Arrangement("flow", count, flipped)
    for flipped, counts in ((False, (2, 3)), (True, (3, 4, 5)))
    for count in counts
)
# Parts side by side are read side by side; a track in two pieces is easily misread.
ARRANGEMENTS = (
    *_ROWS,
    *(replace(flow, price=0.25) for flow in _FLOWS),
    *(replace(flow, whole=False, price=1.0) for flow in _FLOWS),
)


@dataclass(frozen=True, slots=True)
class Fitted:
    """A card that fits on one page.

    Attributes:
        setting: for the press.
        size_pt: of the instructions' letters.
        arrangement: of the tracks.
    """

    setting: press.Setting
    size_pt: float
    arrangement: Arrangement


def fit(card: Card, paper: str) -> Fitted:
    """The card as large as it goes on one page.

    Args:
        card: what stands on it.
        paper: one of ``PAPERS``.

    Raises:
        PressError: not even the least letters fit.
    """
    best: Fitted | None = None
    values: Mapping[str, object] = {
        "card": asdict(card),
        "words": dict(words(card.language)),
        "code": symbol.svg(card.code),
    }
    for arrangement in ARRANGEMENTS:
        worth = LEAST_PT if best is None else best.size_pt - best.arrangement.price + _STEP_PT
        found = _largest(values, paper, arrangement, max(LEAST_PT, worth + arrangement.price))
        best = found or best
    if best is not None:
        return best
    larger = _LARGER.get(paper)
    other = f"print it on larger paper (--paper {larger}), or " if larger else ""
    raise PressError(
        f'the card of "{card.title}" does not fit on one page of {paper.capitalize()} in letters'
        f" of {LEAST_PT:g} pt, the least that can be read at arm's length; {other}"
        "say its steps in fewer words"
    )


def _largest(
    values: Mapping[str, object], paper: str, arrangement: Arrangement, least: float
) -> Fitted | None:
    """The arrangement with its largest letters from ``least`` on; None where none fit."""
    fitted: Fitted | None = None
    low, high = round(least / _STEP_PT), round(_LARGEST_PT / _STEP_PT)
    middle = low  # most arrangements fail here already
    while low <= high:
        tried = _set(values, paper, arrangement, middle * _STEP_PT)
        if press.pages(tried.setting) == 1:
            fitted, low = tried, middle + 1
        else:
            high = middle - 1
        middle = (low + high) // 2
    return fitted


def _set(
    values: Mapping[str, object], paper: str, arrangement: Arrangement, size_pt: float
) -> Fitted:
    layout = {
        "paper": PAPERS[paper],
        "size": f"{size_pt:g}",
        "arrangement": arrangement.kind,
        "count": str(arrangement.count),
        "flipped": "yes" if arrangement.flipped else "no",
        "whole": "yes" if arrangement.whole else "no",
    }
    return Fitted(press.Setting("card.typ", values, layout), size_pt, arrangement)

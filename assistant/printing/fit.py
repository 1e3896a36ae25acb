"""Fitting a card on one page: how large its letters can be, and how its tracks are arranged."""

from __future__ import annotations

import json
import math
from dataclasses import asdict, dataclass, replace
from typing import TYPE_CHECKING

from assistant.printing import press, symbol
from assistant.printing.balance import area, widths
from assistant.printing.fault import PressError
from assistant.printing.words import words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.printing.card import Card


@dataclass(frozen=True, slots=True)
class Paper:
    """A sheet of paper.

    Attributes:
        name: typst's.
        width_mm: as it stands upright.
        height_mm: likewise.
        larger: our name of a larger one; "" for none.
    """

    name: str
    width_mm: float
    height_mm: float
    larger: str = ""

    def across_mm(self, *, flipped: bool) -> float:
        """How wide the page is as it is turned."""
        return self.height_mm if flipped else self.width_mm


# ISO 216, and ANSI Y14.1 (8.5 by 11 in, 11 by 17 in).
PAPERS = {
    "a4": Paper("a4", 210, 297, "a3"),
    "letter": Paper("us-letter", 215.9, 279.4, "tabloid"),
    "a3": Paper("a3", 297, 420),
    "tabloid": Paper("us-tabloid", 279.4, 431.8),
}
_MARGIN_MM = 9.0
_GUTTER_EM = 0.9
_MM_PER_PT = 25.4 / 72

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
    if _hopeless(card, PAPERS[paper]):
        raise _too_much(card, paper)
    best: Fitted | None = None
    values: Mapping[str, object] = {
        "card": asdict(card),
        "words": dict(words(card.language)),
        "code": symbol.svg(card.code),
    }
    for arrangement in ARRANGEMENTS:
        worth = LEAST_PT if best is None else best.size_pt - best.arrangement.price + _STEP_PT
        least = max(LEAST_PT, worth + arrangement.price)
        found = _largest(card, values, PAPERS[paper], arrangement, least)
        best = found or best
    if best is None:
        raise _too_much(card, paper)
    return best


def _hopeless(card: Card, paper: Paper) -> bool:
    """Whether the tracks alone need far more paper than there is: not worth a try."""
    em = LEAST_PT * _MM_PER_PT
    return area(card.tracks) * em * em > 1.3 * paper.width_mm * paper.height_mm


def _too_much(card: Card, paper: str) -> PressError:
    larger = PAPERS[paper].larger
    other = f"print it on larger paper (--paper {larger}), or " if larger else ""
    return PressError(
        f'the card of "{card.title}" does not fit on one page of {paper.capitalize()} in letters'
        f" of {LEAST_PT:g} pt, the least that can be read at arm's length; {other}"
        "say its steps in fewer words"
    )


def _largest(
    card: Card,
    values: Mapping[str, object],
    paper: Paper,
    arrangement: Arrangement,
    least: float,
) -> Fitted | None:
    """The arrangement with its largest letters from ``least`` on; None where none fit."""
    fitted: Fitted | None = None
    low, high = round(least / _STEP_PT), round(_LARGEST_PT / _STEP_PT)
    middle = low  # most arrangements fail here already
    while low <= high:
        size_pt = middle * _STEP_PT
        layout = laid_out(card, paper, arrangement, size_pt)
        tried = Fitted(press.Setting("card.typ", values, layout), size_pt, arrangement)
        if press.fits(tried.setting):
            fitted, low = tried, middle + 1
        else:
            high = middle - 1
        middle = (low + high) // 2
    return fitted


def laid_out(card: Card, paper: Paper, arrangement: Arrangement, size_pt: float) -> dict[str, str]:
    """The arrangement at a size, as card.typ reads it."""
    return {
        "paper": paper.name,
        "margin": f"{_MARGIN_MM:g}",
        "gutter": f"{_GUTTER_EM:g}",
        "size": f"{size_pt:g}",
        "flipped": "yes" if arrangement.flipped else "no",
        "whole": "yes" if arrangement.whole else "no",
        "columns": str(arrangement.count),
        "rows": json.dumps(_rows(card, paper, arrangement, size_pt)),
    }


def _rows(card: Card, paper: Paper, arrangement: Arrangement, size_pt: float) -> list[list[float]]:
    """For each row the widths of its tracks in em, in the card's order; none for columns.

    Intake and baths come first, in rows of their own; rows are about equally long.
    """
    if arrangement.kind != "rows":
        return []
    across = paper.across_mm(flipped=arrangement.flipped) - 2 * _MARGIN_MM
    all_em = across / _MM_PER_PT / size_pt
    found: list[list[float]] = []
    for tracks in card.groups():
        count = math.ceil(len(tracks) / arrangement.count)
        each = math.ceil(len(tracks) / count) if count else 1
        found += [
            list(widths(tracks[first : first + each], all_em, _GUTTER_EM))
            for first in range(0, len(tracks), each)
        ]
    return found

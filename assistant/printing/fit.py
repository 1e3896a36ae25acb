"""Fitting a card on one page: in the largest letters that go on it."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from typing import TYPE_CHECKING

from assistant.printing import press, symbol
from assistant.printing.arrange import ARRANGEMENTS, MM_PER_PT, PAPERS, Arrangement, laid_out
from assistant.printing.balance import area
from assistant.printing.fault import PressError
from assistant.printing.words import words

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.printing.arrange import Paper
    from assistant.printing.card import Card

# Sizes of the instructions' letters, in quarters of a point.  At arm's length (0.6 m) the
# capitals of 9 pt, 2.1 mm high in this font, stand at 12 minutes of arc; a good eye just
# reads 5 (the definition of 20/20, from memory).
LEAST_PT = 9.0
_LARGEST_PT = 20.0
_STEP_PT = 0.25
# Tracks that need more than this many pages by reckoning are not worth a try.
_HOPELESS = 1.3


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
    sheet = PAPERS[paper]
    em_mm = LEAST_PT * MM_PER_PT
    best: Fitted | None = None
    if area((*card.before, *card.parts)) * em_mm**2 < _HOPELESS * sheet.width_mm * sheet.height_mm:
        for arrangement in ARRANGEMENTS:
            least = LEAST_PT
            if best is not None:
                worth = best.size_pt - best.arrangement.price + _STEP_PT
                least = max(least, worth + arrangement.price)
            best = _largest(card, sheet, arrangement, least) or best
    if best is not None:
        return best
    other = f"print it on larger paper (--paper {sheet.larger}), or " if sheet.larger else ""
    raise PressError(
        f'the card of "{card.title}" does not fit on one page of {paper.capitalize()} in letters'
        f" of {LEAST_PT:g} pt, the least that can be read at arm's length; {other}"
        "say its steps in fewer words"
    )


def _largest(card: Card, paper: Paper, arrangement: Arrangement, least: float) -> Fitted | None:
    """The arrangement with its largest letters from ``least`` on; None where none fit."""
    values = _values(card)
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


def _values(card: Card) -> Mapping[str, object]:
    """The card as the template reads it."""
    return {
        "card": asdict(card),
        "words": dict(words(card.language)),
        "code": symbol.svg(card.code),
    }

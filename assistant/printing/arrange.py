"""Arrangements of a card's tracks on a page, from the most readable one on."""

from __future__ import annotations

import json
import math
from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

from assistant.printing.balance import stacked, widths

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from assistant.printing.balance import Stack
    from assistant.printing.card import Card, Track


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


# ISO 216, and ANSI Y14.1 (8.5 by 11 in, 11 by 17 in).
PAPERS = {
    "a4": Paper("a4", 210, 297, "a3"),
    "letter": Paper("us-letter", 215.9, 279.4, "tabloid"),
    "a3": Paper("a3", 297, 420),
    "tabloid": Paper("us-tabloid", 279.4, 431.8),
}
MM_PER_PT = 25.4 / 72
_MARGIN_MM = 9.0
_GUTTER_EM = 0.9


class Kind(StrEnum):
    """How tracks share a page."""

    ROWS = "rows"  # each in a column of its own, so many in a row at most
    STACKS = "stacks"  # intake and baths in a row, the parts below in so many stacks
    PAGE = "page"  # all in so many stacks from head to foot
    FLOW = "flow"  # one after another through so many columns, split where a column ends


@dataclass(frozen=True, slots=True)
class Arrangement:
    """A way to lay the tracks out.

    Attributes:
        kind: how they share the page.
        count: tracks in a row at most, stacks, or columns.
        flipped: whether the page lies on its side.
        price: points that the letters must be larger by to choose this one.
    """

    kind: Kind
    count: int
    flipped: bool = False
    price: float = 0.0


_COUNTS = ((False, (2, 3, 4)), (True, (3, 4, 5)))
# Parts that are worked on side by side are read best side by side; a track in two
# pieces is easily misread.
_PRICES = {Kind.ROWS: 0.0, Kind.STACKS: 0.0, Kind.PAGE: 0.25, Kind.FLOW: 1.0}
ARRANGEMENTS = tuple(
    Arrangement(kind, count, flipped, price)
    for kind, price in _PRICES.items()
    for flipped, counts in _COUNTS
    for count in counts
)


def laid_out(card: Card, paper: Paper, arrangement: Arrangement, size_pt: float) -> dict[str, str]:
    """The arrangement at a size of the letters, as card.typ reads it."""
    across_mm = paper.height_mm if arrangement.flipped else paper.width_mm
    all_em = (across_mm - 2 * _MARGIN_MM) / MM_PER_PT / size_pt
    rows = [
        [
            {"width": width, "tracks": len(stack)}
            for stack, width in zip(row, widths(row, all_em, _GUTTER_EM), strict=True)
        ]
        for row in _rows(card, arrangement)
    ]
    return {
        "paper": paper.name,
        "margin": f"{_MARGIN_MM:g}",
        "gutter": f"{_GUTTER_EM:g}",
        "size": f"{size_pt:g}",
        "flipped": "yes" if arrangement.flipped else "no",
        "columns": str(arrangement.count),
        "rows": json.dumps(rows),
    }


def _rows(card: Card, arrangement: Arrangement) -> Iterator[tuple[Stack, ...]]:
    """Rows of stacks that hold all tracks in order; none for a flow."""
    before, parts = card.before, card.parts
    match arrangement.kind:
        case Kind.ROWS:
            for group in (before, parts):
                yield from _singly(group, arrangement.count)
        case Kind.STACKS:
            yield from _singly(before, arrangement.count)
            if parts:
                yield stacked(parts, min(arrangement.count, len(parts)))
        case Kind.PAGE:
            tracks = (*before, *parts)
            yield stacked(tracks, min(arrangement.count, len(tracks)))
        case Kind.FLOW:
            return


def _singly(tracks: Sequence[Track], most: int) -> Iterator[tuple[Stack, ...]]:
    """Rows of about equally many tracks, each by itself."""
    if not tracks:
        return
    rows = math.ceil(len(tracks) / most)
    each = math.ceil(len(tracks) / rows)
    for first in range(0, len(tracks), each):
        yield tuple((track,) for track in tracks[first : first + each])

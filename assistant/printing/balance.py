"""Stacks of tracks beside each other: which tracks, and how wide, so that all end level.

Heights are reckoned from the number of letters.  They only choose stacks and widths and
tell the hopeless apart; whether a card fits is found by setting it.
"""

from __future__ import annotations

import itertools
import math
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Sequence

    from assistant.printing.card import Row, Track

Stack = tuple["Track", ...]

# In em, of Source Sans Pro: the mean width of a letter of English sentences, spaces
# with them, is 0.405; the rest is for bold words and for what a line leaves free.
_LETTER = 0.44
# In em, as card.typ sets them.
_LINE = 1.08
_GAP = 0.5
_HEADING = 2.2
_NUMBER = 1.75
_MARK = 2.0
# Narrower than this a column holds no sentence.
_LEAST = 12.0
_ROUNDS = 12


def stacked(tracks: Sequence[Track], count: int) -> tuple[Stack, ...]:
    """The tracks in so many stacks, in order, the highest as low as can be.

    Args:
        tracks: as many as the stacks at least.
        count: at least 1.
    """
    wide = 30.0
    heights = [height(track, wide) for track in tracks]
    cuts = min(
        itertools.combinations(range(1, len(tracks)), count - 1),
        key=lambda inner: max(sum(heights[a:b]) for a, b in _between(inner, len(tracks))),
    )
    return tuple(tuple(tracks[a:b]) for a, b in _between(cuts, len(tracks)))


def _between(cuts: Iterable[int], end: int) -> Iterator[tuple[int, int]]:
    return itertools.pairwise((0, *cuts, end))


def widths(stacks: Sequence[Stack], all_em: float, gutter_em: float) -> tuple[float, ...]:
    """The width of each stack, in em; together with the gutters they fill the whole.

    Args:
        stacks: those of one row, at least one.
        all_em: the width of the row.
        gutter_em: what stays free between two.
    """
    free = all_em - gutter_em * (len(stacks) - 1)
    found = [free / len(stacks)] * len(stacks)
    for _ in range(_ROUNDS):
        heights = [
            sum(height(track, width) for track in stack)
            for stack, width in zip(stacks, found, strict=True)
        ]
        mean = sum(heights) / len(heights)
        found = [
            max(width * math.sqrt(high / mean), _LEAST)
            for width, high in zip(found, heights, strict=True)
        ]
        total = sum(found)
        found = [width * free / total for width in found]
    return tuple(found)


def height(track: Track, width_em: float) -> float:
    """About how high a track is, in em."""
    above = sum(_lines(text, width_em) for text in (track.never, track.limits, track.onward))
    below = _lines(track.again, width_em) + _lines("; ".join(track.working), width_em)
    return (
        _HEADING
        + (above + below) * _LINE
        + sum(_row_lines(row, width_em) * _LINE + _GAP for row in track.rows)
    )


def area(tracks: Iterable[Track]) -> float:
    """About how much paper the tracks need at least, in square em."""
    wide = 40.0
    return sum(height(track, wide) * wide for track in tracks)


def _row_lines(row: Row, width_em: float) -> int:
    width = width_em - _NUMBER
    return sum(_lines(text, width) for text in _paragraphs(row)) + sum(
        _lines(text, width - _MARK) for text in row.cautions
    )


def _paragraphs(row: Row) -> Iterator[str]:
    own = "".join(span.text for span in row.text)
    if not row.asked:
        yield " ".join((row.only, own, *row.facts, *row.notes))
        return
    yield " ".join((row.only, own, *row.facts))
    *questions, last = row.asked
    yield from questions
    yield " ".join((last, *row.notes))


def _lines(text: str, width_em: float) -> int:
    return math.ceil(len(text) * _LETTER / max(width_em, 1.0))

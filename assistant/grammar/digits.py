"""Numbers written with digits: a small transducer from number words to digits.

"one hundred five" may be written "105".  Words become digits in blocks; a block is
a longest number such as "one hundred five", "twenty" or "oh", and blocks stand side
by side ("one oh five" is 1, 0, 5).  What a word writes can depend on the words
after it (the zeros of "hundred"), so the transducer guesses, and a wrong guess ends
in a state that has no way on.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum, auto
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from assistant.grammar.orthography import Orthography


class Size(Enum):
    """What kind of number a word is; it decides what may follow in one block."""

    ZERO = auto()
    UNIT = auto()
    TEEN = auto()
    TENS = auto()


class Place(Enum):
    """Where in a block we are."""

    SHUT = auto()  # the block is complete; another may begin
    HEAD = auto()  # digits are written that a scale word must follow
    ONES = auto()  # the tens are written, the unit must follow
    ZEROS = auto()  # a scale's digits are owed
    JOINED = auto()  # likewise, and "and" was said: a number must follow
    POINT = auto()  # the point is written, a digit must follow
    FRACTION = auto()  # digits behind the point; more may follow


@dataclass(frozen=True, slots=True)
class Digits:
    """A state of the transducer.

    Attributes:
        place: where in a block we are.
        owed: digits still to be written below the last scale word.
        limit: a scale that may follow must be below this power of ten.
        barred: sizes that cannot begin a new block here, because in one block
            they would have continued the last one.
    """

    place: Place
    owed: int = 0
    limit: int = 0
    barred: frozenset[Size] = frozenset()

    @property
    def complete(self) -> bool:
        """True where the digits written so far stand for the words said so far."""
        return self.place in {Place.SHUT, Place.FRACTION}


_SHUT = Digits(Place.SHUT)
_NO_LIMIT = 10
_THOUSAND = 3
_VALUES = frozenset({Size.UNIT, Size.TEEN, Size.TENS})
Write = tuple[str, Digits]


@dataclass(frozen=True, slots=True)
class DigitWriter:
    """The transducer of one language's number words."""

    orthography: Orthography

    def size(self, word: str) -> Size | None:
        """What kind of number the word is; None where it is none."""
        value = self.orthography.numbers.get(word)
        if value is None:
            return None
        if value == 0:
            return Size.ZERO
        if value < 10:  # noqa: PLR2004 - the decimal system's own
            return Size.UNIT
        return Size.TEEN if value < 20 else Size.TENS  # noqa: PLR2004 - likewise

    def begin(self, word: str) -> Iterator[Write]:
        """What the first word of a block may write, and the state after it."""
        if self.size(word) is Size.ZERO:
            yield "0", _SHUT
        else:
            yield from self._value(word, "", _NO_LIMIT)

    def go_on(self, state: Digits, word: str) -> Iterator[Write]:
        """What a further word of the block may write, and the state after it."""
        power = self.orthography.scales.get(word)
        match state.place:
            case Place.HEAD if power is not None and power < state.limit:
                for comma in ("", ",") if power == _THOUSAND else ("",):
                    yield comma, Digits(Place.ZEROS, owed=power)
                    yield comma + "0" * power, Digits(Place.SHUT, barred=_VALUES)
            case Place.ONES if self.size(word) is Size.UNIT:
                yield from self._value(word, "", state.limit)
            case Place.ZEROS if word in self.orthography.joiners:
                yield "", Digits(Place.JOINED, owed=state.owed)
            case Place.ZEROS | Place.JOINED:
                yield from self._below(word, state.owed)
            case Place.SHUT if word == self.orthography.point:
                yield ".", Digits(Place.POINT)
            case Place.POINT | Place.FRACTION if self.size(word) in {Size.ZERO, Size.UNIT}:
                yield str(self.orthography.numbers[word]), Digits(Place.FRACTION)

    def _value(self, word: str, zeros: str, limit: int) -> Iterator[Write]:
        """A unit, teen or tens; a scale below ``limit`` may follow."""
        size = self.size(word)
        if size in {Size.UNIT, Size.TEEN}:
            text = f"{zeros}{self.orthography.numbers[word]}"
            yield text, _SHUT
            yield text, Digits(Place.HEAD, limit=limit)
        elif size is Size.TENS:
            tens = f"{zeros}{self.orthography.numbers[word] // 10}"
            yield f"{tens}0", Digits(Place.SHUT, barred=frozenset({Size.UNIT}))
            yield f"{tens}0", Digits(Place.HEAD, limit=limit)
            yield tens, Digits(Place.ONES, limit=limit)

    def _below(self, word: str, owed: int) -> Iterator[Write]:
        """A number in the digits that a scale word still owes."""
        width = 1 if self.size(word) is Size.UNIT else 2
        for text, state in self._value(word, "0" * (owed - width), 0):
            if state.place is not Place.HEAD:
                yield text, state
        if owed > 2 and width == 1 and self.size(word) is not None:  # noqa: PLR2004 - thousands
            yield str(self.orthography.numbers[word]), Digits(Place.HEAD, limit=owed)

    def canonical(self, words: Sequence[str]) -> tuple[str, ...]:
        """The words with every number as digits: equal exactly where the values are.

        "one oh five" and "one hundred and five" both become ("105",).
        """
        result: list[str] = []
        at, was_number = 0, False
        while at < len(words):
            end, text = self._longest(words, at)
            if end == at:
                result.append(words[at])
            elif was_number:
                result[-1] += text
            else:
                result.append(text)
            at, was_number = max(end, at + 1), end > at
        return tuple(result)

    def _longest(self, words: Sequence[str], start: int) -> tuple[int, str]:
        """The end of the longest block from ``start``, and its digits."""
        best = (start, "")
        states: list[tuple[str, Digits | None]] = [("", None)]
        for end in range(start, len(words)):
            states = [
                (text + more, after)
                for text, state in states
                for more, after in self._move(state, words[end])
                if "," not in more
            ]
            for text, state in states:
                if state is not None and state.complete:
                    best = (end + 1, text)
        return best

    def _move(self, state: Digits | None, word: str) -> Iterator[Write]:
        return self.begin(word) if state is None else self.go_on(state, word)

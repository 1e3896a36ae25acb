"""The texts that a speech model may write for the sentences of a grammar.

A model writes "105 degrees." where the grammar says "one hundred five degrees".
``WrittenForms`` is the composition of the grammar's word automaton with the ways of
writing words and numbers, as an automaton over characters: it says which texts are
in the grammar, which character may come next, and which words a text stands for.
Its states are made when they are first reached, so thousands of numbers cost no
more than those that somebody says.

Letter case does not count.  Between words stands a space, or a hyphen, or one of
``, . ? !`` and a space; a word may touch the one before it where one of the two is
not written with a letter at that place ("20°", "8oz", "37" for "three seven").
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.grammar.digits import Digits, DigitWriter, Size

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from assistant.grammar.automaton import Arc, Automaton
    from assistant.grammar.orthography import Orthography

_NONE: frozenset[Size] = frozenset()
_SEPARATORS = (" ", "-", ", ", ". ", "? ", "! ")
_CLOSINGS = (".", ",", "?", "!")


@dataclass(frozen=True, slots=True)
class _Ready:
    """The next word may be written.

    Attributes:
        node: of the word automaton.
        touching: the last character is a letter, so a letter may not follow.
        barred: sizes of numbers that may not begin here.
    """

    node: int
    touching: bool
    barred: frozenset[Size]


@dataclass(frozen=True, slots=True)
class _Wrote:
    """A word has been written to its end; fields as in ``_Ready``."""

    node: int
    touching: bool
    barred: frozenset[Size]


@dataclass(frozen=True, slots=True)
class _Number:
    """Within a number that is being written with digits."""

    node: int
    digits: Digits


@dataclass(frozen=True, slots=True)
class _Closed:
    """Behind the mark that ends the sentence."""


_Said = dict[tuple[str, ...], None]  # word sequences, an ordered set
_Place = _Ready | _Wrote | _Number | _Closed


@dataclass(frozen=True, slots=True)
class _Edge:
    """What is written between two places, and the word said with it, if any."""

    text: str
    target: _Place
    word: str | None = None


@dataclass(frozen=True, slots=True)
class _State:
    """A set of positions of the automaton that reading one text leads to.

    Attributes:
        after: for each character that may follow, the positions behind it.
        ends: True where the text may end here.
    """

    after: dict[str, frozenset[int]]
    ends: bool


@dataclass(frozen=True, slots=True)
class _Opened:
    """What may be written from a place on.

    Attributes:
        steps: for each character the positions behind it, with the words said.
        endings: the words said on each way to the end of the text.
    """

    steps: dict[str, list[tuple[int, tuple[str, ...]]]]
    endings: list[tuple[str, ...]]


@dataclass(slots=True)
class WrittenForms:
    """The written forms of a grammar's sentences; grows as it is used."""

    automaton: Automaton
    orthography: Orthography
    _writer: DigitWriter = field(init=False)
    _begin: int = field(init=False)
    # A position is the rest of an edge's text and the place behind it.
    _positions: dict[tuple[str, _Place], int] = field(default_factory=dict)
    _rests: list[tuple[str, _Place]] = field(default_factory=list)
    _places: dict[_Place, _Opened] = field(default_factory=dict)
    _numbers: dict[frozenset[int], int] = field(default_factory=dict)
    _states: list[_State] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._writer = DigitWriter(self.orthography)
        begin = _Ready(0, touching=False, barred=_NONE)
        self._begin = self._position("", begin)
        self._state(frozenset({self._begin, self._position(" ", begin)}))

    @property
    def start(self) -> int:
        """The state before any character."""
        return 0

    def step(self, state: int, character: str) -> int | None:
        """The state after one more character; None where no sentence goes on so.

        Args:
            state: ``start``, or what an earlier call gave.
            character: a small letter, digit or sign.
        """
        positions = self._states[state].after.get(character)
        return None if positions is None else self._state(positions)

    def following(self, state: int) -> frozenset[str]:
        """The characters that may come next."""
        return frozenset(self._states[state].after)

    def ends(self, state: int) -> bool:
        """True where the text may end."""
        return self._states[state].ends

    def canonical(self, words: tuple[str, ...]) -> tuple[str, ...]:
        """The words with every number as digits: equal exactly where the values are."""
        return self._writer.canonical(words)

    def readings(self, text: str) -> tuple[tuple[str, ...], ...]:
        """The word sequences that a text stands for, shortest first.

        More than one only where a number was written with digits: "105" is "one
        hundred five", "one oh five" and more, all of the same value.
        """
        said: dict[int, _Said] = {self._begin: {(): None}}
        for character in text.strip().lower():
            after: dict[int, _Said] = {}
            for position, words in said.items():
                for behind, more in self._steps(position).get(character, ()):
                    joined = {(*before, *more): None for before in words}
                    after.setdefault(behind, {}).update(joined)
            said = after
        found: _Said = {}
        for position, words in said.items():
            rest, place = self._rests[position]
            endings = () if rest else self._opened(place).endings
            found.update({(*before, *more): None for before in words for more in endings})
        return tuple(sorted(found, key=len))

    def _position(self, rest: str, place: _Place) -> int:
        key = (rest, place)
        if key not in self._positions:
            self._positions[key] = len(self._rests)
            self._rests.append(key)
        return self._positions[key]

    def _steps(self, position: int) -> Mapping[str, Sequence[tuple[int, tuple[str, ...]]]]:
        """For each next character the positions behind it and the words said on the way."""
        rest, place = self._rests[position]
        if rest:
            return {rest[0]: [(self._position(rest[1:], place), ())]}
        return self._opened(place).steps

    def _state(self, positions: frozenset[int]) -> int:
        if positions not in self._numbers:
            after: dict[str, set[int]] = {}
            for position in positions:
                for character, steps in self._steps(position).items():
                    after.setdefault(character, set()).update(behind for behind, _ in steps)
            ends = any(
                not rest and bool(self._opened(place).endings)
                for rest, place in map(self._rests.__getitem__, positions)
            )
            self._numbers[positions] = len(self._states)
            frozen = {sign: frozenset(behind) for sign, behind in after.items()}
            self._states.append(_State(frozen, ends))
        return self._numbers[positions]

    def _opened(self, place: _Place) -> _Opened:
        if place not in self._places:
            opened = _Opened({}, [])
            stack: list[tuple[_Place, tuple[str, ...]]] = [(place, ())]
            seen = set(stack)
            while stack:
                here, said = stack.pop()
                if self._ends_at(here):
                    opened.endings.append(said)
                for edge in self._edges(here):
                    words = said if edge.word is None else (*said, edge.word)
                    if edge.text:
                        behind = self._position(edge.text[1:], edge.target)
                        opened.steps.setdefault(edge.text[0], []).append((behind, words))
                    elif (edge.target, words) not in seen:
                        seen.add((edge.target, words))
                        stack.append((edge.target, words))
            self._places[place] = opened
        return self._places[place]

    def _ends_at(self, place: _Place) -> bool:
        if isinstance(place, _Wrote):
            return self.automaton.ends[place.node] is not None
        return isinstance(place, _Closed)

    def _edges(self, place: _Place) -> Iterator[_Edge]:
        match place:
            case _Ready():
                yield from self._words(place)
            case _Wrote(node, touching, barred):
                if self.automaton.arcs[node]:
                    yield _Edge("", _Ready(node, touching, barred))
                    apart = _Ready(node, touching=False, barred=barred)
                    yield from (_Edge(text, apart) for text in _SEPARATORS)
                if self.automaton.ends[node] is not None:
                    yield from (_Edge(text, _Closed()) for text in _CLOSINGS)
            case _Number(node, digits):
                if digits.complete:
                    yield _Edge("", _Wrote(node, touching=False, barred=digits.barred))
                for arc in self.automaton.arcs[node]:
                    yield from self._digits(arc, self._writer.go_on(digits, arc.word))

    def _words(self, place: _Ready) -> Iterator[_Edge]:
        for arc in self.automaton.arcs[place.node]:
            for text in self.orthography.written(arc.word):
                if not (place.touching and text[0].isalpha()):
                    after = _Wrote(arc.target, touching=text[-1].isalpha(), barred=_NONE)
                    yield _Edge(text, after, arc.word)
            if self._writer.size(arc.word) not in {None, *place.barred}:
                yield from self._digits(arc, self._writer.begin(arc.word))

    def _digits(self, arc: Arc, writes: Iterator[tuple[str, Digits]]) -> Iterator[_Edge]:
        for text, digits in writes:
            number = _Number(arc.target, digits)
            # A guess that no sentence of the grammar bears out leads nowhere.
            if digits.complete or any(True for _ in self._edges(number)):
                yield _Edge(text, number, arc.word)

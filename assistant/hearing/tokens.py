"""The tokens of a speech model: their texts, and which of them a grammar lets follow."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    import numpy.typing as npt

    from assistant.grammar.written import WrittenForms

BEGIN, END = 1, 2  # ids of <s> and </s>, the first entries behind <unk>
_FIRST_PIECE = 259  # behind <unk>, <s>, </s> and the 256 single bytes
_SPACE = "\N{LOWER ONE EIGHTH BLOCK}"  # stands for a space inside a piece


class TokenFileError(ValueError):
    """The file is no list of length-prefixed pieces."""


def read(data: bytes) -> tuple[str, ...]:
    """The text of each token id, in order; "" for ids that write no text.

    Each piece is preceded by its length in bytes; a length byte from 128 on holds
    its lower 7 bits and is followed by one more byte of higher bits.  Pieces that are
    single bytes or marked ``<...>`` write no text of a grammar and come out empty.

    Raises:
        TokenFileError: the bytes end inside a piece.
    """
    texts: list[str] = []
    at = 0
    while at < len(data):
        length = data[at]
        at += 1
        if length >= 0x80 and at < len(data):  # noqa: PLR2004 - the format's own bound
            length += (data[at] - 1) * 0x80
            at += 1
        piece = data[at : at + length]
        at += length
        if at > len(data):
            raise TokenFileError(f"piece {len(texts)} is cut off")
        text = "" if len(texts) < _FIRST_PIECE else piece.decode("utf-8", "replace")
        texts.append("" if text.startswith("<<") else text.replace(_SPACE, " "))
    return tuple(texts)


def spoken_letters(text: str) -> int:
    """How long a text is to say, in letters; a digit stands for a word of four."""
    return sum(4 if sign.isdigit() else sign.isalpha() for sign in text)


@dataclass(slots=True)
class _Node:
    """A node of the trie of token texts."""

    children: dict[str, _Node] = field(default_factory=dict)
    ids: list[int] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Continuation:
    """The tokens that may follow in a state of the written forms.

    Attributes:
        ids: int64, shape (n,).
        states: int64, shape (n,): the state behind each token.
        ends: True where the text may end.
    """

    ids: npt.NDArray[np.int64]
    states: npt.NDArray[np.int64]
    ends: bool


@dataclass(slots=True)
class TokenGrammar:
    """A grammar's written forms as seen by a model that writes tokens.

    A trie of all token texts is walked side by side with the written forms; what a
    state allows is remembered for as long as this object lives.

    Attributes:
        texts: of each token id.
        written: the grammar's written forms.
        lengths: float32, shape (vocabulary,): how long each token is to say, letters.
    """

    texts: Sequence[str]
    written: WrittenForms
    lengths: npt.NDArray[np.float32] = field(init=False)
    _trie: _Node = field(default_factory=_Node)
    _known: dict[int, Continuation] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.lengths = np.array([spoken_letters(text) for text in self.texts], np.float32)
        for token, text in enumerate(self.texts):
            node = self._trie
            for character in text.lower():
                node = node.children.setdefault(character, _Node())
            if text:
                node.ids.append(token)

    def text(self, ids: Iterable[int]) -> str:
        """The text that these tokens write."""
        return "".join(self.texts[token] for token in ids).strip()

    def unwritable(self) -> frozenset[str]:
        """Words of the grammar with a character that no token writes."""
        signs = frozenset("".join(self.texts).lower())
        forms = self.written.orthography
        return frozenset(
            word
            for word in self.written.automaton.words
            if not any(signs.issuperset(form) for form in forms.written(word))
        )

    def after(self, state: int) -> Continuation:
        """The tokens that may follow in that state."""
        if state not in self._known:
            ids: list[int] = []
            states: list[int] = []
            stack = [(self._trie, state)]
            while stack:
                node, here = stack.pop()
                ids.extend(node.ids)
                states.extend([here] * len(node.ids))
                for character in self.written.following(here):
                    child = node.children.get(character)
                    if child is not None:
                        there = self.written.step(here, character)
                        if there is not None:
                            stack.append((child, there))
            self._known[state] = Continuation(
                np.array(ids, np.int64), np.array(states, np.int64), self.written.ends(state)
            )
        return self._known[state]

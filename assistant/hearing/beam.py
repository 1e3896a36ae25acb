"""Beam search under a grammar, with free decoding beside it in the same batch.

The beams follow the grammar; one more row decodes greedily without it.  How much
worse the best sentence of the grammar explains the sound than the free text does is
the evidence that the recognizer judges by.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Protocol

import numpy as np

from assistant.hearing.tokens import END

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy.typing as npt

    from assistant.hearing.tokens import TokenGrammar


class Decoder(Protocol):
    """A model that gives log-probabilities of the next token; it keeps its own cache."""

    def begin(self) -> npt.NDArray[np.float32]:
        """Log-probabilities of the first token, shape (1, vocabulary)."""
        ...

    def advance(self, parents: Sequence[int], tokens: Sequence[int]) -> npt.NDArray[np.float32]:
        """Log-probabilities after one more token.

        Args:
            parents: for each new row the row of the last call that it goes on.
            tokens: the token that it goes on with.

        Returns:
            shape (len(parents), vocabulary).
        """
        ...


@dataclass(frozen=True, slots=True)
class Path:
    """A sequence of tokens and its log-likelihood, in nats.

    Attributes:
        ids: without the end token.
        score: sum of the log-probabilities.
        length: how long it is to say, letters.
        state: state of the written forms; 0 in free decoding.
        row: the decoder's row that goes on from here.
        ended: the end token is part of the score.
    """

    ids: tuple[int, ...] = ()
    score: float = 0.0
    length: float = 0.0
    state: int = 0
    row: int = 0
    ended: bool = False


@dataclass(frozen=True, slots=True)
class Search:
    """How wide and how far to search.

    Attributes:
        beams: paths under the grammar that are kept.
        margin: nats below the best finished path at which a path is given up.
        most_tokens: the longest text.
        reward: nats for each letter of a text, up to ``enough``.
        enough: letters that the speech is long enough for.
    """

    beams: int = 6
    margin: float = 8.0
    most_tokens: int = 60
    reward: float = 0.0
    enough: float = 0.0

    def rank(self, score: float, length: float) -> float:
        """What paths are compared by, nats."""
        return score + self.reward * min(length, self.enough)


@dataclass(frozen=True, slots=True)
class Found:
    """What the search ended with.

    Attributes:
        paths: complete paths under the grammar, best first; may be empty.
        free: the greedy path without the grammar.
    """

    paths: tuple[Path, ...]
    free: Path


def search(decoder: Decoder, grammar: TokenGrammar, limits: Search) -> Found:
    """Decode one utterance, under the grammar and freely."""
    rows = decoder.begin()
    live, free = [Path(state=grammar.written.start)], Path()
    finished: list[Path] = []
    for _ in range(limits.most_tokens):
        if live:
            live = _extended(live, rows, grammar, finished, limits)
        if not free.ended:
            token = int(rows[free.row].argmax())
            score = free.score + float(rows[free.row, token])
            ids = free.ids if token == END else (*free.ids, token)
            length = free.length + float(grammar.lengths[token])
            free = replace(free, ids=ids, score=score, length=length, ended=token == END)
        going = live if free.ended else [*live, free]
        if not going:
            break
        rows = decoder.advance([path.row for path in going], [path.ids[-1] for path in going])
        live = [replace(path, row=row) for row, path in enumerate(live)]
        free = replace(free, row=len(live))
    finished.sort(key=lambda path: -limits.rank(path.score, path.length))
    return Found(tuple(finished), free)


def _extended(
    live: Sequence[Path],
    rows: npt.NDArray[np.float32],
    grammar: TokenGrammar,
    finished: list[Path],
    limits: Search,
) -> list[Path]:
    """The best paths that are one token longer; complete ones go to ``finished``."""
    options: list[tuple[float, Path]] = []
    for path in live:
        after = grammar.after(path.state)
        if after.ends:
            ended = path.score + float(rows[path.row, END])
            finished.append(replace(path, score=ended, ended=True))
        scores = path.score + rows[path.row, after.ids]
        lengths = path.length + grammar.lengths[after.ids]
        ranks = scores + limits.reward * np.minimum(lengths, limits.enough)
        count = min(limits.beams, len(ranks))
        for at in np.argpartition(-ranks, count - 1)[:count] if count else ():
            token, state = int(after.ids[at]), int(after.states[at])
            longer = Path(
                (*path.ids, token), float(scores[at]), float(lengths[at]), state, path.row
            )
            options.append((float(ranks[at]), longer))
    worst = -np.inf
    if finished:
        worst = max(limits.rank(path.score, path.length) for path in finished) - limits.margin
    finished[:] = [path for path in finished if limits.rank(path.score, path.length) >= worst]
    options.sort(key=lambda option: -option[0])
    return [path for rank, path in options[: limits.beams] if rank >= worst]

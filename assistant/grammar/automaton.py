"""The finite automaton of a grammar: nodes, and arcs that are words with tag marks.

Pure: no file, no clock, no lots.  Where a grammar can be read in several ways, the
reading that stands first in the grammar wins, as with alternatives in a regular
expression; this keeps the meaning of a sentence a fact of the grammar's text.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from assistant.grammar.expansion import Choice, Reference, Repeat, Series, Tagged, Token

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from assistant.grammar.expansion import Expansion, Grammar, Rule


class EmptyGrammarError(ValueError):
    """A grammar without a single sentence; the message names its file."""


@dataclass(frozen=True, slots=True)
class Mark:
    """A tag's words begin here (``opens``) or ended here."""

    tag: str
    opens: bool


@dataclass(frozen=True, slots=True)
class Arc:
    """One word, spoken between two nodes.

    Attributes:
        word: the grammar's own word.
        target: the node after it.
        marks: tags that begin or end before the word, in order.
    """

    word: str
    target: int
    marks: tuple[Mark, ...]


@dataclass(frozen=True, slots=True)
class Parse:
    """A sentence of the grammar.

    Attributes:
        text: its words, separated by single spaces.
        tags: (tag, words under it), in the order in which the tags end.
    """

    text: str
    tags: tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Automaton:
    """All sentences of a grammar.

    Every node lies on the way to the end of some sentence.  Node 0 is the start.

    Attributes:
        arcs: for each node the words that may come next, first choice first.
        ends: for each node the marks that close a sentence there; None where no
            sentence ends.
        words: every word of the grammar.
    """

    arcs: tuple[tuple[Arc, ...], ...]
    ends: tuple[tuple[Mark, ...] | None, ...]
    words: frozenset[str] = field(default_factory=frozenset)

    def parse(self, words: Sequence[str]) -> Parse | None:
        """The sentence that consists of these words; None where the grammar has none."""
        trails: dict[int, _Trail | None] = {0: None}
        for word in words:
            following: dict[int, _Trail | None] = {}
            for node, trail in trails.items():  # in order of preference
                for arc in self.arcs[node]:
                    if arc.word == word:
                        following.setdefault(arc.target, _Trail(arc, trail))
            trails = following
        for node, trail in trails.items():
            end = self.ends[node]
            if end is not None:
                return _collected(_path(trail), end)
        return None

    def can_continue(self, words: Sequence[str]) -> bool:
        """True where these words begin a longer sentence."""
        nodes = frozenset({0})
        for word in words:
            nodes = self._after(nodes, word)
        return any(self.arcs[node] for node in nodes)

    def sentences(self, loops: int = 2) -> Iterator[str]:
        """Every sentence once; what may repeat without end does so ``loops`` times at most.

        The iterator is lazy: a grammar of numbers has more sentences than memory.
        """
        yield from self._sentences(frozenset({0}), (), (), loops)

    def sample(self, choose: Callable[[int], int]) -> str:
        """One sentence, each word chosen by ``choose(n)``, an integer from 0 to n - 1.

        Where a sentence may end, ``choose(2)`` decides whether it does.
        """
        nodes, words = frozenset({0}), list[str]()
        while True:
            options = list(self._words_after(nodes))
            may_end = any(self.ends[node] is not None for node in nodes)
            if not options or (may_end and choose(2)):
                return " ".join(words)
            words.append(options[choose(len(options))])
            nodes = self._after(nodes, words[-1])

    def _after(self, nodes: frozenset[int], word: str) -> frozenset[int]:
        return frozenset(a.target for node in nodes for a in self.arcs[node] if a.word == word)

    def _words_after(self, nodes: frozenset[int]) -> dict[str, None]:
        return {arc.word: None for node in sorted(nodes) for arc in self.arcs[node]}

    def _sentences(
        self,
        nodes: frozenset[int],
        words: tuple[str, ...],
        been: tuple[frozenset[int], ...],
        loops: int,
    ) -> Iterator[str]:
        if any(self.ends[node] is not None for node in nodes):
            yield " ".join(words)
        if been.count(nodes) >= loops:
            return
        for word in self._words_after(nodes):
            yield from self._sentences(
                self._after(nodes, word), (*words, word), (*been, nodes), loops
            )


@dataclass(frozen=True, slots=True)
class _Trail:
    """How a node was reached."""

    arc: Arc
    before: _Trail | None


def _path(trail: _Trail | None) -> list[Arc]:
    arcs = []
    while trail is not None:
        arcs.append(trail.arc)
        trail = trail.before
    return arcs[::-1]


def _collected(path: Sequence[Arc], end: tuple[Mark, ...]) -> Parse:
    open_at: list[int] = []
    tags: list[tuple[str, str]] = []
    words: list[str] = []

    def note(marks: tuple[Mark, ...]) -> None:
        for mark in marks:
            if mark.opens:
                open_at.append(len(words))
            else:
                tags.append((mark.tag, " ".join(words[open_at.pop() :])))

    for arc in path:
        note(arc.marks)
        words.append(arc.word)
    note(end)
    return Parse(" ".join(words), tuple(tags))


def build(grammar: Grammar) -> Automaton:
    """The automaton of a grammar's public rules.

    Raises:
        EmptyGrammarError: nothing can be said, for instance because all is <VOID>.
    """
    draft = _Draft(grammar.rules)
    start, end = draft.node(), draft.node()
    for rule in grammar.rules.values():
        if rule.public:
            draft.add(rule.expansion, start, end)
    closed = {start: draft.closure(start, end)}
    queue = [start]
    for node in queue:  # grows while it is walked
        for arc in closed[node][0]:
            if arc.target not in closed:
                closed[arc.target] = draft.closure(arc.target, end)
                queue.append(arc.target)
    alive = _alive(closed)
    if start not in alive:
        raise EmptyGrammarError(f"{grammar.source}: the grammar has no sentence that can be said")
    number = {node: index for index, node in enumerate(n for n in queue if n in alive)}
    arcs = tuple(
        tuple(Arc(a.word, number[a.target], a.marks) for a in closed[n][0] if a.target in alive)
        for n in number
    )
    words = frozenset(arc.word for node in arcs for arc in node)
    return Automaton(arcs, tuple(closed[n][1] for n in number), words)


_Closure = tuple[list[Arc], tuple[Mark, ...] | None]


def _alive(closed: Mapping[int, _Closure]) -> set[int]:
    """Nodes from which a sentence can still end."""
    before: dict[int, list[int]] = {}
    for node, (arcs, _) in closed.items():
        for arc in arcs:
            before.setdefault(arc.target, []).append(node)
    queue = [node for node, (_, end) in closed.items() if end is not None]
    alive = set(queue)
    for node in queue:
        for earlier in before.get(node, ()):
            if earlier not in alive:
                alive.add(earlier)
                queue.append(earlier)
    return alive


class _Draft:
    """Thompson's construction: words between nodes, and silent steps that may carry a mark."""

    def __init__(self, rules: Mapping[str, Rule]) -> None:
        self._rules = rules
        self._words: list[tuple[str, int] | None] = []
        self._silent: list[list[tuple[Mark | None, int]]] = []

    def node(self) -> int:
        self._words.append(None)
        self._silent.append([])
        return len(self._words) - 1

    def add(self, expansion: Expansion, start: int, end: int) -> None:
        """Lay the expansion between two nodes."""
        match expansion:
            case Token(text):
                spoken = self.node()
                self._silent[start].append((None, spoken))
                self._words[spoken] = (text, end)
            case Reference(rule):
                self.add(self._rules[rule].expansion, start, end)
            case Series(items):
                for item in items:
                    after = self.node()
                    self.add(item, start, after)
                    start = after
                self._silent[start].append((None, end))
            case Choice():
                for item in expansion.spoken:
                    self.add(item, start, end)
            case Tagged(item, tag):
                first, last = self.node(), self.node()
                self._silent[start].append((Mark(tag, opens=True), first))
                self.add(item, first, last)
                self._silent[last].append((Mark(tag, opens=False), end))
            case Repeat():
                self._repeat(expansion, start, end)

    def _repeat(self, repeat: Repeat, start: int, end: int) -> None:
        first, last = self.node(), self.node()
        self._silent[start].append((None, first))
        self.add(repeat.item, first, last)
        if repeat.endless:
            self._silent[last].append((None, first))
        self._silent[last].append((None, end))
        if not repeat.least:
            self._silent[start].append((None, end))

    def closure(self, node: int, end: int) -> _Closure:
        """What can be said next from a node, and the marks that end a sentence there."""
        arcs: list[Arc] = []
        closing: tuple[Mark, ...] | None = None
        seen: set[int] = set()
        stack: list[tuple[int, tuple[Mark, ...]]] = [(node, ())]
        while stack:
            here, marks = stack.pop()
            if here in seen:
                continue
            seen.add(here)
            if here == end:
                closing = marks
            spoken = self._words[here]
            if spoken is not None:
                arcs.append(Arc(spoken[0], spoken[1], marks))
            stack.extend(
                (target, marks if mark is None else (*marks, mark))
                for mark, target in reversed(self._silent[here])
            )
        return arcs, closing

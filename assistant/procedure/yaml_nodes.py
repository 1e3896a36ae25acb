"""From a sheet's text to its nodes: YAML in which every scalar is text and has its place.

PyYAML parses with its base loader, so "no" stays "no" and "1:30" stays "1:30";
the nodes are built here, event by event, because the library's own composer
recurses, follows aliases and forgets how a scalar was quoted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import yaml

from assistant.procedure.finding import START, Mark
from assistant.procedure.sheet_text import mark_at

if TYPE_CHECKING:
    from assistant.procedure.finding import Findings

MOST_DEPTH = 20
MOST_NODES = 10_000  # with its keys a step of ten lines has about 25


@dataclass(frozen=True, slots=True)
class Scalar:
    """A text; ``plain`` where it stands without quotes."""

    text: str
    plain: bool
    mark: Mark


@dataclass(frozen=True, slots=True)
class Sequence:
    """A list."""

    items: tuple[Node, ...]
    mark: Mark


@dataclass(frozen=True, slots=True)
class Mapping:
    """Keys with their values, in the order of the file; a key may stand there twice."""

    pairs: tuple[tuple[Node, Node], ...]
    mark: Mark


Node = Scalar | Sequence | Mapping

# What PyYAML says, and what its reader should do about it.
_REMEDIES = {
    "mapping values are not allowed here": 'put quotes around a text that holds ": ", '
    "and check the indentation",
    "cannot start any token": "indent with spaces, never with tabs, and put quotes around a "
    "text that begins with a sign",
    "expected ',' or": "close the bracket, and put quotes around a text between brackets that "
    "holds a comma, a question mark or a bracket",
    "could not find expected ':'": 'write ": " after the key',
    "expected <block end>": "let the keys of one block begin in the same column",
    "while scanning a quoted scalar": "close the quotes",
    "unexpected end of stream": "close the quotes or the bracket",
}
_ANY_REMEDY = "check the quotes, the brackets and the indentation of this line"


def parse(text: str, findings: Findings) -> Node | None:
    """The text's only document, or None where it has none that may be read.

    Args:
        text: as ``sheet_text.decode`` gives it.
        findings: empty; told of every alias, anchor and tag, and of the first
            mistake after which nothing can be understood.
    """
    root = None
    try:
        root = _compose(text, findings)
    except yaml.MarkedYAMLError as error:
        mark = _mark(error.problem_mark or error.context_mark, findings)
        what = error.problem or "this cannot be understood"
        sentence = f"{error.context} {what}"
        remedy = next((value for key, value in _REMEDIES.items() if key in sentence), _ANY_REMEDY)
        findings.add(mark, f"no YAML: {what}", remedy)
    except yaml.reader.ReaderError as error:
        findings.add(
            mark_at(text, error.position),
            f"the character U+{error.character:04X} may not stand in YAML",
            "delete it",
        )
    if findings:
        return None
    if root is None or (isinstance(root, Scalar) and not root.text):
        findings.add(START, f"the file holds no {findings.of}", "write one, or give another file")
        return None
    return root


def _compose(text: str, findings: Findings) -> Node | None:
    """The first document's outermost node; None where there is none or a limit was met."""
    open_blocks: list[tuple[list[Node], Mark]] = [([], START)]
    nodes = documents = 0
    for event in yaml.parse(text, Loader=yaml.BaseLoader):
        mark = _mark(event.start_mark, findings)
        if isinstance(event, yaml.DocumentStartEvent):
            documents += 1
            if documents > 1:
                findings.add(
                    mark, "a second document begins here", f"keep one {findings.of} in a file"
                )
                return None
        elif isinstance(event, yaml.NodeEvent):
            nodes += 1
            _refuse_references(event, mark, findings)
            if isinstance(event, yaml.ScalarEvent):
                open_blocks[-1][0].append(Scalar(event.value, event.implicit[0], mark))
            elif isinstance(event, yaml.CollectionStartEvent):
                open_blocks.append(([], mark))
        elif isinstance(event, yaml.CollectionEndEvent):
            items, begun = open_blocks.pop()
            open_blocks[-1][0].append(
                Mapping(tuple(zip(items[::2], items[1::2], strict=False)), begun)
                if isinstance(event, yaml.MappingEndEvent)
                else Sequence(tuple(items), begun)
            )
        if len(open_blocks) > MOST_DEPTH + 1 or nodes > MOST_NODES:
            findings.add(
                mark,
                f"this is nested deeper than {MOST_DEPTH} or has more than {MOST_NODES} parts",
                f"split the {findings.of}, or close the brackets",
            )
            return None
    outermost, _ = open_blocks[0]
    return outermost[0] if outermost else None


def _refuse_references(event: Any, mark: Mark, findings: Findings) -> None:  # noqa: ANN401
    """Aliases, anchors and tags: a sheet says everything where it is read."""
    if isinstance(event, yaml.AliasEvent):
        findings.add(mark, f'the alias "*{event.anchor}" may not be used', "write the text out")
        return
    if event.anchor is not None:
        findings.add(mark, f'the anchor "&{event.anchor}" may not be used', "delete it")
    if event.tag is not None:
        findings.add(mark, f'the tag "{event.tag}" may not be used', "delete it")


def _mark(mark: Any, findings: Findings) -> Mark:  # noqa: ANN401 - PyYAML types marks loosely
    return START if mark is None else Mark(mark.line + 1, mark.column + 1, findings.path)

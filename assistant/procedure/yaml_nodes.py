"""From a sheet's text to its nodes: YAML in which every scalar is text and has its place.

PyYAML parses with its base loader, so "no" stays "no" and "1:30" stays "1:30";
the nodes are built here, event by event, because the library's own composer
recurses, follows aliases and forgets how a scalar was quoted.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import yaml

from assistant.procedure.finding import START, Mark
from assistant.procedure.sheet_text import called, invisible, mark_at

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

# What YAML takes for a comment, and its writer most likely for "number": "cap #3".
_CUT = re.compile(r"[ \t]+#[^\s#]")

# What PyYAML says, and what its reader should do about it.
_REMEDIES = {
    "mapping values are not allowed here": 'put quotes around a text that holds ": ", '
    "and check the indentation",
    "cannot start any token": "indent with spaces, never with tabs, and put quotes around a "
    "text that begins with a sign",
    "expected ',' or": "close the bracket, and put quotes around a text between brackets that "
    "holds a comma, a question mark or a bracket",
    "could not find expected ':'": 'write ": " after the key',
    "expected alphabetic or numeric character": 'put quotes around a text that begins with "*" '
    'or "&"',
    "unknown escape character": "put single quotes around a text that holds a backslash",
    "incompatible YAML document": 'delete the line that begins with "%"',
    "expected '<document start>'": 'delete what stands behind the line "..."',
    "but found '<scalar>'": "let the quotes enclose the whole text, with '' for a ' between single "
    "ones, and let the keys of one block begin in the same column",
    "but found ':'": "write a word before the colon",
    "expected the node content, but found '<stream end>'": "close the bracket",
    "expected the node content": "delete the comma, or write what it divides",
    "sequence entries are not allowed": 'put quotes around a text that begins with "-", and let '
    "a list begin on a line of its own",
    "mapping keys are not allowed": 'put quotes around a text that begins with "?"',
    "expected <block end>": "let the keys of one block begin in the same column",
    "codec can't decode": 'put quotes around a text that begins with "!"',
    "while scanning a quoted scalar": "close the quotes",
    "unexpected end of stream": "close the quotes or the bracket",
}
_TOLD_LATE = ("unexpected end of stream", "'<stream end>'", "could not find expected ':'")
_OPENED = "while parsing a flow"
# An escape beyond Unicode, or a version of thousands of figures.
_TOO_LARGE = re.compile(r"\\U(?!0010|000[0-9A-Fa-f])[0-9A-Fa-f]{8}|^%YAML", re.MULTILINE)
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
        what = error.problem or "this cannot be understood"
        sentence = f"{error.context} {what}"
        remedy = next((value for key, value in _REMEDIES.items() if key in sentence), _ANY_REMEDY)
        # What is open to the end of the file, or lacks its colon, is found late.
        late = any(key in what for key in _TOLD_LATE)
        place = error.context_mark if late else error.problem_mark
        begun = error.context_mark
        if not late and begun is not None and str(error.context).startswith(_OPENED):
            what = f"{what} in what begins on line {begun.line + 1}"
        at = place or begun or error.problem_mark
        findings.add(_mark(at, findings), f"no YAML: {what}", remedy)
    except yaml.reader.ReaderError as error:
        findings.add(
            mark_at(text, error.position),
            f"the character U+{error.character:04X} may not stand in YAML",
            "delete it",
        )
    except (ValueError, OverflowError):
        # The library turns figures of an escape or a directive into numbers unguarded.
        found = _TOO_LARGE.search(text)
        begun_at = START if found is None else mark_at(text, found.start())
        findings.add(begun_at, "no YAML: this number is too large", "delete it")
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
                _refuse_cut(event, text, mark, findings)
                _refuse_escaped(event, mark, findings)
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


def _refuse_cut(event: yaml.ScalarEvent, text: str, mark: Mark, findings: Findings) -> None:
    """A plain text that loses its end, silently, to a "#" that a word touches."""
    end = len(text) if event.end_mark is None else event.end_mark.index
    if event.implicit[0] and event.value and _CUT.match(text, end):
        findings.add(
            mark,
            f'"{event.value}" ends before a "#", for what follows it is a comment',
            'put quotes around the whole text, or a space behind the "#"',
        )


def _refuse_escaped(event: yaml.ScalarEvent, mark: Mark, findings: Findings) -> None:
    """Invisible signs that only an escape between double quotes brings in."""
    sign = next(filter(invisible, event.value), None)
    if sign is not None:
        findings.add(
            mark,
            f"an escape makes the invisible character {called(sign)} here",
            "delete the escape",
        )


def _mark(mark: Any, findings: Findings) -> Mark:  # noqa: ANN401 - PyYAML types marks loosely
    return START if mark is None else Mark(mark.line + 1, mark.column + 1, findings.path)

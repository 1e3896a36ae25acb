"""JSGF 1.0 grammars read from text: parsed, imports resolved, every reference checked.

The format is the W3C Note "JSpeech Grammar Format" of 5 June 2000.  Two things of
it are refused, with a message that says what to write instead: recursion (a
recognizer with a fixed vocabulary needs none; ``*`` and ``+`` say the same), and
imports from elsewhere than the folder of the importing file.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from functools import cache
from typing import TYPE_CHECKING, Any

from lark import Lark, Transformer, UnexpectedCharacters, UnexpectedInput, UnexpectedToken, v_args
from lark import Token as Lexeme
from lark.exceptions import UnexpectedEOF, VisitError

from assistant.grammar.expansion import (
    NULL,
    VOID,
    Choice,
    Expansion,
    Grammar,
    Reference,
    Repeat,
    Rule,
    Series,
    Tagged,
    Token,
)

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence
    from pathlib import Path

__all__ = ["Grammar", "JsgfError", "load", "parse"]


class JsgfError(Exception):
    """A grammar that cannot be used: where, what is wrong, what to write.

    Attributes:
        source: the file.
        line: from 1; 0 where the file as a whole is meant.
        column: from 1; 0 likewise.
        problem: what is wrong and what to write, one or two sentences.
    """

    def __init__(self, source: str, line: int, column: int, problem: str) -> None:
        place = f"{source}:{line}:{column}" if line else source
        super().__init__(f"{place}: {problem}")
        self.source, self.line, self.column, self.problem = source, line, column, problem


_SYNTAX = r"""
start: header declaration import_line* rule*
header: HEADER
declaration: "grammar" NAME ";"
import_line: "import" RULENAME ";"
rule: [PUBLIC] RULENAME "=" choice ";"
choice: branch ("|" branch)*
branch: [WEIGHT] item+
?item: atom
     | item "*" -> any_number
     | item "+" -> some_number
     | item TAG -> tagged
?atom: WORD -> word
     | QUOTED -> quoted
     | RULENAME -> reference
     | "(" choice ")"
     | "[" choice "]" -> optional

HEADER.3: /#JSGF[ \t]+V\d+\.\d+[^;\n]*;/
PUBLIC.2: "public"
NAME: /[^\s;=|*+<>()\[\]{}\/"]+/
RULENAME: /<[^<>\s]+>/
WEIGHT: /\/[^\/\n]*\//
TAG: /\{(?:[^{}\\]|\\.)*\}/s
QUOTED: /"(?:[^"\\\n]|\\.)*"/
WORD: /[^\s;=|*+<>()\[\]{}\/"]+/
COMMENT: /\/\/[^\n]*/ | /\/\*.*?\*\//s
%ignore COMMENT
%ignore /\s+/
"""


@cache
def _syntax() -> Lark:
    return Lark(_SYNTAX, parser="lalr", propagate_positions=True, maybe_placeholders=True)


@dataclass(frozen=True, slots=True)
class _File:
    """One file as written: names are not resolved yet."""

    name: str
    source: str
    imports: tuple[Reference, ...]
    rules: tuple[Rule, ...]


def parse(text: str, source: str = "<text>") -> Grammar:
    """The grammar that the text spells; it may not import.

    Args:
        text: JSGF.
        source: the file's name, for messages.

    Raises:
        JsgfError: the text is no JSGF, or its rules do not fit together.
    """
    file = _read(text, source)
    if file.imports:
        at = file.imports[0]
        problem = f"<{at.rule}> cannot be imported: only a grammar in a file may import"
        raise JsgfError(source, at.line, at.column, problem)
    return _joined([file], {})


def load(path: Path, fills: Mapping[str, Sequence[str]] | None = None) -> Grammar:
    """The grammar in a file, with everything it imports.

    Args:
        path: the file; ``import <numbers.lot>`` reads ``numbers.jsgf`` beside it.
        fills: for a rule of this grammar the phrases that take its place, for
            instance the component names of the procedure at hand.

    Raises:
        JsgfError: a file cannot be read or is no JSGF, or rules do not fit together.
    """
    files = [_opened(path, str(path), 0, 0)]
    seen = {path.stem}
    for file in files:  # grows while it is walked: imports of imports
        for wanted in file.imports:
            grammar = wanted.rule.rpartition(".")[0]
            if not re.fullmatch(r"[\w-]+(\.[\w-]+)*", grammar):
                problem = f"<{wanted.rule}> cannot be imported; write <grammar.rule> or <grammar.*>"
                raise JsgfError(file.source, wanted.line, wanted.column, problem)
            if grammar not in seen:
                seen.add(grammar)
                beside = path.with_name(f"{grammar}.jsgf")
                opened = _opened(beside, file.source, wanted.line, wanted.column)
                files.append(replace(opened, name=grammar))
    return _joined(files, fills or {})


def _opened(path: Path, source: str, line: int, column: int) -> _File:
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        problem = f"{path} cannot be read ({error.strerror}); put the grammar there"
        raise JsgfError(source, line, column, problem) from error
    except UnicodeDecodeError as error:
        raise JsgfError(str(path), 0, 0, "not UTF-8 text; save the file as UTF-8") from error
    return _read(text, str(path))


def _read(text: str, source: str) -> _File:
    try:
        tree = _syntax().parse(text)
    except UnexpectedInput as error:
        raise _explained(error, source, text) from error
    try:
        file: _File = _Reader(source).transform(tree)
    except VisitError as error:
        raise error.orig_exc from None
    return file


def _explained(error: UnexpectedInput, source: str, text: str) -> JsgfError:
    """The parser's complaint, turned into what a person should write."""
    lines = text.rstrip().splitlines() or [""]
    line, column = error.line, error.column
    if not text.lstrip("\ufeff \t\r\n").startswith("#JSGF"):
        return JsgfError(source, 1, 1, "not a JSGF file; begin it with `#JSGF V1.0;`")
    if isinstance(error, UnexpectedEOF) or (
        isinstance(error, UnexpectedToken) and error.token.type == "$END"
    ):
        problem = "the file ends inside a definition; close it with `;`"
        return JsgfError(source, len(lines), len(lines[-1]) + 1, problem)
    if isinstance(error, UnexpectedCharacters):
        sign = error.char
        ends = {'"': "this quotation", "{": "this tag", "/": "this weight or comment"}
        if sign in ends:
            problem = f"{ends[sign]} is not closed"
        else:
            problem = f"`{sign}` cannot stand here; quote a word that needs it"
        return JsgfError(source, line, column, problem)
    found = error.token if isinstance(error, UnexpectedToken) else ""
    if found == "=":
        problem = "`=` inside a definition; the one before it is not closed with `;`"
    elif found == ";" and text[: error.pos_in_stream].rstrip()[-1:] in "=|([":
        problem = "`;` where something to say is missing; write <NULL> for nothing to say"
    else:
        problem = f"`{found}` cannot stand here; look for a `;`, `)` or `]` missing before it"
    return JsgfError(source, line, column, problem)


@v_args(inline=True)
class _Reader(Transformer[Lexeme, Any]):
    """Builds the tree of facts from the parser's tree."""

    def __init__(self, source: str) -> None:
        super().__init__()
        self.source = source

    def start(self, _header: None, name: str, *parts: Reference | Rule) -> _File:
        imports = tuple(part for part in parts if isinstance(part, Reference))
        rules = tuple(part for part in parts if isinstance(part, Rule))
        return _File(name, self.source, imports, rules)

    def header(self, text: Lexeme) -> None:
        if not re.match(r"#JSGF\s+[Vv]1\.0\b", text):
            problem = "only version 1.0 is understood; write `#JSGF V1.0;`"
            raise JsgfError(self.source, text.line or 1, text.column or 1, problem)

    def declaration(self, name: Lexeme) -> str:
        return str(name)

    def import_line(self, name: Lexeme) -> Reference:
        return _reference(name)

    def rule(self, public: Lexeme | None, name: Lexeme, expansion: Expansion) -> Rule:
        at = _reference(name)
        if "." in at.rule or at.rule in {"NULL", "VOID"}:
            problem = f"<{at.rule}> cannot be defined; take another name, without dots"
            raise JsgfError(self.source, at.line, at.column, problem)
        return Rule(at.rule, expansion, public is not None, self.source, at.line)

    def choice(self, *branches: tuple[float | None, Expansion]) -> Expansion:
        if len(branches) == 1 and branches[0][0] is None:
            return branches[0][1]
        weights = tuple(1.0 if weight is None else weight for weight, _ in branches)
        weighted = any(weight is not None for weight, _ in branches)
        return Choice(tuple(item for _, item in branches), weights if weighted else ())

    def branch(self, weight: Lexeme | None, *items: Expansion) -> tuple[float | None, Expansion]:
        value = None
        if weight is not None:
            inner = weight[1:-1].strip()
            if not re.fullmatch(r"\d+(\.\d*)?([eE][-+]?\d+)?|\.\d+", inner):
                problem = f"`{weight}` is no weight; write a number that is at least 0, like /0.5/"
                raise JsgfError(self.source, weight.line or 0, weight.column or 0, problem)
            value = float(inner)
        return value, items[0] if len(items) == 1 else Series(items)

    def any_number(self, item: Expansion) -> Expansion:
        return Repeat(item, 0, endless=True)

    def some_number(self, item: Expansion) -> Expansion:
        return Repeat(item, 1, endless=True)

    def optional(self, item: Expansion) -> Expansion:
        return Repeat(item, 0, endless=False)

    def tagged(self, item: Expansion, tag: Lexeme) -> Expansion:
        return Tagged(item, re.sub(r"\\(.)", r"\1", tag[1:-1], flags=re.DOTALL).strip())

    def word(self, text: Lexeme) -> Expansion:
        return Token(str(text))

    def quoted(self, text: Lexeme) -> Expansion:
        return Token(" ".join(re.sub(r"\\(.)", r"\1", text[1:-1]).split()))

    def reference(self, name: Lexeme) -> Expansion:
        at = _reference(name)
        reserved: dict[str, Expansion] = {"NULL": NULL, "VOID": VOID}
        return reserved.get(at.rule, at)


def _reference(name: Lexeme) -> Reference:
    return Reference(name[1:-1], name.line or 0, name.column or 0)


def _joined(files: list[_File], fills: Mapping[str, Sequence[str]]) -> Grammar:
    """All files' rules under keys of their own, every reference pointing at a key."""
    top = files[0]
    defined: dict[str, dict[str, Rule]] = {}
    for file in files:
        own: dict[str, Rule] = {}
        for rule in file.rules:
            if rule.name in own:
                problem = (
                    f"<{rule.name}> is defined a second time (first in line "
                    f"{own[rule.name].line}); rename or delete one"
                )
                raise JsgfError(file.source, rule.line, 1, problem)
            own[rule.name] = rule
        defined[file.name] = own
    for name, phrases in fills.items():
        if name not in defined[top.name]:
            problem = f"<{name}> is to be filled but is not defined here; add `<{name}> = <VOID>;`"
            raise JsgfError(top.source, 0, 0, problem)
        old = defined[top.name][name]
        defined[top.name][name] = replace(old, expansion=_filled(phrases))
    rules: dict[str, Rule] = {}
    for file in files:
        resolve = _resolver(file, top, defined)
        for rule in defined[file.name].values():
            key = rule.name if file is top else f"{file.name}.{rule.name}"
            expansion = _renamed(rule.expansion, resolve)
            rules[key] = replace(
                rule, name=key, expansion=expansion, public=rule.public and file is top
            )
    if not any(rule.public for rule in rules.values()):
        problem = "no rule is public, so nothing may be said; write `public` before one"
        raise JsgfError(top.source, 0, 0, problem)
    _refuse_recursion(rules)
    return Grammar(top.name, top.source, rules)


def _filled(phrases: Sequence[str]) -> Expansion:
    return Choice(tuple(Series(tuple(map(Token, phrase.split()))) for phrase in phrases))


def _resolver(
    file: _File, top: _File, defined: Mapping[str, Mapping[str, Rule]]
) -> Callable[[Reference], str]:
    """How one file's references find their rules: its own first, then its imports."""
    visible = {name: (file.name, name) for name in defined[file.name]}
    visible |= {f"{file.name}.{name}": place for name, place in visible.items()}
    for wanted in file.imports:
        grammar, _, name = wanted.rule.rpartition(".")
        public = [rule.name for rule in defined[grammar].values() if rule.public]
        if name != "*" and name not in public:
            known = ", ".join(f"<{grammar}.{rule}>" for rule in public) or "none"
            problem = f"<{wanted.rule}> is no public rule of {grammar}.jsgf; it has {known}"
            raise JsgfError(file.source, wanted.line, wanted.column, problem)
        for rule in public if name == "*" else [name]:
            visible.setdefault(rule, (grammar, rule))
            visible.setdefault(f"{grammar}.{rule}", (grammar, rule))
            # JSGF also lets a rule be named by its grammar without the package.
            visible.setdefault(f"{grammar.rpartition('.')[2]}.{rule}", (grammar, rule))

    def resolve(at: Reference) -> str:
        if at.rule not in visible:
            problem = f"<{at.rule}> is not defined; define it or import it"
            raise JsgfError(file.source, at.line, at.column, problem)
        grammar, name = visible[at.rule]
        return name if grammar == top.name else f"{grammar}.{name}"

    return resolve


def _renamed(expansion: Expansion, resolve: Callable[[Reference], str]) -> Expansion:
    match expansion:
        case Reference():
            return replace(expansion, rule=resolve(expansion))
        case Series(items) | Choice(items):
            return replace(expansion, items=tuple(_renamed(item, resolve) for item in items))
        case Repeat(item) | Tagged(item):
            return replace(expansion, item=_renamed(item, resolve))
        case Token():
            return expansion


def _references(expansion: Expansion) -> Iterator[Reference]:
    match expansion:
        case Reference():
            yield expansion
        case Series(items) | Choice(items):
            for item in items:
                yield from _references(item)
        case Repeat(item) | Tagged(item):
            yield from _references(item)


def _refuse_recursion(rules: Mapping[str, Rule]) -> None:
    done: set[str] = set()

    def visit(name: str, above: tuple[str, ...]) -> None:
        for at in _references(rules[name].expansion):
            if at.rule in (*above, name):
                problem = f"<{at.rule}> leads back to itself; say repetition with `*` or `+`"
                raise JsgfError(rules[name].source, at.line, at.column, problem)
            if at.rule not in done:
                visit(at.rule, (*above, name))
        done.add(name)

    for name in rules:
        if name not in done:
            visit(name, ())

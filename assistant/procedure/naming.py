"""The names of a sheet: what is called aloud means one thing only, and can be said.

Three kinds of names are heard: of tracks ("switch to the shaft"), of what is counted
("missing part light cap"), and of the device itself ("this is the grasper").
"""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING

import yaml

from assistant.procedure.fields import twice
from assistant.shipped import folder

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from assistant.procedure.fields import Fields
    from assistant.procedure.finding import Findings, Mark

_QUOTED = re.compile(r'"([^"{}]+)"')


def check(
    sheet: Fields,
    baths: Sequence[Fields],
    parts: Sequence[Fields],
    intake: str,
    language: str,
    findings: Findings,
) -> None:
    """Notes the names that cannot be said, and those that could mean two things.

    Args:
        sheet: the outermost block.
        baths: its baths.
        parts: its components.
        intake: the name of the track that is made for the intake; "" where unknown.
        language: BCP 47 tag of the sheet.
        findings: told what is wrong.
    """
    called = [pair for block in (*baths, *parts) for pair in _names(block)]
    heard = [pair for block in (*baths, *parts) for pair in (*_names(block), *_counted(block))]
    device = [(sheet.text("title").casefold(), sheet.mark_of("title")), *_also(sheet)]
    for name, mark in heard:
        _sayable(name, mark, str.isalpha, "words of letters only", findings)
    for name, mark in device:
        _sayable(name, mark, _letters, "words of letters and hyphens only", findings)
    for name, mark in called:
        if name == intake.casefold():
            findings.add(mark, f'"{name}" is the name of the intake', "choose another name")
        if name in _commands(language):
            findings.add(mark, f'"{name}" is said for something else', "choose another name")
    unique("spoken name", heard, findings)
    unique("name of the device", device, findings)
    if len(parts) > 1:
        names = {name for name, _ in called}
        for name, mark in device:
            if name in names:
                findings.add(
                    mark,
                    f'"{name}" is the name of a part of it too',
                    "choose a name that means the whole device",
                )


def unique(what: str, items: Iterable[tuple[str, Mark]], findings: Findings) -> None:
    """Notes each item that was there before; "" does not count."""
    first: dict[str, Mark] = {}
    for item, mark in items:
        before = first.setdefault(item, mark)
        if item and before != mark:
            findings.add(
                mark,
                f'the {what} "{item}" stands {twice(before, mark)}',
                "change one of the two",
            )


def _names(block: Fields) -> list[tuple[str, Mark]]:
    """What a bath or a component is called, in small letters, with the places."""
    return [(block.text("name").casefold(), block.mark_of("name")), *_also(block)]


def _counted(block: Fields) -> list[tuple[str, Mark]]:
    """What is counted with a component, in small letters, with the places."""
    return [(text.casefold(), mark) for text, mark in block.texts("adapters")]


def _also(block: Fields) -> list[tuple[str, Mark]]:
    return [(text.casefold(), mark) for text, mark in block.texts("also")]


def _letters(word: str) -> bool:
    """Whether a word is letters, with a hyphen between some of them."""
    return all(piece.isalpha() for piece in word.split("-"))


def _sayable(
    name: str, mark: Mark, good: Callable[[str], bool], written: str, findings: Findings
) -> None:
    if not all(good(word) for word in name.split()):
        findings.add(
            mark, f'the name "{name}" cannot be said', f"write {written}, as they are spoken"
        )


@cache
def _commands(language: str) -> frozenset[str]:
    """The commands that are said as they stand, in small letters; none where unknown."""
    path = folder("grammars") / language.partition("-")[0] / "prompts.yaml"
    if not path.is_file():
        return frozenset()
    loaded = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - it makes text only
    phrases = " ".join(map(str, loaded["phrases"].values()))
    return frozenset(phrase.casefold() for phrase in _QUOTED.findall(phrases))

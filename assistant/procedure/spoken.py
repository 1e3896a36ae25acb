"""The spoken texts of a sheet: every sign of them has words, and cues stay short.

A sign that the voice has no words for ends a session, and one that it leaves out can
turn a caution into its opposite; both are mistakes of the sheet.
"""

from __future__ import annotations

import re
import unicodedata
from typing import TYPE_CHECKING

from assistant.procedure.fields import MOST_SIGNS
from assistant.procedure.yaml_nodes import Mapping, Scalar, Sequence
from assistant.speaking.wording import UnspeakableError, spoken

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.finding import Findings
    from assistant.procedure.yaml_nodes import Node

# Cues and names are heard in lists of several; how many signs is our own choice, no source.
_MOST = {"short": 80, "name": 40, "also": 40, "adapters": 40}
_NAMES = frozenset({"name", "title", "also", "adapters"})
_FILLED = frozenset({"say", "short", "cautions", "ask", "if_not"})
_KEYS = (
    _FILLED
    | _MOST.keys()
    | {
        "title",
        "revision",
        "notice",
        "hazards",
        "protective_equipment",
        "detergent",
        "onward",
        "delayed",
        "of",
    }
)
_WORD = re.compile(r"[^\W\d_]+")
# Alphabets with letters that look like Latin ones; units have their Greek letters.
_ALIKE = re.compile(r"(CYRILLIC|GREEK|ARMENIAN|CHEROKEE) (?!.* (MU|OMEGA)$)")
_PLACEHOLDER = re.compile(r"\{[^{}]*\}")
_MICRO = "\u00b5"  # normalized to the Greek letter, which is said alike


def check(root: Node, language: str, findings: Findings) -> None:
    """Notes what cannot be said, at its text.

    Args:
        root: the sheet's outermost node.
        language: BCP 47 tag of the texts.
        findings: told what is wrong.

    Raises:
        SpeechDataError: the language has no speech data.
    """
    waiting: list[Node] = [root]
    while waiting:
        node = waiting.pop()
        if isinstance(node, Mapping):
            for key, value in node.pairs:
                name = key.text if isinstance(key, Scalar) else ""
                for scalar in _texts(value) if name in _KEYS else ():
                    _text(name, scalar, language, findings)
                waiting.append(value)
        elif isinstance(node, Sequence):
            waiting.extend(node.items)


def _foreign(word: str) -> str:
    """The letter of a word in Latin letters that only looks like one of them; "" where none is."""
    latin = any("LATIN" in unicodedata.name(sign, "") for sign in word)
    return next((s for s in word if latin and _ALIKE.match(unicodedata.name(s, ""))), "")


def _texts(node: Node) -> Iterator[Scalar]:
    for item in node.items if isinstance(node, Sequence) else (node,):
        if isinstance(item, Scalar):
            yield item


def _text(key: str, scalar: Scalar, language: str, findings: Findings) -> None:
    text = " ".join(scalar.text.split())
    most = _MOST.get(key, MOST_SIGNS)
    if len(text) > most:
        # What is longer than any text may be was told when it was read.
        if most < len(text) <= MOST_SIGNS:
            findings.add(
                scalar.mark,
                f'"{key}" has {len(text)} signs, too many for a list',
                f"say it in at most {most}",
            )
        return
    if key not in _FILLED and set(text) & set("{}"):
        findings.add(
            scalar.mark, f'no placeholder is filled in "{key}"', "write the figure, or leave it out"
        )
    for sign in text:
        plain = unicodedata.normalize("NFKC", sign)
        if sign.isalpha() and sign not in {plain, _MICRO}:
            findings.add(
                scalar.mark,
                f'"{sign}" ({unicodedata.name(sign, "a letter").lower()}) in "{key}" '
                "is no plain letter",
                f'write "{plain}"',
            )
            return
    for word in _WORD.findall(text):
        if foreign := _foreign(word):
            findings.add(
                scalar.mark,
                f'"{word}" mixes two alphabets: "{foreign}" is the '
                f"{unicodedata.name(foreign).lower()}",
                "write the word anew, in one alphabet",
            )
            return
    if key in _NAMES:
        return  # ``naming`` has told what of it is no letter
    try:
        spoken(_PLACEHOLDER.sub(" ", text), language.partition("-")[0])
    except UnspeakableError as error:
        name = unicodedata.name(error.symbol, f"U+{ord(error.symbol):04X}").lower()
        findings.add(
            scalar.mark,
            f'"{error.symbol}" ({name}) in "{key}" cannot be said',
            "write it in words",
        )

"""How one language says what is written: units, signs and short forms, from its data files."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any

from assistant.shipped import folder
from assistant.speaking.number_words import cardinal

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


class SpeechDataError(Exception):
    """A language's speech data cannot be used; the message says which file and why."""


@dataclass(frozen=True, slots=True, eq=False)
class Speech:
    """The words of one language for what is written.

    Attributes:
        language: BCP 47 tag.
        voice: id of the voice that speaks it by default.
        units: (one, several) by symbol.
        units_alone: symbols that are units also where no number stands before them.
        before_number: words of signs that mean this only before a number.
        signs: words of signs that mean this everywhere.
        fractions: words of common fractions.
        words: words of short forms.
        code_signs: words of the signs inside a spelled lot.
        letters: spelling word of each letter.
        digits: word of each digit.
        months: names, January first.
        ordinal_endings: what follows a number that counts a place ("th").
        single: the other words, by what they say: per, range, ratio, fraction, and,
            minus, plus, point, hundred, oh.
    """

    language: str
    voice: str
    units: Mapping[str, tuple[str, str]]
    units_alone: frozenset[str]
    before_number: Mapping[str, str]
    signs: Mapping[str, str]
    fractions: Mapping[str, str]
    words: Mapping[str, str]
    code_signs: Mapping[str, str]
    letters: Mapping[str, str]
    digits: Mapping[str, str]
    months: tuple[str, ...]
    ordinal_endings: tuple[str, ...]
    single: Mapping[str, str]


_SINGLE = ("per", "range", "ratio", "fraction", "and", "minus", "plus", "hundred", "oh")


@cache
def load(language: str) -> Speech:
    """The shipped speech data of a language, read once.

    Raises:
        SpeechDataError: there is none, or a file of it cannot be used.
    """
    root = folder("grammars") / language
    path = root / "speech.yaml"
    data, words = _mapping(path), _mapping(root / "words.yaml")
    try:
        units = {symbol: (one, several) for symbol, (one, several) in data["units"].items()}
        return Speech(
            language=language,
            voice=data["voice"],
            units=units | {_greek(symbol): names for symbol, names in units.items()},
            units_alone=frozenset(data["units_alone"]) | set(map(_greek, data["units_alone"])),
            before_number=data["before_number"],
            signs=data["signs"],
            fractions=data["fractions"],
            words=data["words"]
            | {key[0].upper() + key[1:]: said for key, said in data["words"].items()},
            code_signs=data["code_signs"],
            letters={sign: word for word, sign in words["signs"].items() if sign.isalpha()},
            digits={digit: cardinal(digit, language) for digit in "0123456789"},
            months=tuple(data["months"]),
            ordinal_endings=tuple(data["ordinal_endings"]),
            single={name: data[name] for name in _SINGLE} | {"point": words["point"]},
        )
    except (KeyError, TypeError, ValueError, AttributeError) as error:
        raise SpeechDataError(
            f"{path} does not say everything that speech needs: {error}"
        ) from error


def _greek(symbol: str) -> str:
    """The symbol with the Greek letter mu in place of the micro sign, which looks the same."""
    return symbol.replace("\u00b5", "\u03bc")


def _mapping(path: Path) -> dict[str, Any]:
    import yaml  # noqa: PLC0415 - only who speaks pays for the library

    try:
        # The base loader keeps every scalar as text: "no" stays a word.
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise SpeechDataError(f"{path} cannot be read: {error}") from error
    if not isinstance(data, dict):
        raise SpeechDataError(f"{path} must hold keys and values")
    return data

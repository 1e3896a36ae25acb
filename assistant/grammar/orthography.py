"""How a language's words may be written: number words, spellings, signs, as plain data."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path


class OrthographyError(Exception):
    """A words file that cannot be used; the message says where and what to write."""


@dataclass(frozen=True, slots=True)
class Orthography:
    """The written forms of one language's words.

    Attributes:
        numbers: number words and their values, 0 to 19 and the tens up to 90.
        scales: words that multiply what stands before them, and by what power of ten.
        joiners: words that may stand inside a number without a value ("and").
        point: the word for the decimal point; "" where the language has none here.
        spellings: for a word, other ways to write the same sound.
    """

    numbers: Mapping[str, int] = field(default_factory=dict)
    scales: Mapping[str, int] = field(default_factory=dict)
    joiners: frozenset[str] = frozenset()
    point: str = ""
    spellings: Mapping[str, tuple[str, ...]] = field(default_factory=dict)

    def written(self, word: str) -> tuple[str, ...]:
        """Every way to write the word, in small letters, its own first."""
        forms = (word, *self.spellings.get(word, ()))
        return tuple(dict.fromkeys(form.lower() for form in forms))


def read(path: Path) -> Orthography:
    """The orthography in a YAML file such as grammars/en/words.yaml.

    Raises:
        OrthographyError: the file cannot be read, or a value is not what it must be.
    """
    import yaml  # noqa: PLC0415 - only who reads a file pays for the library

    try:
        text = path.read_text(encoding="utf-8")
        # The base loader keeps every scalar as text: "no" stays a word.
        data = yaml.load(text, Loader=yaml.BaseLoader) or {}  # noqa: S506 - it makes text only
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise OrthographyError(f"{path}: cannot be read as YAML text ({error})") from error
    if not isinstance(data, dict):
        raise OrthographyError(f"{path}: must be keys and values, such as `numbers:`")
    numbers = {word: _value(path, word, value) for word, value in _table(path, data, "numbers")}
    scales = {word: _value(path, word, value) for word, value in _table(path, data, "scales")}
    for word, value in numbers.items():
        if not (value < 20 or (value < 100 and value % 10 == 0)):  # noqa: PLR2004
            raise OrthographyError(f"{path}: `{word}: {value}` must be 0 to 19, or 20, 30 to 90")
    for word, value in scales.items():
        if value not in _POWERS:
            raise OrthographyError(f"{path}: scale `{word}: {value}` must be 100 or 1000")
    spellings = {}
    for word, forms in _table(path, data, "spellings"):
        if not isinstance(forms, list) or not all(isinstance(form, str) and form for form in forms):
            raise OrthographyError(f"{path}: spellings of `{word}` must be a list, like [{word}s]")
        spellings[word] = tuple(forms)
    return Orthography(
        numbers=numbers,
        scales={word: _POWERS[value] for word, value in scales.items()},
        joiners=frozenset(data.get("joiners") or ()),
        point=data.get("point") or "",
        spellings=spellings,
    )


_POWERS = {100: 2, 1000: 3}


def _table(path: Path, data: Mapping[str, object], key: str) -> list[tuple[str, object]]:
    table = data.get(key) or {}
    if not isinstance(table, dict):
        raise OrthographyError(f"{path}: `{key}` must be words and their values")
    return list(table.items())


def _value(path: Path, word: str, value: object) -> int:
    if not isinstance(value, str) or not value.isascii() or not value.isdigit():
        raise OrthographyError(f"{path}: `{word}: {value}` must be a whole number")
    return int(value)

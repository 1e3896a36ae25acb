"""Number words of a language, by the Unicode rules for spelled-out numbers (CLDR RBNF)."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from unicode_rbnf import RbnfEngine
    from unicode_rbnf.engine import FormatPurpose

# The rules end at 999 quadrillion; longer numbers are no measures anyway.
_MOST_DIGITS = 15


@cache
def _engine(language: str) -> RbnfEngine:
    from unicode_rbnf import RbnfEngine  # noqa: PLC0415 - 60 ms, for those who speak

    return RbnfEngine.for_language(language.partition("-")[0])


@lru_cache(maxsize=4096)
def cardinal(number: str, language: str) -> str:
    """A number in words: "98.60" is "ninety eight point six zero".

    A number that begins with a needless zero, or is too long to be a measure, is
    a code and is said digit by digit.

    Args:
        number: digits with at most one point, which may come first.
        language: BCP 47 tag.

    Raises:
        ValueError: there are no rules for the language.
    """
    whole, point, decimals = number.partition(".")
    if len(whole) > _MOST_DIGITS or (len(whole) > 1 and whole.startswith("0")):
        said = [cardinal(digit, language) for digit in whole]
    else:
        said = [_plain(_engine(language).format_number(whole or "0").text)]
    if point:
        # Not left to the rules: they drop the zero of "3.0", which a limit needs.
        _, point_word, _ = _engine(language).format_number("0.1").text.split()
        said += [point_word, *(cardinal(digit, language) for digit in decimals)]
    return " ".join(said)


def ordinal(number: int, language: str) -> str:
    """The place of that number: 21 is "twenty first"."""
    return _plain(_purpose(number, language, "ORDINAL"))


def year(number: int, language: str) -> str:
    """A year of the calendar: 2026 is "twenty twenty six"."""
    return _plain(_purpose(number, language, "YEAR"))


def _purpose(number: int, language: str, name: str) -> str:
    from unicode_rbnf.engine import FormatPurpose  # noqa: PLC0415 - as above

    purpose: FormatPurpose = FormatPurpose[name]
    return _engine(language).format_number(number, purpose=purpose).text


def _plain(words: str) -> str:
    # The rules join compounds with hyphens and, in some languages, soft hyphens.
    return words.replace("-", " ").replace("\u00ad", "")

"""From written text to words alone: what a voice engine may be given.

Engines lose the dash of a range ("five ten min"), swallow "<", take "[[...]]" for phonemes
and markup for commands.  So nothing but words, apostrophes and stops leaves here;
a sign that has no words is an error, never a silence, because a caution that loses
its "not above" turns into its opposite.

Text is read from left to right; at each place the first reading that fits is taken.
Two readings are conventions of this program: a time of day has two digits before
its colon ("09:05"), every other "1:200" is a ratio; a number that begins with a
needless zero is said digit by digit.
"""

from __future__ import annotations

import re
import unicodedata
from functools import cache
from typing import TYPE_CHECKING

from assistant.speaking import number_words
from assistant.speaking.speech import Speech, load

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    # What a match says after the words so far; None: it is not to be read so here.
    Reading = Callable[[re.Match[str], Speech, list[str]], str | None]

NUMBER = r"(?:(?:[0-9]{1,3}(?:,[0-9]{3})+(?![0-9])|[0-9]+)(?:\.[0-9]+)?|\.[0-9]+)"
DASHES = "-\u2013\u2014\u2212"  # hyphen, en dash, em dash, minus sign
MINUSES = "-\u2013\u2212"
APOSTROPHES = "'\u2019"
STOPS = ",.?!"
_SENTENCE_ENDS = frozenset(".?!")
# Signs that are a short pause when read aloud: middle dot, bullet and ellipsis among them.
_PAUSES = frozenset(",;:()[]{}\u00b7\u2022\u2026" + DASHES)
# Quotation marks of every kind, and the soft hyphen.
_SILENT = frozenset("\"'\u00ab\u00bb\u2018\u2019\u201c\u201d\u201e\u00ad")


class UnspeakableError(Exception):
    """A sign that has no words.

    Attributes:
        symbol: the sign.
        text: all of the text.
        position: where the sign stands in it, from 0.
    """

    def __init__(self, symbol: str, text: str, position: int) -> None:
        name = unicodedata.name(symbol, f"U+{ord(symbol):04X}").lower()
        super().__init__(
            f'"{symbol}" ({name}), sign {position + 1} of "{text}", cannot be said; '
            "write it in words, or give it words in the language's speech.yaml"
        )
        self.symbol = symbol
        self.text = text
        self.position = position


def spoken(text: str, language: str = "en") -> str:
    """The words of a text, with stops; letters, spaces, apostrophes and ``,.?!`` only.

    Raises:
        UnspeakableError: a sign has no words.
        SpeechDataError: the language has no speech data.
    """
    text = unicodedata.normalize("NFC", text)
    speech = load(language)
    said: list[str] = []
    place = 0
    while place < len(text):
        for pattern, reading in _readings(language):
            match = pattern.match(text, place)
            words = reading(match, speech, said) if match else None
            if match and words is not None:
                said.extend(words.split())
                place = match.end()
                break
        else:
            raise UnspeakableError(text[place], text, place)
    return _sentence(said)


def digits(number: str, language: str = "en") -> str:
    """A number digit by digit, for reading back: "98.6" is "nine eight point six".

    Args:
        number: digits with at most one point, a sign before them at most.
        language: BCP 47 tag.

    Raises:
        UnspeakableError: it holds anything else.
    """
    speech = load(language)
    names = {**speech.digits, ".": speech.single["point"]}
    signs = dict.fromkeys(MINUSES, "minus") | {"+": "plus"}
    said = []
    for position, sign in enumerate(number):
        if position == 0 and sign in signs:
            said.append(speech.single[signs[sign]])
        elif sign in names and number.find(".") in {-1, position, number.rfind(".")}:
            said.append(names[sign])
        else:
            raise UnspeakableError(sign, number, position)
    return " ".join(said)


def spelled(code: str, language: str = "en") -> str:
    """A lot or other code sign by sign, letters in the radiotelephony alphabet.

    ICAO Annex 10; ITU Radio Regulations, Appendix 14: "A7" is "alfa seven".

    Raises:
        UnspeakableError: a sign has no spelling word.
    """
    speech = load(language)
    names = {**speech.letters, **speech.digits, **speech.code_signs}
    said = []
    for position, sign in enumerate(code.upper()):
        if sign in names:
            said.append(names[sign])
        elif not sign.isspace():
            raise UnspeakableError(sign, code.upper(), position)
    return " ".join(said)


def _sentence(said: Iterable[str]) -> str:
    """Words and stops as one text: no stop first, of several the one that ends a sentence."""
    text: list[str] = []
    for token in said:
        if token not in STOPS:
            text.append(token)
        elif text and text[-1][-1] not in STOPS:
            text[-1] += token
        elif text and text[-1][-1] == ",":
            text[-1] = text[-1][:-1] + token
    return " ".join(text).removesuffix(",")


@cache
def _readings(language: str) -> tuple[tuple[re.Pattern[str], Reading], ...]:
    """The readings of a language, in the order in which they are tried."""
    speech = load(language)
    unit = rf"(?:{_any(speech.units)})(?:/(?:{_any(speech.units)}))?"
    fraction = rf"{_any(speech.fractions)}|[0-9]+/[0-9]+"
    second = r"(?::(?P<second>[0-5][0-9]))?"
    from_a = rf"(?P<a>{NUMBER})(?:\s?(?P<a_unit>{unit}))?"
    to_b = rf"(?P<sign>[{MINUSES}])?(?P<b>{NUMBER})(?:\s?(?P<b_unit>{unit}))?"
    whole = r"(?:(?P<whole>[0-9]+)(?:\s+|(?=[^\W\d])))?"
    patterns: tuple[tuple[str, Reading], ...] = (
        (r"\s+", _space),
        (rf"(?<!\w)(?P<word>{_any(speech.words)})", _short_form),
        (r"(?P<year>[0-9]{4})-(?P<month>[0-9]{2})-(?P<day>[0-9]{2})(?![\w-])", _date),
        (rf"(?P<hour>[01][0-9]|2[0-3]):(?P<minute>[0-5][0-9]){second}(?![\w:])", _clock),
        (rf"(?P<number>[0-9]+)(?:{_any(speech.ordinal_endings)})(?!\w)", _ordinal),
        (r"[0-9]+(?:\.[0-9]+){2,}(?!\w)", _dotted),
        (r"[0-9]+(?:-[0-9]+){2,}(?!\w)|[A-Z]{1,4}(?:-[A-Z0-9]+)*-[0-9][A-Z0-9]*(?!\w)", _code),
        (rf"{from_a}\s?[{DASHES}]\s?{to_b}(?!\w)", _range),
        (rf"(?P<a>{NUMBER}):(?P<b>{NUMBER})(?![\w:])", _ratio),
        (rf"{whole}(?P<part>{fraction})(?:\s?(?P<unit>{unit}))?(?![\w/])", _fraction),
        (rf"(?P<number>{NUMBER})-(?:(?P<unit>{unit})(?!\w)|(?=[^\W\d_]{{2}}))", _attribute),
        (rf"(?P<number>{NUMBER})(?:\s?(?P<unit>{unit}))?(?!\w)", _quantity),
        (rf"(?P<sign>{_any(speech.before_number)})\s?(?=\.?[0-9])", _before_number),
        (rf"(?<![\w)])(?P<sign>[{MINUSES}+])(?=\.?[0-9])", _sign),
        (rf"(?<!\w)(?P<unit>{unit})(?!\w)", _unit),
        (r"(?=[^\W_]*[0-9])[A-Za-z0-9]+(?!\w)", _code),
        (rf"[^\W\d_]+(?:[{APOSTROPHES}][^\W\d_]+)*", _word),
        (_any(speech.signs), _everywhere),
        (r"[^\w\s]", _stop),
    )
    return tuple((re.compile(pattern), reading) for pattern, reading in patterns)


def _any(texts: Iterable[str]) -> str:
    """An alternation of texts, the longest first, so that "mL" is not read as "m"."""
    escaped = (re.escape(text).replace(r"\ ", r"\s") for text in texts)
    return "|".join(sorted(escaped, key=len, reverse=True))


def _amount(number: str, speech: Speech) -> str:
    return number_words.cardinal(number.replace(",", ""), speech.language)


def _named(unit: str, speech: Speech, *, one: bool) -> str:
    """A unit's name: "mL/L" is "milliliters per liter"."""
    above, _, below = " ".join(unit.split()).partition("/")
    name = speech.units[above][0 if one else 1]
    return f"{name} {speech.single['per']} {speech.units[below][0]}" if below else name


def _with_unit(words: str, number: str, unit: str | None, speech: Speech) -> str:
    return f"{words} {_named(unit, speech, one=number == '1')}" if unit else words


def _space(match: re.Match[str], _: Speech, said: list[str]) -> str:
    """Nothing, except that the end of a line ends a sentence."""
    return "." if "\n" in match[0] and said else ""


def _short_form(match: re.Match[str], speech: Speech, _: list[str]) -> str | None:
    word, after = match["word"], match.string[match.end() : match.end() + 1]
    return None if word[-1].isalpha() and after.isalnum() else speech.words[word]


def _date(match: re.Match[str], speech: Speech, _: list[str]) -> str | None:
    month, day = int(match["month"]), int(match["day"])
    if not (1 <= month <= len(speech.months) and 1 <= day <= 31):  # noqa: PLR2004 - days of a month
        return None
    place = number_words.ordinal(day, speech.language)
    year = number_words.year(int(match["year"]), speech.language)
    return f"{speech.months[month - 1]} {place} , {year}"


def _clock(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    hour, minute, second = (int(part or 0) for part in match.groups())
    said = [_amount(str(hour), speech)]
    if minute == 0:
        said.append(speech.single["hundred"])
    else:
        if minute < 10:  # noqa: PLR2004 - one digit
            said.append(speech.single["oh"])
        said.append(_amount(str(minute), speech))
    if match["second"]:
        words = _with_unit(_amount(str(second), speech), str(second), "s", speech)
        said += [speech.single["and"], words]
    return " ".join(said)


def _ordinal(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    return number_words.ordinal(int(match["number"]), speech.language)


def _dotted(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    """A version such as 1.10.2, which is no decimal number."""
    point = f" {speech.single['point']} "
    return point.join(_amount(part, speech) for part in match[0].split("."))


def _range(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    first = _with_unit(_amount(match["a"], speech), match["a"], match["a_unit"], speech)
    minus = f"{speech.single['minus']} " if match["sign"] else ""
    last = _with_unit(_amount(match["b"], speech), match["b"], match["b_unit"], speech)
    return f"{first} {speech.single['range']} {minus}{last}"


def _ratio(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    return f"{_amount(match['a'], speech)} {speech.single['ratio']} {_amount(match['b'], speech)}"


def _fraction(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    part = speech.fractions.get(match["part"])
    if part is None:
        above, below = match["part"].split("/")
        over = speech.single["fraction"]
        part = f"{_amount(above, speech)} {over} {_amount(below, speech)}"
    if match["whole"] is None:
        return _with_unit(part, "1", match["unit"], speech)
    whole = f"{_amount(match['whole'], speech)} {speech.single['and']} {part}"
    return _with_unit(whole, "", match["unit"], speech)


def _attribute(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    """The number of "2-mm brush" and "8-ounce bottle": the unit stays in the singular."""
    return _with_unit(_amount(match["number"], speech), "1", match["unit"], speech)


def _quantity(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    return _with_unit(_amount(match["number"], speech), match["number"], match["unit"], speech)


def _before_number(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    return speech.before_number[match["sign"]]


def _everywhere(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    return speech.signs[match[0]]


def _sign(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    return speech.single["plus" if match["sign"] == "+" else "minus"]


def _unit(match: re.Match[str], speech: Speech, said: list[str]) -> str | None:
    """A unit without a number in figures: by its own right, or after a number in words."""
    words = {*speech.digits.values(), speech.single["point"]}
    if said and said[-1] in speech.digits.values():
        alone = len(said) == 1 or said[-2] not in words
        return _named(match["unit"], speech, one=alone and said[-1] == speech.digits["1"])
    above = match["unit"].partition("/")[0]
    known = above in speech.units_alone or "/" in match["unit"]
    return _named(match["unit"], speech, one=False) if known else None


def _code(match: re.Match[str], speech: Speech, _: list[str]) -> str:
    """A code such as "GS1" or "A-12": digits one by one, capitals one by one."""
    runs = re.findall(r"[0-9]|[A-Z]|[a-z]+", match[0])
    return " ".join(
        speech.digits.get(run) or (run.upper() if len(run) == 1 else run) for run in runs
    )


def _word(match: re.Match[str], _: Speech, __: list[str]) -> str:
    word = match[0].replace("\u2019", "'")
    for position, sign in enumerate(word):
        if not sign.isalpha() and sign != "'":
            raise UnspeakableError(sign, match.string, match.start() + position)
    return word


def _stop(match: re.Match[str], _: Speech, __: list[str]) -> str | None:
    sign, text = match[0], match.string
    if sign in _SENTENCE_ENDS:
        return sign
    if sign == "-" and text[: match.start()][-1:].isalnum() and text[match.end() :][:1].isalnum():
        return ""
    if sign in _PAUSES:
        return ","
    return "" if sign in _SILENT else None

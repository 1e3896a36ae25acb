"""From a prompt to its line: the text that is shown and the words that are spoken."""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.session.effect import Prompt, Slot, Style
from assistant.speaking.wording import UnspeakableError, digits, spelled, spoken

if TYPE_CHECKING:
    from collections.abc import Callable

    from assistant.grammar.pack import Pack

_BEFORE_STOP = re.compile(r"\s+(?=[.,:?])")
_NO_LETTERS = re.compile(r"[^a-z]+")
_DAY = re.compile(r"\d{4}-\d{2}-\d{2}")
_SENTENCE = re.compile(r"(^|[.?!] )([a-z])(?![A-Z])")  # but "pH" stays as it is


@dataclass(frozen=True, slots=True)
class Line:
    """One prompt, ready to be shown and spoken.

    Attributes:
        prompt: what it came from.
        shown: its text.
        spoken: its words, without digits or signs.
    """

    prompt: Prompt
    shown: str
    spoken: str


def line(pack: Pack, prompt: Prompt) -> Line:
    """The prompt in the pack's language.

    Raises:
        KeyError: the pack lacks the prompt's template or phrase.
        UnspeakableError: a number to be said digit by digit is none.
    """
    template = pack.prompts[prompt.key]
    shown = {slot.name: _shown(pack, slot) for slot in prompt.slots}
    words = {slot.name: _spoken(pack, slot) for slot in prompt.slots}
    text = _tidy(template.format_map(shown))
    return Line(prompt, text, _said(_tidy(template.format_map(words)), pack.language))


def _said(text: str, language: str) -> str:
    """The words of a text; a sign without words, which only a scan brings in, by its name.

    A session that was begun must not end because of a sign on a label.
    """
    while True:
        try:
            return spoken(text, language)
        except UnspeakableError as error:
            text = error.text.replace(error.symbol, f" {_name(error.symbol)} ")


def _spelled(code: str, language: str) -> str:
    """A code sign by sign, whatever signs it has."""
    try:
        return spelled(code, language)
    except UnspeakableError as error:
        before, after = error.text[: error.position], error.text[error.position + 1 :]
        name = _name(error.symbol)
        return f"{spelled(before, language)} {name} {_spelled(after, language)}".strip()


def _name(sign: str) -> str:
    """The Unicode name of a sign, in words."""
    return _NO_LETTERS.sub(" ", unicodedata.name(sign, "sign").lower())


def _label(pack: Pack, text: str, say: Callable[[str], str]) -> str:
    """What a code says: each part by its name, days as days, all else by ``say``."""
    parts = []
    for part in text.split(", "):
        key, colon, value = part.partition(": ")
        if not colon:
            return text
        parts.append(f"{pack.names[key]}: {value if _DAY.fullmatch(value) else say(value)}")
    return ", ".join(parts)


def _shown(pack: Pack, slot: Slot) -> str:
    match slot.style:
        case Style.PHRASES:
            return _phrases(pack, slot.text)
        case Style.NAMES:
            return _names(pack, slot.text)
        case Style.LABEL:
            return _label(pack, slot.text, lambda code: code)
    return slot.text


def _spoken(pack: Pack, slot: Slot) -> str:
    match slot.style:
        case Style.DIGITS:
            return digits(slot.text, pack.language)
        case Style.SPELLED:
            return _spelled(slot.text, pack.language)
        case Style.LABEL:
            return _label(pack, slot.text, lambda code: _spelled(code, pack.language))
        case Style.PHRASES:
            return _phrases(pack, slot.text)
        case Style.NAMES:
            return _names(pack, slot.text)
        case Style.PLAIN:
            return slot.text


def _names(pack: Pack, text: str) -> str:
    """The names of keys such as "over_time|skipped", as a list in words."""
    return ", ".join(pack.names[key] for key in text.split("|"))


def _phrases(pack: Pack, text: str) -> str:
    """The phrases of verbs such as "next|switch:insert", as a list in words."""
    phrases = []
    for choice in text.split("|"):
        verb, _, component = choice.partition(":")
        phrases.append(pack.phrases[verb].format(component=component))
    *most, last = phrases
    between, before_last = pack.join
    return between.join(most) + before_last + last if most else last


def _tidy(text: str) -> str:
    """Close the gaps that empty slots leave, and begin sentences with a capital."""
    text = _BEFORE_STOP.sub("", " ".join(text.split()))
    return _SENTENCE.sub(lambda match: match[1] + match[2].upper(), text)

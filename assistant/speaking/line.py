"""From a prompt to its line: the text that is shown and the words that are spoken."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.session.effect import Prompt, Slot, Style
from assistant.speaking.wording import digits, spelled, spoken

if TYPE_CHECKING:
    from assistant.grammar.pack import Pack

_BEFORE_STOP = re.compile(r"\s+(?=[.,:?])")
_SENTENCE = re.compile(r"(^|[.?!] )([a-z])")


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
        UnspeakableError: a slot holds a sign that has no words.
    """
    template = pack.prompts[prompt.key]
    shown = {slot.name: _shown(pack, slot) for slot in prompt.slots}
    words = {slot.name: _spoken(pack, slot) for slot in prompt.slots}
    text = _tidy(template.format_map(shown))
    return Line(prompt, text, spoken(_tidy(template.format_map(words)), pack.language))


def _shown(pack: Pack, slot: Slot) -> str:
    match slot.style:
        case Style.PHRASES:
            return _phrases(pack, slot.text)
        case Style.NAMES:
            return _names(pack, slot.text)
    return slot.text


def _spoken(pack: Pack, slot: Slot) -> str:
    match slot.style:
        case Style.DIGITS:
            return digits(slot.text, pack.language)
        case Style.SPELLED:
            return spelled(slot.text, pack.language)
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

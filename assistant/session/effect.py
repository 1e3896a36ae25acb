"""What an event makes the station do, as values: prompts to say, tones to sound.

Prompts are keys and slots; the language pack has the words.  They are built
from what happened, never from what was asked for.  Due times and what may be
said are not effects but questions to the state: ``due.next_due`` and
``track.sayable``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum


class Style(StrEnum):
    """How a slot's text is turned into spoken words."""

    PLAIN = "plain"
    DIGITS = "digits"  # a number, sign by sign
    SPELLED = "spelled"  # a code, by the radiotelephony alphabet
    PHRASES = "phrases"  # verbs with "|" between: the phrases that give them
    NAMES = "names"  # keys with "|" between: the pack has their names
    LABEL = "label"  # "lot: A7, expires_on: 2030-01-31": keys, and codes sign by sign


@dataclass(frozen=True, slots=True)
class Slot:
    """One value in a prompt."""

    name: str
    text: str
    style: Style = Style.PLAIN


@dataclass(frozen=True, slots=True)
class Prompt:
    """One thing to say.

    Attributes:
        key: its template in the language pack.
        slots: the values that the template names.
        id: unique in the session; set by ``effects``.
        step: id of the step that it belongs to; "" for none.
        caution: id of the caution that it says; "" for none.
    """

    key: str
    slots: tuple[Slot, ...] = ()
    id: str = ""
    step: str = ""
    caution: str = ""


class ToneName(StrEnum):
    """The four tones; shape as well as pitch tells them apart."""

    HEARD = "heard"
    REFUSED = "refused"
    ATTENTION = "attention"
    TIMER = "timer"


@dataclass(frozen=True, slots=True)
class Tone:
    """Sound a tone."""

    name: ToneName


@dataclass(frozen=True, slots=True)
class Say:
    """Say prompts, one after the other."""

    prompts: tuple[Prompt, ...]


@dataclass(frozen=True, slots=True)
class SayAgain:
    """Say again what was said last, word for word."""


@dataclass(frozen=True, slots=True)
class Hush:
    """Fall silent at once; what was cut off counts as not heard."""


@dataclass(frozen=True, slots=True)
class Explain:
    """Show how a figure was got, a line for each step of the working."""

    lines: tuple[str, ...]


Effect = Tone | Say | SayAgain | Hush | Explain


def numbered(effects: tuple[Effect, ...], seq: int) -> tuple[Effect, ...]:
    """The same effects, each prompt with its id: the event's number and its own."""
    count = 0
    out: list[Effect] = []
    for effect in effects:
        if isinstance(effect, Say):
            prompts = []
            for prompt in effect.prompts:
                count += 1
                prompts.append(replace(prompt, id=f"{seq}.{count}"))
            out.append(Say(tuple(prompts)))
        else:
            out.append(effect)
    return tuple(out)


def slots(**texts: str) -> tuple[Slot, ...]:
    """Plain slots by name."""
    return tuple(Slot(name, text) for name, text in texts.items())


def say(key: str, **texts: str) -> tuple[Effect, ...]:
    """One prompt with plain slots."""
    return (Say((Prompt(key, slots(**texts)),)),)

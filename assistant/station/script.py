"""Scripts: what is said, played, scanned and waited for, one line each.

``say WORDS`` as if heard; ``play FILE.wav`` through the recognizer, the file
beside the script; ``wait 15 min``; ``scan CODE``; ``# comment``.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.quantity import QuantityError, duration

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path


class ScriptError(Exception):
    """A script that cannot be followed; the message says which line and what to write."""


@dataclass(frozen=True, slots=True)
class Say:
    """Words, as if heard."""

    words: str


@dataclass(frozen=True, slots=True)
class Play:
    """Sound, through the recognizer."""

    path: Path


@dataclass(frozen=True, slots=True)
class Wait:
    """Seconds that pass."""

    seconds: int


@dataclass(frozen=True, slots=True)
class Scan:
    """A code, as a scanner types it."""

    code: str


Cue = Say | Play | Wait | Scan


def cue(text: str, folder: Path) -> Cue | None:
    """The cue in one line; None for an empty line or a comment.

    Raises:
        ScriptError: it is none of the known lines.
    """
    verb, _, rest = text.strip().partition(" ")
    rest = rest.strip()
    if not verb or verb.startswith("#"):
        return None
    if verb in _CUES and rest:
        return _CUES[verb](rest, folder)
    raise ScriptError(f'"{text.strip()}" is no cue; write say, play, wait or scan and what')


def read(path: Path) -> tuple[Cue, ...]:
    """All cues of a script file.

    Raises:
        ScriptError: it cannot be read, or a line is no cue.
    """
    try:
        lines = path.read_text(encoding="utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise ScriptError(f"{path} cannot be read as text: {error}") from error
    cues = []
    for number, text in enumerate(lines, start=1):
        try:
            found = cue(text, path.parent)
        except ScriptError as error:
            raise ScriptError(f"{path}:{number}: {error}") from error
        if found is not None:
            cues.append(found)
    return tuple(cues)


def _wait(rest: str, _folder: Path) -> Cue:
    try:
        return Wait(duration(rest))
    except QuantityError as error:
        raise ScriptError(f"wait: {error}") from error


def _play(rest: str, folder: Path) -> Cue:
    path = folder / rest
    if not path.is_file():
        raise ScriptError(f"there is no file {path}")
    return Play(path)


_CUES: dict[str, Callable[[str, Path], Cue]] = {
    "say": lambda rest, _folder: Say(rest),
    "play": _play,
    "wait": _wait,
    "scan": lambda rest, _folder: Scan(rest),
}

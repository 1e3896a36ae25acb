"""Cases of speech outside the grammar: drawn talk, recorded people, and noise alone."""

from __future__ import annotations

import random
from pathlib import Path
from typing import TYPE_CHECKING

from assistant.grammar import automaton, jsgf
from tests.benchmark.case import Case, Noise, Recorded, Talk, seed
from tests.benchmark.voices import UNUSED, Spoken

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.benchmark.sets import Sets

_GRAMMAR = Path(__file__).parent / "data" / "talk.jsgf"
_SENTENCES = 8  # of one stretch of talk, some 25 s
_PAUSES_S = (0.15, 0.3, 0.5, 0.8, 1.2)
_NOISES = ("water", "babble", "kitchen", "taps", "coughs")


def talk(stretches: int) -> Iterator[Case]:
    """Stretches of drawn talk, two voices taking turns in each."""
    sentences = automaton.build(jsgf.load(_GRAMMAR))
    for number in range(stretches):
        draw = random.Random(seed("talk", number))  # noqa: S311 - a sample, no secret
        pair = draw.sample(UNUSED, 2)
        texts = [sentences.sample(draw.randrange) for _ in range(_SENTENCES)]
        said = tuple(Spoken(text, *pair[at % 2]) for at, text in enumerate(texts))
        pauses = tuple(draw.choice(_PAUSES_S) for _ in texts)
        yield Case(f"talk {number}", Talk(said, pauses), ". ".join(texts), group="drawn")


def recorded(sets: Sets, share: float = 1.0) -> Iterator[Case]:
    """Recorded people who say nothing of our grammar.

    Args:
        sets: what is present.
        share: of the clips, 0 to 1, evenly spread.
    """
    found: list[Case] = []
    if sets.orders:
        clips = sorted((sets.orders / "clips").glob("*.flac"))
        found += [_recorded(path, "orders") for path in clips]
    if sets.asterisk:
        paths = [p for p in sorted(sets.asterisk.rglob("*.g722")) if _outside(p)]
        found += [_recorded(path, "asterisk") for path in paths]
    if sets.testdata:
        found += [_recorded(path, "prose") for path in sorted(sets.testdata.rglob("*.wav"))]
    if sets.wheel:
        paths = [p for p in sorted(sets.wheel.glob("*.wav")) if p.stem not in _TONES]
        found += [_recorded(path, "prose") for path in paths]
    step = max(1, round(1 / share))
    yield from found[::step]


def _recorded(path: Path, group: str) -> Case:
    name = f"{path.parent.name}/{path.name}"
    return Case(name, Recorded(str(path)), path.stem, human=True, group=group)


_TONES = ("success", "error")
_NO_SPEECH = ("silence", "beep", "tone", "tt-weasels", "tt-monkeys")


def _outside(path: Path) -> bool:
    """Whether a clip is speech, and none that our grammar has: "next" is a command."""
    if path.parent.name in ("silence", "letters", "digits", "phonetic"):
        return False
    return not any(word in path.name for word in _NO_SPEECH) and path.stem not in _OURS


_OURS = ("vm-next", "vm-incorrect", "agent-incorrect")


def noises(sets: Sets, seconds: float) -> Iterator[Case]:
    """Noise alone, as loud as speech."""
    for kind in _NOISES:
        if kind != "kitchen" or sets.kitchen:
            yield Case(f"{kind} alone", Noise(kind, seconds), "", group=kind)

"""Cases of recorded people who say sentences of a grammar."""

from __future__ import annotations

import json
from typing import TYPE_CHECKING

from assistant.grammar.pack import load
from tests.benchmark.case import Case, Recorded
from tests.benchmark.world import signs

if TYPE_CHECKING:
    from collections.abc import Iterator

    from tests.benchmark.sets import Sets


def drinks(sets: Sets, step: int = 1) -> Iterator[Case]:
    """Every ``step``-th recorded drink order; right where every slot is right, none extra."""
    if sets.orders is None:
        return
    lines = (sets.orders / "labels.jsonl").read_text(encoding="utf-8").splitlines()
    for line in lines[::step]:
        label = json.loads(line)
        path = sets.orders / "clips" / label["clip"]
        slots = sorted(label["slots"].items())
        said = ", ".join(f"{name}: {words}" for name, words in slots)
        wanted = json.dumps([list(pair) for pair in slots])
        yield Case(label["clip"], Recorded(str(path)), said, wanted, human=True, group="orders")


def spoken_signs(sets: Sets) -> Iterator[Case]:
    """Single numbers and letters of the radiotelephony alphabet, by one recorded voice."""
    if sets.asterisk is None:
        return
    world, pack = signs(), load("en")
    values = {value: word for word, value in pack.orthography.numbers.items() if word != "oh"}
    for path in sorted((sets.asterisk / "digits").glob("*.g722")):
        if path.stem.isdigit() and int(path.stem) in values:
            word = values[int(path.stem)]
            yield _sign(str(path), word, world.wanted(word), "number")
    letters = {sign.lower(): words for words, sign in pack.signs.items()}
    for path in sorted((sets.asterisk / "phonetic").glob("?_p.g722")):
        words = letters.get(path.stem[0])
        if words:
            yield _sign(str(path), words, world.wanted(words), "letter")


def _sign(path: str, words: str, wanted: str, group: str) -> Case:
    return Case(f"{group} {words}", Recorded(path), words, wanted, human=True, group=group)

"""Every prompt that the tool itself can say, in its own voice.

What is said while every shipped procedure is led to its end, in time and late
(``tests/session/test_led_to_the_end.py``), and each template of the language pack that
did not come up so, its slots filled with what slots of that name held elsewhere.
"""

from __future__ import annotations

import importlib
import re
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

from assistant.grammar.pack import load
from assistant.procedure.sheet import read
from assistant.session.effect import Prompt, Say, Slot
from assistant.speaking.line import line
from assistant.speaking.speech import load as load_speech
from assistant.speaking.voice import RATE
from assistant.station.opening import shipped
from tests.benchmark.case import Case
from tests.benchmark.voices import Spoken

if TYPE_CHECKING:
    from collections.abc import Iterator

_SESSION_TESTS = Path(__file__).parents[1] / "session"
_SLOT = re.compile(r"\{(\w+)\}")
_ANYTHING = "ten"  # for a slot that never came up


def prompts() -> Iterator[Case]:
    """One case for each different line."""
    said = _led()
    pack = load("en")
    filled = {slot.name: slot for prompt in said for slot in prompt.slots}
    reached = {prompt.key for prompt in said}
    for key in sorted(set(pack.prompts) - reached):
        names = dict.fromkeys(_SLOT.findall(pack.prompts[key]))
        slots = tuple(filled.get(name, Slot(name, _ANYTHING)) for name in names)
        said.append(Prompt(key, slots))
    voice = load_speech("en").voice.rpartition("/")[2]
    texts = dict.fromkeys(line(pack, prompt).spoken for prompt in said)
    for number, text in enumerate(text for text in texts if text):
        yield Case(f"prompt {number}", Spoken(text, voice, RATE), text, group="prompt")


def _led() -> list[Prompt]:
    """The prompts of whole sessions."""
    technician = _technician()
    found: dict[Prompt, None] = {}
    for path in shipped():
        for late in (False, True):
            worker = technician(read(path), late=late)
            worker.work()
            for effect in worker.led.effects:
                for prompt in effect.prompts if isinstance(effect, Say) else ():
                    found[Prompt(prompt.key, prompt.slots)] = None
    return list(found)


def _technician() -> Any:
    sys.path.insert(0, str(_SESSION_TESTS))
    try:
        return importlib.import_module("test_led_to_the_end").Technician
    finally:
        sys.path.remove(str(_SESSION_TESTS))

"""Placeholders: figures that a step speaks but never states, so that they cannot disagree."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from assistant.procedure.fields import near
from assistant.procedure.model import Dwell, ReadingTask
from assistant.procedure.quantity import duration_text
from assistant.trade.bath import detergent_volume

if TYPE_CHECKING:
    from collections.abc import Mapping

    from assistant.procedure.model import Bath, Task

# Each placeholder with what must stand in its step.
SOURCES = {
    "volume": '"bath" or "prepares"',
    "dose": '"bath" or "prepares"',
    "detergent": '"bath" or "prepares"',
    "bath": '"bath" or "prepares"',
    "temperature": '"bath" or "prepares"',
    "least": "a soak, a rinse or a drying",
    "most": "a soak, a rinse or a drying with a most time",
    "window": "a reading",
}
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")


def bath_figures(bath: Bath) -> dict[str, str]:
    """What a bath gives to the steps that name it; volumes have three digits.

    The dose is the amount to measure out: volume of water times detergent per
    volume of water.
    """
    return {
        "volume": str(bath.volume.rounded()),
        "dose": str(detergent_volume(bath.volume, bath.dose).rounded()),
        "detergent": bath.detergent,
        "bath": bath.name,
        "temperature": str(bath.temperature),
    }


def task_figures(task: Task) -> dict[str, str]:
    """What a task gives to its step's texts."""
    if isinstance(task, ReadingTask):
        return {"window": str(task.window)}
    if isinstance(task, Dwell):
        figures = {"least": duration_text(task.least_s)}
        return figures | ({} if task.most_s is None else {"most": duration_text(task.most_s)})
    return {}


def fill(text: str, figures: Mapping[str, str]) -> str:
    """The text with each ``{placeholder}`` replaced by its figure; others stay."""
    return _PLACEHOLDER.sub(lambda match: figures.get(match[1], match[0]), text)


def mistakes(text: str, known: Mapping[str, str]) -> list[tuple[str, str]]:
    """What is wrong with the text's placeholders, each with its remedy.

    Args:
        text: before filling.
        known: the figures at hand.
    """
    found = []
    for name in _PLACEHOLDER.findall(text):
        if name not in SOURCES:
            found.append((f'"{{{name}}}" is no placeholder', near(name, SOURCES)))
        elif name not in known:
            found.append(
                (f'"{{{name}}}" has no figure in this step', f"the step needs {SOURCES[name]}")
            )
    if set("{}") & set(_PLACEHOLDER.sub("", text)):
        found.append(("a brace stands alone", 'write a placeholder as in "{volume}"'))
    return found

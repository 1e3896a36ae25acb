"""Placeholders: figures that a step speaks but never states, so that they cannot disagree."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from assistant.procedure.model import Dwell, ReadingTask, TallyKind, TallyTask
from assistant.procedure.quantity import duration_text
from assistant.procedure.spelling import near
from assistant.trade.bath import detergent, usual_unit

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from assistant.procedure.model import Bath, Task
    from assistant.procedure.quantity import Quantity
    from assistant.trade.worked import Worked

# Each placeholder with what must stand in its step.
SOURCES = {
    "volume": '"bath", "wipe" or a flush',
    "dose": '"bath" or "wipe"',
    "detergent": '"bath" or "wipe"',
    "bath": '"bath" or "wipe"',
    "temperature": '"bath" or "wipe"',
    "least": "a soak, a rinse or a drying",
    "most": "a soak, a rinse or a drying with a most time",
    "window": "a reading or a leak test",
    "passes": "a brush",
    "fills": "a flush",
    "syringe": "a flush",
}
_DOSE = "dose"
_PLACEHOLDER = re.compile(r"\{([^{}]*)\}")


def bath_figures(bath: Bath) -> dict[str, str]:
    """What a bath gives to the steps that name it; volumes have three digits.

    The dose is the amount to measure out: volume of water times detergent per
    volume of water, in the unit that it is measured with.
    """
    return {
        "volume": str(bath.volume.rounded()),
        "dose": str(bath_dose(bath).value.rounded()),
        "detergent": bath.detergent,
        "bath": bath.name,
        "temperature": str(bath.temperature),
    }


def bath_dose(bath: Bath) -> Worked[Quantity]:
    """The detergent to be measured out for a bath."""
    return detergent(bath.volume, bath.dose, bath.measured_in or usual_unit(bath.dose))


def dosed(texts: Iterable[str], figures: Mapping[str, str]) -> tuple[str, ...]:
    """Those of the texts that speak the dose, filled but for it."""
    others = {name: figure for name, figure in figures.items() if name != _DOSE}
    return tuple(fill(text, others) for text in texts if f"{{{_DOSE}}}" in text)


def told(text: str, dose: str) -> str:
    """A text of ``dosed`` with its dose."""
    return fill(text, {_DOSE: dose})


def task_figures(task: Task) -> dict[str, str]:
    """What a task gives to its step's texts."""
    match task:
        case ReadingTask():
            return {"window": str(task.window)}
        case Dwell():
            figures = {"least": duration_text(task.least_s)}
            return figures | ({} if task.most_s is None else {"most": duration_text(task.most_s)})
        case TallyTask(kind=TallyKind.PASS):
            return {"passes": str(task.least)}
        case TallyTask():
            volume, syringe = str(task.volume), str(task.syringe)
            return {"fills": str(task.least), "volume": volume, "syringe": syringe}
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

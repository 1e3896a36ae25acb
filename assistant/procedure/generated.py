"""The tracks and steps that no sheet may forget, made from its figures.

Their texts are data (``grammars/<language>/steps.yaml``): the intake (protective
equipment, identity, arrival, count), a track for each bath (fill, lot, expiry, dose,
temperature), the handing on of a part, and the pressure of an air line.
"""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from typing import TYPE_CHECKING

import yaml

from assistant.procedure.model import (
    HAND_ON,
    Act,
    BathStep,
    Caution,
    Component,
    CountTask,
    ElapsedTask,
    ExpiryTask,
    HandOnTask,
    IdentifyTask,
    Item,
    LotTask,
    Otherwise,
    Question,
    ReadingTask,
    Role,
    Step,
)
from assistant.procedure.placeholder import bath_figures, dosed, fill
from assistant.procedure.water_use import Purpose, Use
from assistant.shipped import folder

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from assistant.procedure.model import Bath, Task, Treatment

INTAKE = "intake"
OPENING = "intake.opening"


@cache
def texts(language: str) -> Mapping[str, str]:
    """The texts of generated steps; empty where the language has none."""
    path = folder("grammars") / language.partition("-")[0] / "steps.yaml"
    if not path.is_file():
        return {}
    loaded = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - it makes text only
    return {str(key): str(text) for key, text in loaded.items()}


def step(
    words: Mapping[str, str],
    identifier: str,
    key: str,
    task: Task | None = None,
    figures: Mapping[str, str] | None = None,
) -> Step:
    """A mandatory step whose texts are those of a key, its figures filled in.

    Args:
        words: texts by "key_say" and "key_short".
        identifier: the step's id.
        key: of the texts.
        task: what completes it; to be done with the hands where None.
        figures: what the texts' placeholders stand for.
    """
    known = figures or {}
    say, short = words[f"{key}_say"], words[f"{key}_short"]
    return Step(
        id=identifier,
        say=fill(say, known),
        short=fill(short, known),
        task=task or Act(),
        mandatory=True,
        dosed=dosed((say, short), known),
    )


def cautions(step_id: str, sentences: Iterable[str]) -> tuple[Caution, ...]:
    """The cautions of a step, with ids in their order."""
    return tuple(
        Caution(f"{step_id}.caution-{number}", text)
        for number, text in enumerate(sentences, start=1)
    )


def intake(
    words: Mapping[str, str],
    hazards: Iterable[str],
    equipment: Iterable[str],
    parts: Iterable[Component],
    arrival: tuple[int, str] | None,
    *,
    identified: bool,
) -> Component:
    """The intake: equipment on before anything else, then what arrived and how.

    Args:
        words: texts of the language.
        hazards: cautions of the first step.
        equipment: what to wear.
        parts: what must have arrived.
        arrival: the maker's window since the end of use in seconds, and what to do
            beyond it; None where the sheet has none.
        identified: whether the device is to be identified by code or name.
    """
    asked = Question(words["opening_ask"], words["opening_if_not"], Otherwise.MUST)
    opening = step(words, OPENING, "opening", asked, {"equipment": ", ".join(equipment)})
    steps = [replace(opening, cautions=cautions(OPENING, hazards))]
    if identified:
        steps.append(step(words, f"{INTAKE}.identify", "identify", IdentifyTask()))
    if arrival is not None:
        within_s, delayed = arrival
        treated = Question(words["treated_ask"], delayed, Otherwise.DELAYED)
        elapsed = ElapsedTask(words["elapsed_of"], within_s)
        items = _items(parts)
        listed = ", ".join(_listed(words, item) for item in items)
        steps += [
            step(words, f"{INTAKE}.treated", "treated", treated),
            step(words, f"{INTAKE}.elapsed", "elapsed", elapsed),
            step(words, f"{INTAKE}.count", "count", CountTask(items), {"items": listed}),
        ]
    return Component(INTAKE, words["intake_name"], "", tuple(steps), role=Role.INTAKE)


def _listed(words: Mapping[str, str], item: Item) -> str:
    """An item with its count, without a plural that not every name has by an s."""
    key = "item_single" if item.count == 1 else "item_several"
    return fill(words[key], {"name": item.name, "count": str(item.count)})


def _items(parts: Iterable[Component]) -> tuple[Item, ...]:
    found: list[Item] = []
    for part in parts:
        found.append(Item(part.id, part.name, part.count, part.id))
        found += [
            Item(f"{part.id}.adapter-{number}", name, part.count, part.id)
            for number, name in enumerate(part.adapters, start=1)
        ]
    return tuple(found)


def bath_track(words: Mapping[str, str], bath: Bath) -> Component:
    """A bath's own track: water, lot and expiry, dose, and last the temperature."""
    figures = bath_figures(bath)
    filled = step(words, f"{bath.id}.{BathStep.FILL}", "fill", None, figures)
    measured = step(words, f"{bath.id}.{BathStep.DOSE}", "dose", None, figures)
    lot = LotTask(fill(words["lot_of"], figures))
    expiry = ExpiryTask(fill(words["expiry_of"], figures))
    warm = ReadingTask(fill(words["temperature_of"], figures), bath.temperature, bath.id)
    use = Use(Purpose.PREPARE, bath.id)
    steps = (
        replace(filled, use=use, working=bath.working, needs=(OPENING,)),
        step(words, f"{bath.id}.{BathStep.LOT}", "lot", lot, figures),
        step(words, f"{bath.id}.{BathStep.EXPIRY}", "expiry", expiry, figures),
        replace(measured, working=bath.working),
        step(words, f"{bath.id}.{BathStep.TEMPERATURE}", "temperature", warm, figures),
    )
    return Component(bath.id, bath.name, "", steps, role=Role.BATH)


def hand_on(words: Mapping[str, str], part: Component, treatment: Treatment) -> Step:
    """The last step of a part: its disposition."""
    figures = {"component": part.name, "onward": part.onward}
    return step(words, f"{part.id}.{HAND_ON}", "hand_on", HandOnTask(treatment), figures)

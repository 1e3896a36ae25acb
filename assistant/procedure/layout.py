"""The layout of a sheet: which keys each block may have, each with an example.

The examples are what a finding proposes where a key is missing.
"""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Layout:
    """One kind of block.

    Attributes:
        name: as findings call it.
        required: keys that it must have, each with an example.
        optional: keys that it may have, each with an example.
    """

    name: str
    required: dict[str, str]
    optional: dict[str, str]

    @property
    def keys(self) -> dict[str, str]:
        """Every key that the block may have, with its example."""
        return self.required | self.optional


PROCEDURE = Layout(
    "the procedure",
    {
        "id": "id: demo-grasper",
        "revision": 'revision: "1"',
        "title": "title: take-apart grasper",
        "language": "language: en",
        "notice": "notice: Demo values, invented for training.",
        "hazards": "hazards: [The jaws are sharp.]",
        "protective_equipment": "protective_equipment: [gloves, a face shield]",
        "components": "components: [...]",
    },
    {"baths": "baths: [...]"},
)
BATH = Layout(
    "this bath",
    {
        "id": "id: enzymatic",
        "name": "name: enzymatic bath",
        "detergent": "detergent: demo detergent",
        "dose": "dose: 5 mL/L",
        "temperature": "temperature: {least: 30 °C, most: 40 °C}",
    },
    {
        "volume": "volume: 20 L",
        "basin": "basin: {length: 50 cm, width: 40 cm, water_depth: 10 cm}",
    },
)
BASIN = Layout(
    "this basin",
    {"length": "length: 50 cm", "width": "width: 40 cm", "water_depth": "water_depth: 10 cm"},
    {},
)
WINDOW = Layout("this window", {}, {"least": "least: 30 °C", "most": "most: 40 °C"})
COMPONENT = Layout(
    "this component",
    {
        "id": "id: shaft",
        "name": "name: shaft",
        "onward": "onward: the assembly table",
        "steps": "steps: [...]",
    },
    {"also": "also: [outer tube]", "count": "count: 2"},
)
STEP = Layout(
    "this step",
    {
        "id": "id: brush",
        "say": "say: Brush the shaft under the surface.",
        "short": "short: brush the shaft",
    },
    {
        "cautions": "cautions: [Brush only under water.]",
        "needs": "needs: [tray.take-apart]",
        "mandatory": "mandatory: yes",
        "first_rinse": "first_rinse: yes",
        "prepares": "prepares: enzymatic",
        "bath": "bath: enzymatic",
        "soak": "soak: {bath: enzymatic, least: 5 min, most: 10 min}",
        "rinse": "rinse: {least: 1 min}",
        "dry": "dry: {least: 2 min}",
        "reading": "reading: {of: bath temperature, bath: enzymatic}",
        "lot": "lot: {of: detergent lot}",
        "question": 'question: {ask: "Is it clean?", if_not: Clean it again.}',
    },
)
SOAK = Layout(
    "this soak",
    {"bath": "bath: enzymatic", "least": "least: 5 min"},
    {"most": "most: 10 min"},
)
DWELL = Layout("this time", {"least": "least: 1 min"}, {"most": "most: 5 min"})
READING = Layout(
    "this reading",
    {"of": "of: bath temperature"},
    {"bath": "bath: enzymatic", "least": "least: 30 °C", "most": "most: 40 °C"},
)
LOT = Layout(
    "this lot",
    {"of": "of: detergent lot"},
    {"least_signs": "least_signs: 4", "most_signs": "most_signs: 12"},
)
QUESTION = Layout(
    "this question",
    {"ask": "ask: Is it clean?", "if_not": "if_not: Clean it again."},
    {},
)

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
        "components": "components: [{id: shaft, name: shaft, onward: the assembly table, steps: "
        "[{id: brush, say: Brush it., short: brush it}]}]",
    },
    {
        "baths": "baths: [{id: enzymatic, name: enzymatic bath, detergent: demo detergent, "
        "volume: 20 L, dose: 5 mL/L, temperature: {least: 30 °C, most: 40 °C}}]",
        "also": "also: [grasper]",
        "codes": 'codes: ["(01)09521234543213"]',
        "approval": "approval: {by: demo lead, on: 2026-01-05, until: 2027-01-05}",
        "arrival": "arrival: {within: 60 min, delayed: Soak it longer.}",
    },
)
APPROVAL = Layout(
    "this approval",
    {"by": "by: demo lead", "on": "on: 2026-01-05", "until": "until: 2027-01-05"},
    {},
)
ARRIVAL = Layout(
    "this arrival",
    {"within": "within: 60 min", "delayed": "delayed: Soak it longer."},
    {},
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
        "fill_line": "fill_line: {container: 2 L, count: 10}",
        "measured_in": "measured_in: mL",
        "most_age": "most_age: 4 h",
        "most_uses": "most_uses: 6",
        "cooling": 'cooling: {room: 21 °C, per_min: "0.008"}',
    },
)
FILL_LINE = Layout("this fill line", {"container": "container: 2 L", "count": "count: 10"}, {})
COOLING = Layout("this cooling", {"room": "room: 21 °C", "per_min": 'per_min: "0.008"'}, {})
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
        "steps": "steps: [{id: brush, say: Brush the shaft., short: brush the shaft}]",
    },
    {
        "also": "also: [outer tube]",
        "count": "count: 2",
        "treatment": "treatment: packing",
        "adapters": "adapters: [light post adapter]",
        "never": "never: [brush, pressure]",
        "lumens": "lumens: [{id: main, name: main lumen, diameter: 5 mm, length: 30 cm}]",
        "clean_again": "clean_again: {start: soak, most: 3}",
    },
)
LUMEN = Layout(
    "this lumen",
    {
        "id": "id: main",
        "name": "name: main lumen",
        "diameter": "diameter: 5 mm",
        "length": "length: 30 cm",
    },
    {},
)
CLEAN_AGAIN = Layout("this clean_again", {"start": "start: soak", "most": "most: 3"}, {})
STEP = Layout(
    "this step",
    {
        "id": "id: brush",
        "say": "say: Brush the shaft under the surface.",
        "short": "short: brush the shaft",
    },
    {
        "cautions": "cautions: [Brush only under water.]",
        "needs": "needs: [handle.take-apart]",
        "mandatory": "mandatory: yes",
        "first_rinse": "first_rinse: yes",
        "when": "when: delayed",
        "bath": "bath: enzymatic",
        "wipe": "wipe: enzymatic",
        "water": "water: final rinse",
        "soak": "soak: {bath: enzymatic, least: 5 min, most: 10 min}",
        "rinse": "rinse: {least: 1 min}",
        "dry": "dry: {least: 2 min}",
        "reading": "reading: {of: air pressure, most: 20 psi}",
        "lot": "lot: {of: detergent lot}",
        "brush": "brush: {lumen: main, diameter: 6 mm, reach: 35 cm, passes: 3}",
        "flush": "flush: {lumen: main, volume: 60 mL, syringe: 20 mL}",
        "leak_test": "leak_test: {least: 150 mmHg, most: 170 mmHg, hold: 30 s, most_drop: 5 mmHg}",
        "test": "test: {of: swab, light: {meter: demo meter, below: 200 RLU}}",
        "inspect": "inspect: {of: soil and damage, magnification: 10x}",
        "question": 'question: {ask: "Is it clean?", if_not: Clean it again.}',
    },
)
SOAK = Layout(
    "this soak",
    {"bath": "bath: enzymatic", "least": "least: 5 min"},
    {"most": "most: 10 min"},
)
DWELL = Layout(
    "this time",
    {"least": "least: 1 min"},
    {"most": "most: 5 min", "pressure": "pressure: 20 psi"},
)
READING = Layout("this reading", {"of": "of: air pressure"}, WINDOW.optional)
BRUSH = Layout(
    "this brush",
    {
        "lumen": "lumen: main",
        "diameter": "diameter: 6 mm",
        "reach": "reach: 35 cm",
        "passes": "passes: 3",
    },
    {"most_passes": "most_passes: 10", "thickest": "thickest: 7 mm"},
)
FLUSH = Layout(
    "this flush",
    {"lumen": "lumen: main", "volume": "volume: 60 mL", "syringe": "syringe: 20 mL"},
    {},
)
LEAK_TEST = Layout(
    "this leak test",
    {"least": "least: 150 mmHg", "hold": "hold: 30 s", "most_drop": "most_drop: 5 mmHg"},
    {"most": "most: 170 mmHg"},
)
TEST = Layout(
    "this test",
    {"of": "of: swab"},
    {
        "light": "light: {meter: demo meter, below: 200 RLU}",
        "residue": "residue: {analyte: protein, area: 50 cm²}",
        "water": "water: {grade: critical, property: conductivity}",
        "limit": "limit: {least: 80 %}",
    },
)
LIGHT = Layout("this light", {"meter": "meter: demo meter", "below": "below: 200 RLU"}, {})
RESIDUE = Layout("this residue", {"analyte": "analyte: protein", "area": "area: 50 cm²"}, {})
WATER = Layout("this water", {"grade": "grade: critical", "property": "property: conductivity"}, {})
INSPECT = Layout(
    "this inspection",
    {"of": "of: soil and damage", "magnification": "magnification: 10x"},
    {},
)
LOT = Layout(
    "this lot",
    {"of": "of: detergent lot"},
    {"least_signs": "least_signs: 4", "most_signs": "most_signs: 12"},
)
QUESTION = Layout(
    "this question",
    {"ask": "ask: Is it clean?", "if_not": "if_not: Clean it again."},
    {"no_means": "no_means: soil"},
)

"""The layout of a station file: which keys each block may have, each with an example."""

from __future__ import annotations

from assistant.procedure.layout import Layout

STATION = Layout(
    "the station",
    {
        "name": "name: demo sink",
        "bays": "bays: [{name: bay one, volume: 40 L}]",
        "taps": "taps: [{water: utility}, {water: treated, apart: yes}]",
    },
    {
        "measured_in": "measured_in: mL",
        "room": "room: 21 °C",
        "cooling_per_min": 'cooling_per_min: "0.008"',
        "meters": "meters: [{name: demo meter, below: 150 RLU}]",
        "water_table": "water_table: {name: AAMI TIR34:2014}",
    },
)
BAY = Layout(
    "this bay",
    {"name": "name: bay one"},
    {
        "volume": "volume: 40 L",
        "basin": "basin: {length: 50 cm, width: 40 cm, water_depth: 20 cm}",
        "drains": "drains: no",
    },
)
TAP = Layout(
    "this tap",
    {"water": "water: treated"},
    {"apart": "apart: yes", "runs": "runs: no", "hot": "hot: 55 °C", "cold": "cold: 12 °C"},
)
METER = Layout("this meter", {"name": "name: demo meter", "below": "below: 150 RLU"}, {})
WATER_TABLE = Layout(
    "this water table",
    {"name": "name: AAMI TIR34:2014"},
    {"rows": "rows: [{grade: critical, property: conductivity, below: 10 µS/cm}]"},
)
ROW = Layout(
    "this row",
    {"grade": "grade: critical", "property": "property: conductivity"},
    {"below": "below: 10 µS/cm", "least": "least: 5 pH", "most": "most: 7 pH"},
)

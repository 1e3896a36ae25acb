"""The layout of a policy: which keys each block may have, each with an example.

A block under a change has the keys of the sheet's block of that name which a policy may
tighten, so that everything else is refused as no key of it.
"""

from __future__ import annotations

from assistant.procedure.layout import STEP, WINDOW, Layout

POLICY = Layout(
    "the policy",
    {
        "procedure": "procedure: demo-grasper",
        "revision": 'revision: "1"',
        "notice": "notice: Demo rules, invented for training.",
        "changes": "changes: [{reason: The soil is dry., author: demo lead, approved: 2026-02-02, "
        "step: shaft.soak, soak: {least: 8 min}}]",
    },
    {},
)
_WHO = {
    "reason": "reason: Our cases are long, and the soil is dry.",
    "author": "author: demo lead",
    "approved": "approved: 2026-02-02",
}
_LISTS = {"cautions": "cautions: [Brush away from your fingers.]"}
WHOLE = Layout(
    "this change of the procedure",
    _WHO,
    {
        "hazards": "hazards: [The tips are sharp.]",
        "protective_equipment": "protective_equipment: [ear plugs]",
        "arrival": "arrival: {within: 45 min}",
        "approval": "approval: {until: 2026-12-31}",
    },
)
BATH = Layout(
    "this change of a bath",
    _WHO | {"bath": "bath: enzymatic"},
    {
        "temperature": "temperature: {least: 32 °C, most: 38 °C}",
        "most_age": "most_age: 2 h",
        "most_uses": "most_uses: 4",
    },
)
COMPONENT = Layout(
    "this change of a component",
    _WHO | {"component": "component: shaft"},
    {"clean_again": "clean_again: {most: 2}"},
)
CHANGED_STEP = Layout(
    "this change of a step",
    _WHO | {"step": "step: shaft.soak"},
    {
        **_LISTS,
        "mandatory": "mandatory: yes",
        "soak": "soak: {least: 8 min, most: 12 min}",
        "rinse": "rinse: {least: 2 min}",
        "dry": "dry: {least: 3 min}",
        "reading": "reading: {least: 5 psi, most: 15 psi}",
        "brush": "brush: {passes: 5}",
        "flush": "flush: {volume: 100 mL}",
        "leak_test": "leak_test: {hold: 60 s, most_drop: 3 mmHg}",
        "test": "test: {light: {below: 150 RLU}}",
    },
)
_ADDED = _WHO | {"steps": "steps: [{id: photo, say: Take a photo., short: take a photo}]"}
BEFORE = Layout("this addition", _ADDED | {"before": "before: shaft.soak"}, {})
AFTER = Layout("this addition", _ADDED | {"after": "after: shaft.soak"}, {})

# What a change is about, by the key that says so.
TARGETS = {
    "step": CHANGED_STEP,
    "bath": BATH,
    "component": COMPONENT,
    "before": BEFORE,
    "after": AFTER,
}
_SPAN = {"least": "least: 8 min", "most": "most: 12 min"}
_TIMED = _SPAN | {"pressure": "pressure: 15 psi"}
# The blocks under a change; keys that are neither here nor in LISTS hold a figure.
BLOCKS = {
    "soak": Layout("this change of a soak", {}, _SPAN),
    "rinse": Layout("this change of a rinse", {}, _TIMED),
    "dry": Layout("this change of a drying", {}, _TIMED),
    "reading": WINDOW,
    "temperature": WINDOW,
    "brush": Layout(
        "this change of a brush", {}, {"passes": "passes: 5", "most_passes": "most_passes: 8"}
    ),
    "flush": Layout("this change of a flush", {}, {"volume": "volume: 100 mL"}),
    "leak_test": Layout(
        "this change of a leak test",
        {},
        WINDOW.optional | {"hold": "hold: 60 s", "most_drop": "most_drop: 3 mmHg"},
    ),
    "test": Layout(
        "this change of a test",
        {},
        {"light": "light: {below: 150 RLU}", "limit": "limit: {least: 85 %}"},
    ),
    "light": Layout("this change of a light limit", {}, {"below": "below: 150 RLU"}),
    "limit": WINDOW,
    "clean_again": Layout("this change of clean_again", {}, {"most": "most: 2"}),
    "arrival": Layout("this change of an arrival", {}, {"within": "within: 45 min"}),
    "approval": Layout("this change of an approval", {}, {"until": "until: 2026-12-31"}),
}
# The blocks whose two ends are one window, and have one unit.
WINDOWS = frozenset({"reading", "temperature", "leak_test", "limit"})
LISTS = ("cautions", "hazards", "protective_equipment")

# A step that is added to a track that the program makes: nothing in it meets a part.
MADE_STEP = Layout(
    "a step of the intake or of a bath",
    STEP.required,
    {key: STEP.optional[key] for key in ("cautions", "mandatory", "reading", "lot", "question")},
)

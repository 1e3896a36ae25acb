from __future__ import annotations

import pytest
from sheet_reading import exchanged, read, steps

from assistant.procedure.generated import texts
from assistant.procedure.model import (
    Act,
    CountTask,
    ElapsedTask,
    ExpiryTask,
    IdentifyTask,
    Item,
    LotTask,
    Otherwise,
    Question,
    ReadingTask,
    Role,
)
from assistant.procedure.water_use import Purpose, Use

CODES = 'codes: ["(01)09521234543213", "+A999ABC123DE0/$+1234567Y"]\n'
ARRIVAL = "arrival: {within: 60 min, delayed: Soak it longer.}\n"


def test_the_intake_comes_first_then_the_baths_then_the_parts(full: str) -> None:
    procedure = read(full)
    assert [(c.id, c.role) for c in procedure.components] == [
        ("intake", Role.INTAKE),
        ("foam", Role.BATH),
        ("acid", Role.BATH),
        ("tube", Role.PART),
        ("optic", Role.PART),
    ]
    assert [part.id for part in procedure.parts] == ["tube", "optic"]


def test_equipment_is_put_on_before_water_is_drawn_or_anything_touched(full: str) -> None:
    # 29 CFR 1910.1030(d)(3): protective equipment where splashes may be expected.
    found = steps(full)
    opening = found["intake.opening"]
    assert opening.say == "Put on: gloves, a gown."
    assert [caution.text for caution in opening.cautions] == ["Blood can infect you."]
    assert isinstance(opening.task, Question)
    assert opening.task.otherwise is Otherwise.MUST
    assert opening.needs == ()
    reached: set[str] = {opening.id}
    for component in read(full).components:
        behind = component.id == "intake"
        for step in component.steps:
            behind = behind or bool(reached.intersection(step.needs))
            reached |= {step.id} if behind else set()
    assert reached == set(found)


def test_the_device_is_identified_where_it_bears_a_code(full: str) -> None:
    assert steps(full)["intake.identify"].task == IdentifyTask()
    assert read(full).codes == {"gtin:09521234543213", "hibc:A999ABC123DE"}
    assert "intake.identify" not in steps(exchanged(full, CODES, ""))


def test_the_arrival_is_asked_timed_and_counted(full: str) -> None:
    found = steps(full)
    treated = found["intake.treated"].task
    assert isinstance(treated, Question)
    assert (treated.if_not, treated.otherwise) == ("Soak it longer.", Otherwise.DELAYED)
    assert found["intake.elapsed"].task == ElapsedTask("time since the end of use", 3600)
    assert found["intake.count"].task == CountTask(
        (
            Item("tube", "tube", 2, "tube"),
            # Each piece has adapters of its own.
            Item("tube.adapter-1", "valve cap", 2, "tube"),
            Item("tube.adapter-2", "side cap", 2, "tube"),
            Item("optic", "optic", 1, "optic"),
        )
    )
    assert (
        "2 of the tube, 2 of the valve cap, 2 of the side cap, 1 optic" in found["intake.count"].say
    )


def test_without_an_arrival_the_parts_wait_for_what_there_is(full: str) -> None:
    late = full[full.index("      - id: presoak") : full.index("      - id: leak")]
    found = steps(exchanged(full, ARRIVAL, "", late, ""))
    assert found["tube.leak-pressure"].needs == ("intake.identify",)
    found = steps(exchanged(full, ARRIVAL, "", late, "", CODES, ""))
    assert found["tube.leak-pressure"].needs == ("intake.opening",)


def test_a_bath_has_a_track_that_ends_with_its_temperature(full: str) -> None:
    foam = read(full).component("foam")
    assert [step.id for step in foam.steps] == [
        f"foam.{name}" for name in ("fill", "lot", "expiry", "dose", "temperature")
    ]
    fill, lot, expiry, dose, warm = foam.steps
    assert fill.say == "Fill it to the line with water: 10 L. It must have 30\u201340 °C."
    assert (fill.task, fill.needs) == (Act(), ("intake.opening",))
    assert fill.use == Use(Purpose.PREPARE, "foam")
    assert lot.task == LotTask("demo foam lot")
    assert expiry.task == ExpiryTask("demo foam expiry")
    assert dose.say == "Add 1.7 fl oz of demo foam. Stir gently."
    window = read(full).bath("foam").temperature
    assert warm.task == ReadingTask("foam bath temperature", window, "foam")
    assert all(step.mandatory for step in foam.steps)


def test_a_part_with_a_treatment_ends_with_its_handing_on(full: str) -> None:
    tube = read(full).component("tube")
    last = tube.steps[-1]
    assert last.id == "tube.hand-on"
    assert last.say == "Hand on the tube. It goes on to the packing table."
    assert last.mandatory


@pytest.mark.parametrize("language", ["en", "en-GB"])
def test_texts_come_from_the_language_s_own_file(language: str) -> None:
    assert texts(language)["intake_name"] == "intake"


def test_a_language_without_such_a_file_has_no_texts() -> None:
    assert texts("tlh") == {}


def test_no_text_is_left_with_a_placeholder(full: str) -> None:
    for step in steps(full).values():
        said = [step.say, step.short, *(caution.text for caution in step.cautions)]
        assert not [text for text in said if set(text) & set("{}")], step.id

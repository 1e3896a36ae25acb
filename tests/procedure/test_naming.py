from __future__ import annotations

import pytest
from sheet_reading import exchanged, told

from assistant.grammar import pack as packs
from assistant.grammar.interpret import interpreter
from assistant.procedure.sheet import parse


# Each row: what is exchanged for what, and words of the finding.
@pytest.mark.parametrize(
    ("old", "new", "what"),
    [
        ("name: optic", "name: TUBE", 'the spoken name "tube" stands on line'),
        ("name: optic", "name: outer  tube", 'the spoken name "outer tube" stands on line'),
        ("name: optic", "name: foam bath", 'the spoken name "foam bath" stands on line'),
        ("name: optic", "name: valve cap", 'the spoken name "valve cap" stands on line'),
        ("name: acid bath", "name: foam bath", 'the spoken name "foam bath" stands on line'),
        ("[valve cap, side cap]", "[cap, cap]", 'the spoken name "cap" stands twice on line'),
        ("name: optic", "name: intake", '"intake" is the name of the intake'),
        ("id: optic", "id: intake", '"intake" is the track of the intake'),
        ("id: acid", "id: intake", '"intake" is the track of the intake'),
        ("id: optic", "id: foam", 'the id of a bath or component "foam" stands on line'),
        ("name: optic", "name: carry on", '"carry on" is said for something else'),
        ("name: optic", "name: Splash in the Eyes", "is said for something else"),
        ("name: acid bath", "name: bath 2", 'the name "bath 2" cannot be said'),
        ("name: optic", "name: rod-lens", 'the name "rod-lens" cannot be said'),
        ("also: [demo scope]", "also: [full-set scope]", "the name of the device"),
        ("also: [demo scope]", "also: [optic]", "the name of a part of it too"),
        ("title: full-set scope", "title: full set 30°", "letters and hyphens only"),
        ("title: full-set scope", "title: full - set", "letters and hyphens only"),
    ],
)
def test_a_name_that_is_not_one_thing_or_cannot_be_said_is_told(
    full: str, old: str, new: str, what: str
) -> None:
    assert any(what in line for line in told(exchanged(full, old, new)))


def test_a_device_of_one_part_may_be_called_like_it(full: str) -> None:
    alone = full[: full.index("  - id: optic")] + "  # no more\n"
    acid = alone[alone.index("  - id: acid") : alone.index("components:")]
    sheet = exchanged(alone, acid, "", "also: [demo scope]", "also: [tube]")
    assert not told(sheet)


@pytest.mark.parametrize("language", ["en"])
def test_every_name_of_a_good_sheet_can_be_said_and_means_itself(full: str, language: str) -> None:
    procedure = parse(full.encode(), "x")
    heard = interpreter(packs.load(language), [procedure])
    for component in procedure.components:
        for name in (component.name, *component.also):
            said = heard.typed(f"switch to the {name}")
            assert said is not None
            command = heard.command(said.tags)
            assert command is not None
            assert command.value == component.id
    for name in (procedure.title, *procedure.also):
        assert heard.typed(f"identify it as {name.replace('-', ' ')}") is not None

"""The uses of water: stated, or implied by what a step is and where it stands."""

from assistant.procedure.model import Act, Component, Dwell, DwellKind, Procedure, Step, Task
from assistant.procedure.uses import uses_of, wiped
from assistant.procedure.water_use import Purpose, Use

FIRST = Use(Purpose.FIRST_RINSE)
RINSE = Use(Purpose.RINSE)
FINAL = Use(Purpose.FINAL_RINSE)
SOAK = Use(Purpose.BATH, "soap")


def found(*steps: Step) -> dict[str, Use]:
    part = Component("a", "a", "away", steps)
    return uses_of(Procedure("x", "1", "x", "en", "Invented.", (), (), (), (part,)))


def step(name: str, task: Task | None = None, use: Use | None = None, bath: str = "") -> Step:
    return Step(name, "say", name, task=task or Act(), use=use, bath=bath)


def timed(name: str, kind: DwellKind = DwellKind.RINSE, bath: str | None = None) -> Step:
    return step(name, Dwell(kind, 60, bath=bath))


def test_timed_rinses_are_told_by_their_place_among_the_baths():
    assert found(
        timed("early"),
        step("wash", use=SOAK),
        timed("soak", DwellKind.SOAK, "soap"),
        timed("middle"),
        timed("last"),
        timed("dry", DwellKind.DRY),
    ) == {"early": FIRST, "wash": SOAK, "soak": SOAK, "middle": RINSE, "last": FINAL}


def test_a_steps_own_word_goes_before_its_place():
    last = step("last", Dwell(DwellKind.RINSE, 60), RINSE)
    assert found(step("soak", use=SOAK), last) == {"soak": SOAK, "last": RINSE}


def test_a_timed_rinse_is_not_the_final_one_where_a_stated_rinse_follows():
    assert found(step("soak", use=SOAK), timed("run"), step("final", use=FINAL)) == {
        "soak": SOAK,
        "run": RINSE,
        "final": FINAL,
    }


def test_a_wiped_part_needs_the_bath_that_its_cloth_is_wetted_in():
    wipe = step("wipe", bath="soap")
    assert found(wipe) == {"wipe": SOAK}
    assert wiped(wipe)
    assert not wiped(step("lie", bath="soap", use=SOAK))
    assert not wiped(Step("soak", "say", "soak", task=Dwell(DwellKind.SOAK, 60, bath="soap")))


def test_what_needs_no_water_has_no_use():
    assert found(step("look"), timed("dry", DwellKind.DRY)) == {}

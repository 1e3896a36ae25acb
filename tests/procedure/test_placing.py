"""A procedure placed at a station: where each step is done, and what makes its bay ready.

Common practice, no source: a two-bay sink is worked so that it resembles three (rinse and
soak in the first, rinse in the second, treated-water rinse apart).
"""

from dataclasses import replace

import pytest

from assistant.procedure.basin import Basin, Change
from assistant.procedure.bay_plan import Impossible
from assistant.procedure.generated import OPENING, texts
from assistant.procedure.model import BayTask, Role, Rounds, When
from assistant.procedure.placing import placed
from assistant.procedure.quantity import parse as amount
from assistant.procedure.sheet import read
from assistant.procedure.station import Bay, Station, Tap
from assistant.procedure.water_use import Water
from assistant.station import sink
from assistant.station.opening import find, shipped

WORDS = texts("en")
STATIONS = {path.stem: sink.read(path).station for path in sink.shipped()}
UTILITY, APART = Tap(Water.UTILITY), Tap(Water.TREATED, apart=True)
GRASPER = read(find("demo-grasper"))


def at(procedure, station):
    found = placed(procedure, station, WORDS)
    assert not isinstance(found, Impossible), found.reasons
    return found


def steps(procedure):
    return {step.id: step for part in procedure.components for step in part.steps}


def sink_of(bays, *taps):
    return Station(tuple(Bay(f"bay {name}") for name in bays), taps or (UTILITY, APART))


def test_two_bays_are_worked_so_that_they_resemble_three():
    found = steps(at(GRASPER, STATIONS["demo-two-bays"]))
    bays = {name: step.place.bay for name, step in found.items() if step.place is not None}
    assert bays["shaft.first-rinse"] == "bay one"
    assert bays["shaft.soak"] == "bay one"
    assert bays["shaft.flush"] == "bay two"
    assert "shaft.final-rinse" not in bays
    assert found["shaft.final-rinse"].say.endswith("At the treated water tap.")
    assert found["detergent.fill"].say.startswith("Use bay one.")
    assert found["shaft.first-rinse"].say.endswith("In bay one.")


def test_a_bay_is_made_ready_only_where_it_may_be_something_else():
    made = [s.id for s in steps(at(GRASPER, STATIONS["demo-three-bays"])).values()
            if isinstance(s.task, BayTask)]  # fmt: skip
    # Each of the three bays has one use; the bath's own may hold a bath that is given up.
    assert made == ["detergent.fill-bay"]
    one = [s.id for s in steps(at(GRASPER, STATIONS["demo-one-bay"])).values()
           if isinstance(s.task, BayTask)]  # fmt: skip
    assert set(one) == {
        *(f"{part}.first-rinse-bay" for part in ("tray", "handle", "shaft", "insert")),
        "detergent.fill-bay",
        "shaft.flush-bay",
    }


def test_what_a_bay_needs_depends_on_what_it_is():
    ready = steps(at(GRASPER, STATIONS["demo-one-bay"]))["shaft.flush-bay"]
    assert ready.short == "make the bay ready: flush the shaft"
    assert [text for _, text in ready.task.told] == ["Drain the bay.", "Wipe the bay."]
    assert ready.task.needed(Basin()) == ()
    assert ready.task.needed(Basin("detergent", 2)) == (Change.DRAIN, Change.WIPE)
    assert ready.task.needed(Basin("", 0)) == (Change.WIPE,)


def test_a_bay_for_standing_water_is_filled_with_that_water():
    scope = read(find("demo-bronchoscope"))
    found = steps(at(scope, STATIONS["demo-one-bay"]))
    told = {name: step.say for name, step in found.items() if isinstance(step.task, BayTask)}
    assert any(text.endswith("Fill the bay with treated water.") for text in told.values())
    assert any(text.endswith("Fill the bay with utility water.") for text in told.values())
    assert "Fill" not in told["detergent.fill-bay"]


def test_a_basin_without_a_drain_is_tipped_out():
    bays = (Bay("basin", drains=False), Bay("bay one"))
    found = steps(at(GRASPER, Station(bays, (UTILITY, APART))))
    assert found["detergent.fill"].place.bay == "basin"
    assert found["detergent.fill-bay"].say == "Tip out basin. Wipe basin."


def test_water_of_a_tap_that_does_not_run_lies_in_a_filled_bay():
    found = steps(at(GRASPER, sink_of(["one", "two"], UTILITY, Tap(Water.TREATED, runs=False))))
    final = found["shaft.final-rinse"]
    assert final.place.content == "treated water"
    assert final.use.standing
    assert found["shaft.final-rinse-bay"].say.endswith("with treated water.")


def test_the_bays_are_looked_at_before_any_water_is_drawn():
    found = at(GRASPER, STATIONS["demo-two-bays"])
    intake = found.components[0]
    assert [step.id for step in intake.steps[:2]] == [OPENING, "intake.bays"]
    assert "bay one, bay two" in intake.steps[1].say
    fills = [step for step in steps(found).values() if step.id.startswith("detergent.fill")]
    assert all("intake.bays" in step.needs for step in fills)


def test_a_round_that_begins_at_a_use_begins_with_its_bay():
    for start, begins in (
        ("shaft.first-rinse", "shaft.first-rinse-bay"),
        ("shaft.flush", "shaft.flush-bay"),
        ("shaft.soak", "shaft.soak"),  # its bath is waited for instead
    ):
        parts = tuple(
            replace(part, rounds=Rounds(start, 2)) if part.id == "shaft" else part
            for part in GRASPER.components
        )
        whole = at(replace(GRASPER, components=parts), STATIONS["demo-one-bay"])
        assert whole.component("shaft").rounds == Rounds(begins, 2)


def test_a_use_that_is_not_always_done_makes_its_bay_ready_only_then():
    (part,) = [part for part in GRASPER.components if part.id == "shaft"]
    late = tuple(
        replace(step, when=When.DELAYED) if step.id == "shaft.flush" else step
        for step in part.steps
    )
    parts = tuple(replace(c, steps=late) if c is part else c for c in GRASPER.components)
    found = steps(at(replace(GRASPER, components=parts), STATIONS["demo-one-bay"]))
    assert found["shaft.flush-bay"].when is When.DELAYED


def test_a_step_of_the_same_name_is_not_written_over():
    (part,) = [part for part in GRASPER.components if part.id == "shaft"]
    taken = replace(part.steps[-1], id="shaft.flush-bay")
    parts = tuple(
        replace(c, steps=(*c.steps, taken)) if c is part else c for c in GRASPER.components
    )
    found = at(replace(GRASPER, components=parts), STATIONS["demo-one-bay"])
    assert {"shaft.flush-bay", "shaft.flush-bay-bay"} <= steps(found).keys()


@pytest.mark.parametrize("station", STATIONS)
@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_placing_only_adds(path, station):
    before = read(path)
    found = at(before, STATIONS[station])
    after = steps(found)
    for name, step in steps(before).items():
        placed_step = after[name]
        assert set(step.needs) <= set(placed_step.needs)
        assert step.say in placed_step.say
        same = replace(placed_step, say=step.say, needs=step.needs, use=step.use, place=None)
        assert same == step
    added = [step for name, step in after.items() if name not in steps(before)]
    assert all(isinstance(s.task, BayTask) or s.id == "intake.bays" for s in added)
    assert {part.role for part in found.components} == {part.role for part in before.components}
    first = next(part for part in found.components if part.role is Role.INTAKE)
    assert first.steps[0].id == OPENING


@pytest.mark.parametrize(
    ("station", "why"),
    [
        (sink_of(["one"], UTILITY), "takes treated water, and the station has no tap for it."),
        (sink_of(["one"], APART), "takes utility water, and the station has no tap for it."),
        (Station((), (UTILITY, APART)), "no bay holds as much."),
        (
            Station((Bay("bay one", amount("2 L")),), (UTILITY, APART)),
            "The detergent bath takes 20 L, and no bay holds as much.",
        ),
        (
            Station((Bay("bay one", drains=False),), (UTILITY, APART)),
            "bay one cannot be drained",
        ),
    ],
    ids=["no treated water", "no utility water", "no bay", "a small bay", "no drain"],
)
def test_a_station_at_which_it_cannot_be_done_says_why(station, why):
    found = placed(GRASPER, station, WORDS)
    assert isinstance(found, Impossible)
    assert any(why in reason for reason in found.reasons), found.reasons

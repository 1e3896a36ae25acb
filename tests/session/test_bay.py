"""The bays while a session goes on: in whatever order the tracks are taken, each use is done
in a bay that is right for it, and every order can be finished."""

import itertools
from dataclasses import replace
from datetime import date, timedelta
from random import Random

import pytest
from eye import Eye
from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st
from technician import MOST_TURNS, Technician
from whole import PACK, START, Whole

from assistant.procedure.basin import Basin
from assistant.procedure.bay_plan import Impossible
from assistant.procedure.bays import lay_out
from assistant.procedure.generated import bath_track, intake, texts
from assistant.procedure.model import (
    Act,
    Approval,
    Bath,
    Component,
    CountTask,
    Dwell,
    DwellKind,
    HandOnTask,
    Procedure,
    Rounds,
    Step,
)
from assistant.procedure.placing import placed
from assistant.procedure.quantity import Window, parse
from assistant.procedure.sheet import read
from assistant.procedure.station import Bay, Station, Tap
from assistant.procedure.uses import uses_of
from assistant.procedure.water_use import Purpose, Use, Water
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.effect import Say
from assistant.session.track import present, sayable
from assistant.speaking.line import line
from assistant.station import sink
from assistant.station.opening import shipped

WORDS = texts("en")
STATIONS = {path.stem: sink.read(path).station for path in sink.shipped()}
SHEETS = {path.stem: read(path) for path in shipped()}
STRAYS = 250


class Wanderer(Technician):
    """Takes the tracks in any order, goes back, cleans again, throws baths away."""

    def __init__(self, procedure, station, uses, random):
        super().__init__(procedure, late=random.random() < 0.5)
        running = {f"{tap.water} water" for tap in station.taps if tap.runs}
        bays = [bay.name for bay in station.bays]
        self.random, self.eye = random, Eye(self.led, bays, uses, running, PACK)

    def turn(self):
        if self.led.state.pending is not None:
            self.led.say(Verb.AFFIRM)
        else:
            super().turn()
        self.eye.look()

    def wander(self, turns):
        for _ in range(turns):
            if self.led.state.closed:
                return
            self.stray()
            self.eye.look()

    def stray(self):
        led, draw = self.led, self.random.random()
        if led.state.pending is not None:
            led.say(Verb.AFFIRM)
        elif draw < 0.55:
            self.turn()
        elif draw < 0.85:
            led.say(Verb.SWITCH, self.random.choice(led.procedure.components).id)
        elif draw < 0.90:
            led.wait(self.random.choice([10, 60, 400, 3000]))
        elif draw < 0.93:
            self.missing()
        elif draw < 0.95:
            led.say(Verb.GO_BACK)
        elif draw < 0.975:
            led.say(Verb.CLEAN_AGAIN)
        else:
            led.say(Verb.SPOIL, "soil")
            led.say(Verb.FRESH_BATH)

    def missing(self):
        step = present(self.led.procedure, self.led.state, self.led.state.focus)
        if step is not None and isinstance(step.task, CountTask):
            item = self.random.choice(step.task.items)
            if item.component not in self.led.state.position:  # else it is here
                self.led.say(Verb.MISSING, item.id)

    def do(self, step):
        if not isinstance(step.task, HandOnTask):
            return super().do(step)
        part, state = self.led.state.focus, self.led.state
        if part not in state.choices and any(d.component == part for d in state.open):
            self.led.yes(Verb.HOLD, "it was not cleaned as it should be")
        elif part not in state.choices:
            self.led.say(Verb.HAND_ON, str(step.task.treatment))
        self.containers += 1
        return self.led.yes(Verb.CONTAINER, f"C{self.containers}")


@pytest.mark.parametrize("seed", range(3))
@pytest.mark.parametrize("station", STATIONS)
@pytest.mark.parametrize("name", SHEETS)
def test_in_every_order_each_use_of_a_demo_device_finds_its_bay_right(name, station, seed):
    fitted = SHEETS[name]
    procedure = sink.equipped(fitted, STATIONS[station])
    assert not isinstance(procedure, Impossible)
    wanderer = Wanderer(procedure, STATIONS[station], uses_of(fitted), Random(seed))  # noqa: S311 - no secret
    wanderer.wander(STRAYS)
    wanderer.work()
    assert wanderer.led.state.closed


def wiped(led):
    """How often a bay was given another use."""
    return sum("wipe" in event.changes for event in led.of(ev.BayTurned))


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("station", STATIONS)
@pytest.mark.parametrize("name", SHEETS)
def test_no_order_of_the_tracks_takes_more_changes_than_the_plan(name, station, seed):
    where, procedure = STATIONS[station], SHEETS[name]
    plan = lay_out(where, procedure)
    wanderer = Wanderer(
        sink.equipped(procedure, where),
        where,
        uses_of(procedure),
        Random(seed),  # noqa: S311 - no secret
    )
    led = wanderer.led
    for _ in range(MOST_TURNS):
        if led.state.closed:
            break
        if led.state.focus != "intake" and wanderer.random.random() < 0.5:
            led.say(Verb.SWITCH, wanderer.random.choice(led.procedure.components).id)
        wanderer.turn()
    assert led.state.closed
    renewed = sum(bool(event.steps) for event in led.of(ev.BathEmptied))
    assert wiped(led) <= plan.changes + renewed
    if not any(step.when for part in procedure.components for step in part.steps):
        assert wiped(led) == plan.changes + renewed


WARM = Window(parse("30 °C"), parse("40 °C"))
BATHS = tuple(
    Bath(name, f"{name} bath", "demo soap", parse("20 L"), parse("5 mL/L"), WARM, most_uses=4)
    for name in ("soap", "oil")
)
RINSES = [
    Use(Purpose.FIRST_RINSE),
    Use(Purpose.FIRST_RINSE, standing=True),
    Use(Purpose.RINSE),
    Use(Purpose.RINSE, standing=True),
    Use(Purpose.FINAL_RINSE),
    Use(Purpose.FINAL_RINSE, standing=True),
]


def in_bath(name, bath, kind):
    task = Dwell(DwellKind.SOAK, 300, bath=bath) if kind else Act()
    needs = (f"{bath}.temperature",)
    return Step(name, "Work.", name, task=task, needs=needs, bath=bath, use=Use(Purpose.BATH, bath))


@st.composite
def procedures(draw):
    """Parts that rinse and bathe in any order, tied to each other anyhow, some cleaned again."""
    parts, earlier, baths = [], [], set()
    for name in "abc"[: draw(st.integers(1, 3))]:
        steps = []
        for number in range(draw(st.integers(1, 5))):
            step_id = f"{name}.s{number}"
            if draw(st.booleans()):
                bath = draw(st.sampled_from(["soap", "oil"]))
                baths.add(bath)
                step = in_bath(step_id, bath, draw(st.booleans()))
            else:
                task = Dwell(DwellKind.RINSE, 60) if draw(st.booleans()) else Act()
                use = draw(st.sampled_from(RINSES))
                step = Step(step_id, "Rinse.", step_id, task=task, needs=(), use=use)
            tie = draw(st.sampled_from([None, *earlier])) if earlier else None
            steps.append(replace(step, needs=(*step.needs, *([tie] if tie else []))))
        first = replace(steps[0], needs=(*steps[0].needs, "intake.count"))
        earlier += [step.id for step in steps]
        rounds = Rounds(draw(st.sampled_from(steps)).id, 3)
        parts.append(Component(name, name, "away", (first, *steps[1:]), rounds=rounds))
    taken = intake(WORDS, (), ("gloves",), parts, (600, "Wait."), identified=False)
    used = [bath for bath in BATHS if bath.id in baths]
    tracks = [bath_track(WORDS, bath) for bath in used]
    return Procedure(
        "invented", "1", "invented", "en", "Invented values.", (), (), tuple(used),
        (taken, *tracks, *parts),
        approval=Approval("invented lead", date(2026, 1, 1), date(2027, 1, 1)),
    )  # fmt: skip


@st.composite
def stations(draw):
    count = draw(st.integers(1, 3))
    bays = tuple(
        Bay(f"bay {n}", drains=n != "two" or draw(st.booleans()))
        for n in ["one", "two", "three"][:count]
    )
    treated = draw(st.sampled_from([{"apart": True}, {}, {"runs": False}]))
    utility = draw(st.sampled_from([{}, {}, {"apart": True}, {"runs": False}]))
    return Station(bays, (Tap(Water.UTILITY, **utility), Tap(Water.TREATED, **treated)))


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.filter_too_much])
@given(procedures(), stations(), st.integers(0, 2**32))
def test_in_every_order_each_use_of_any_device_finds_its_bay_right(procedure, station, seed):
    found = placed(procedure, station, WORDS)
    assume(not isinstance(found, Impossible))
    wanderer = Wanderer(found, station, uses_of(procedure), Random(seed))  # noqa: S311 - no secret
    wanderer.wander(80)
    wanderer.work()
    assert wanderer.led.state.closed


@settings(max_examples=150, deadline=None)
@given(procedures(), stations())
def test_no_step_of_a_placed_procedure_waits_for_itself(procedure, station):
    found = placed(procedure, station, WORDS)
    if isinstance(found, Impossible):
        assert found.reasons
        return
    left = {step.id: set(step.needs) for part in found.components for step in part.steps}
    for part in found.components:
        for above, below in itertools.pairwise(part.steps):
            left[below.id].add(above.id)
    # Kahn 1962: what nothing waits for any more is taken away until nothing is left.
    while free := [step for step, needs in left.items() if not needs & left.keys()]:
        for step in free:
            del left[step]
    assert not left
    assert not [need for needs in left.values() for need in needs]


# One bay, two parts that are rinsed, bathed, rinsed again.


def device():
    parts = []
    for name in ("tube", "rod"):
        steps = (
            Step(f"{name}.first", "Rinse.", f"rinse the {name}", needs=("intake.count",),
                 use=RINSES[0]),
            in_bath(f"{name}.soak", "soap", kind=True),
            Step(f"{name}.rinse", "Rinse.", f"rinse the {name} again", use=RINSES[3]),
            Step(f"{name}.look", "Look.", f"look at the {name}"),
        )  # fmt: skip
        parts.append(Component(name, name, "away", steps, rounds=Rounds(f"{name}.first", 3)))
    taken = intake(WORDS, (), ("gloves",), parts, (600, "Wait."), identified=False)
    approval = Approval("invented lead", date(2026, 1, 1), date(2027, 1, 1))
    components = (taken, bath_track(WORDS, BATHS[0]), *parts)
    return Procedure(
        "invented", "1", "invented", "en", "Invented values.", (), (), BATHS[:1], components,
        approval=approval,
    )  # fmt: skip


ONE_BAY = Station((Bay("bay one"),), (Tap(Water.UTILITY), Tap(Water.TREATED, apart=True)))


@pytest.fixture
def led():
    """The intake is done, both parts are rinsed, the bath is made; the tube is before its soak."""
    led = Whole(placed(device(), ONE_BAY, WORDS))
    led.say(Verb.AFFIRM)
    led.say(Verb.NEXT)
    led.say(Verb.AFFIRM)
    led.yes(Verb.READING, "5")
    led.say(Verb.AFFIRM)
    for part in ("tube", "rod"):
        if led.state.focus != part:
            led.say(Verb.SWITCH, part)
        led.say(Verb.NEXT)
    led.say(Verb.SWITCH, "soap")
    make(led)
    assert led.present() == "tube.soak"
    return led


def make(led):
    """The bath, from its bay on."""
    if led.present() == "soap.fill-bay":
        led.say(Verb.NEXT)
    assert led.present() == "soap.fill"
    led.make_bath("35")


def bathe(led, part):
    if led.state.focus != part:
        led.say(Verb.SWITCH, part)
    led.say(Verb.START_SOAK)
    led.wait(300)
    led.say(Verb.NEXT)


def told(led):
    """The last instruction, as shown."""
    prompts = [p for e in led.effects if isinstance(e, Say) for p in e.prompts]
    return next(line(PACK, p).shown for p in reversed(prompts) if p.key.startswith("step_"))


def test_a_renewed_bath_is_drained_first_and_that_is_said(led):
    led.yes(Verb.FRESH_BATH)
    assert led.present() == "soap.fill-bay"
    assert told(led) == 'Drain bay one. Wipe bay one. Then say "next".'
    make(led)
    assert led.state.bays["bay one"] == Basin("soap", Purpose.BATH)


def test_a_bath_that_nobody_needs_any_more_is_drained_without_another_word(led):
    for part in ("tube", "rod"):
        bathe(led, part)
    assert led.present() == "rod.rinse-bay"
    assert (
        told(led)
        == 'Drain bay one. Wipe bay one. Fill bay one with utility water. Then say "next".'
    )
    led.say(Verb.NEXT)
    assert "soap" not in led.state.baths
    for part in ("rod", "tube"):
        if led.state.focus != part:
            led.say(Verb.SWITCH, part)
        assert led.present() == f"{part}.rinse"  # the bay is ready for both
        led.say(Verb.NEXT)
        led.say(Verb.NEXT)
    led.yes(Verb.SIGN_OFF)
    assert led.state.closed


def test_a_bath_is_not_drained_while_a_part_still_needs_it(led):
    bathe(led, "tube")
    assert led.state.focus == "tube"
    assert led.refusal(Verb.NEXT) == "waits_for"


def test_a_round_that_begins_again_makes_bath_and_bay_ready_again(led):
    for part in ("tube", "rod"):
        bathe(led, part)
    led.say(Verb.NEXT)
    led.say(Verb.NEXT)
    assert led.present() == "rod.look"
    led.yes(Verb.CLEAN_AGAIN)
    (gone,) = [e for e in led.of(ev.BathEmptied) if e.steps]
    assert gone.bath == "soap"
    assert told(led) == 'Drain bay one. Wipe bay one. Then say "next".'  # of its rinsing water
    led.say(Verb.NEXT)
    led.say(Verb.NEXT)
    assert led.refusal(Verb.START_SOAK) == "waits_for"
    # The bath's bay was used for the first rinse of the rod.
    led.say(Verb.SWITCH, "soap")
    assert told(led) == 'Wipe bay one. Then say "next".'
    make(led)
    bathe(led, "rod")
    assert told(led).startswith("Drain bay one. Wipe bay one. Fill bay one with utility water.")
    led.say(Verb.NEXT)
    assert led.present() == "rod.rinse"


def test_what_was_ready_and_is_soiled_by_a_part_that_is_cleaned_again_is_made_ready_anew(led):
    for part in ("tube", "rod"):
        bathe(led, part)
    led.say(Verb.NEXT)
    led.say(Verb.NEXT)
    led.say(Verb.SWITCH, "tube")
    assert led.present() == "tube.rinse"
    led.say(Verb.SWITCH, "rod")
    led.yes(Verb.CLEAN_AGAIN)
    led.say(Verb.NEXT)
    led.say(Verb.NEXT)  # the rod is rinsed first in what was clean for the tube
    led.say(Verb.SWITCH, "tube")
    refused, again = led.say(Verb.NEXT)
    assert (refused.reason, again.again) == ("bay_not_ready", True)
    assert led.present() == "tube.rinse-bay"
    assert told(led).startswith("Wipe bay one. Fill bay one with utility water.")


def test_a_bay_is_left_alone_while_a_part_lies_in_it(led):
    led.say(Verb.START_SOAK)
    led.say(Verb.SWITCH, "rod")
    led.yes(Verb.CLEAN_AGAIN)
    assert led.present() == "rod.first-bay"
    assert led.refusal(Verb.NEXT) == "bay_in_use"
    led.wait(300)
    led.say(Verb.SWITCH, "tube")
    led.say(Verb.NEXT)
    led.say(Verb.SWITCH, "rod")
    led.say(Verb.NEXT)
    assert led.present() == "rod.first"
    # The rod still needs the bath that was drained, so its track begins anew.
    assert led.of(ev.BathEmptied)[-1].steps


def test_a_drained_bath_can_be_made_anew_whoever_asks_for_it(led):
    for part in ("tube", "rod"):
        bathe(led, part)
    led.say(Verb.NEXT)
    led.say(Verb.GO_BACK)
    assert led.present() == "rod.soak"
    assert led.refusal(Verb.START_SOAK) == "bath_doubtful"
    led.say(Verb.SWITCH, "soap")
    assert any(p.key == "bath_drained" for p in led.effects[-1].prompts)
    assert Verb.FRESH_BATH in sayable(led.procedure, led.state)
    led.yes(Verb.FRESH_BATH)
    assert led.present() == "soap.fill-bay"
    assert told(led).startswith("Drain bay one.")


def stood(bay):
    at = START - timedelta(hours=1)
    return ev.BathStood(START, "soap", "s0", at, 1, "A37", "2027-12-31", bay)


@pytest.mark.parametrize("bay", ["", "bay one"])
def test_a_standing_bath_lies_in_its_bay_until_a_first_rinse_needs_that(bay):
    led = Whole(placed(device(), ONE_BAY, WORDS), standing=(stood(bay),))
    led.say(Verb.AFFIRM)
    led.say(Verb.NEXT)
    led.say(Verb.AFFIRM)
    led.yes(Verb.READING, "5")
    led.say(Verb.AFFIRM)
    assert told(led) == 'Drain bay one. Wipe bay one. Then say "next".'
    led.say(Verb.NEXT)
    assert not led.state.standing
    led.say(Verb.SWITCH, "soap")
    assert led.refusal(Verb.KEEP_BATH) == "not_standing"


def test_a_bath_that_stands_in_another_bay_is_not_offered():
    led = Whole(placed(device(), ONE_BAY, WORDS), standing=(stood("bay nine"),))
    assert not led.state.standing


def test_a_standing_bath_that_is_taken_over_is_used_in_its_bay():
    two = replace(ONE_BAY, bays=(Bay("bay one"), Bay("bay two", parse("30 L"))))
    whole = placed(device(), replace(two, bays=(Bay("bay one", parse("5 L")), two.bays[1])), WORDS)
    led = Whole(whole, standing=(stood("bay two"),))
    led.say(Verb.AFFIRM)
    led.say(Verb.NEXT)
    led.say(Verb.SWITCH, "soap")
    led.say(Verb.KEEP_BATH)
    assert led.state.bays["bay two"] == Basin("soap", Purpose.BATH)
    led.yes(Verb.READING, "35")
    assert present(led.procedure, led.state, "soap") is None

"""The shipped procedures: together they use all that a sheet can say, in words that are heard."""

from __future__ import annotations

from collections import Counter
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

import biip
import pytest
import yaml

from assistant.procedure import fields, layout
from assistant.procedure.bay_plan import Plan
from assistant.procedure.bays import lay_out
from assistant.procedure.model import (
    CountTask,
    Dwell,
    DwellKind,
    HandOnTask,
    InspectionTask,
    LightJudge,
    LimitJudge,
    LotTask,
    Method,
    Question,
    ReadingTask,
    ResidueJudge,
    Role,
    TallyTask,
    TestTask,
    Treatment,
    WaterJudge,
    When,
)
from assistant.procedure.quantity import Unit, parse
from assistant.procedure.sheet import check, read
from assistant.procedure.station import Bay, Station, Tap
from assistant.procedure.water_use import Purpose, Water
from assistant.speaking.wording import STOPS, spoken
from assistant.trade.bath import Ratio
from assistant.trade.lumen import Lumen, channel_volume
from assistant.trade.scan import identify

if TYPE_CHECKING:
    from collections.abc import Iterator

    from assistant.procedure.model import Procedure, Step

FOLDER = Path(__file__).parents[2] / "procedures"
COMPLETE = ["bronchoscope", "eye", "grasper", "shaver", "suction-set", "telescope"]
SHEETS = {stem: FOLDER / f"demo-{stem}.yaml" for stem in COMPLETE}
READ = {stem: read(path) for stem, path in SHEETS.items()}
each = pytest.mark.parametrize("procedure", READ.values(), ids=READ)

MOST_SIGNS = 160  # of an instruction; our own limit, no source
LAYOUTS = [found for found in vars(layout).values() if isinstance(found, layout.Layout)]


def steps(procedure: Procedure) -> list[Step]:
    return [step for component in procedure.components for step in component.steps]


def texts(procedure: Procedure) -> Iterator[str]:
    """Everything of a procedure that may come to be spoken."""
    yield from (procedure.title, *procedure.also, procedure.notice)
    yield from (*procedure.hazards, *procedure.protective_equipment)
    for bath in procedure.baths:
        yield from (bath.name, bath.detergent)
    for component in procedure.components:
        yield from (component.name, *component.also, component.onward, *component.adapters)
    for step in steps(procedure):
        yield from (step.say, step.short, *(caution.text for caution in step.cautions))
        match step.task:
            case Question(text=text, if_not=if_not):
                yield from (text, if_not)
            case CountTask(items=items):
                yield from (item.name for item in items)
            case TallyTask(lumen=lumen):
                yield lumen
            case InspectionTask() | LotTask() | ReadingTask() | TestTask():
                yield step.task.of


def test_the_sheets_of_this_list_are_all_that_are_shipped_beside_the_short_one() -> None:
    assert sorted(path.stem for path in FOLDER.glob("*.yaml")) == sorted(
        [*(path.stem for path in SHEETS.values()), "demo-short"]
    )


def test_together_they_use_every_key_that_a_sheet_may_have(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    used: Counter[tuple[str, str]] = Counter()
    begin = fields.Fields.__init__

    def noting(block, mapping, known, findings) -> None:
        used.update((known.name, key.text) for key, _ in mapping.pairs)
        begin(block, mapping, known, findings)

    monkeypatch.setattr(fields.Fields, "__init__", noting)
    for path in SHEETS.values():
        read(path)
    known = {(found.name, key) for found in LAYOUTS for key in found.keys}
    assert known - set(used) == set()


def test_together_they_use_every_way_to_judge_and_every_kind_of_task() -> None:
    found = [step for procedure in READ.values() for step in steps(procedure)]
    judges = {type(step.task.judge) for step in found if isinstance(step.task, TestTask)}
    assert judges >= {LightJudge, ResidueJudge, WaterJudge, LimitJudge}
    assert {step.task.kind for step in found if isinstance(step.task, Dwell)} == set(DwellKind)
    assert {step.when for step in found} == {None, *When}
    assert {p.treatment for procedure in READ.values() for p in procedure.parts} == set(Treatment)
    never = {method for procedure in READ.values() for p in procedure.parts for method in p.never}
    assert never == set(Method)
    uses = {(step.use.purpose, step.use.standing) for step in found if step.use is not None}
    assert {purpose for purpose, _ in uses} == set(Purpose)
    assert {standing for _, standing in uses} == {True, False}


@pytest.mark.parametrize("path", SHEETS.values(), ids=SHEETS)
def test_each_is_good(path: Path) -> None:
    assert check(path) == []


def test_doses_come_in_all_forms_and_are_measured_in_different_units() -> None:
    baths = [bath for procedure in READ.values() for bath in procedure.baths]
    doses = {Ratio if isinstance(bath.dose, Ratio) else bath.dose.unit for bath in baths}
    per_volume = {Unit.MILLILITRE_PER_LITRE, Unit.FLUID_OUNCE_PER_GALLON}
    assert doses == {Ratio, Unit.PERCENT, *per_volume}
    assert {bath.measured_in for bath in baths} == {Unit.MILLILITRE, Unit.LITRE, Unit.FLUID_OUNCE}
    assert all(bath.most_age_s and bath.most_uses for bath in baths)
    assert {bath.cooling is None for bath in baths} == {True, False}


@each
def test_each_is_of_a_size_that_a_technician_can_keep_in_mind(procedure: Procedure) -> None:
    assert 25 <= len(steps(procedure)) <= 45


@each
def test_each_says_that_it_is_invented_and_defers_to_the_maker(procedure: Procedure) -> None:
    assert "invented" in procedure.notice
    assert "device maker's instructions for use" in procedure.notice
    assert procedure.id.startswith("demo-")
    assert all(bath.detergent.startswith("demo ") for bath in procedure.baths)


@each
def test_each_is_approved_counted_and_has_a_window_since_use(procedure: Procedure) -> None:
    assert procedure.approval is not None
    assert procedure.approval.by == "demo lead"
    assert procedure.approval.until == date(2035, 12, 31)
    intake = [step.id for step in procedure.components[0].steps]
    assert intake == [
        "intake.opening",
        "intake.identify",
        "intake.treated",
        "intake.elapsed",
        "intake.count",
    ]


def test_codes_are_right_by_another_librarys_reckoning_and_belong_to_one_device() -> None:
    keys = [key for procedure in READ.values() for key in procedure.codes]
    assert len(set(keys)) == len(keys)
    schemes = Counter(key.partition(":")[0] for key in keys)
    assert all(schemes[scheme] == 1 for scheme in ("grai", "giai", "hibc"))
    for key in keys:
        scheme, _, item = key.partition(":")
        # The library biip reckons the GS1 check digits; it knows no HIBC.
        if scheme == "gtin":
            gtin = biip.parse(item).gtin
            assert gtin is not None
            # GS1's prefix for demonstrations, and one for use within a company (from memory).
            assert gtin.as_gtin_14()[1:4] in {"952", "200"}
        elif scheme != "hibc":
            ai = {"grai": "8003", "giai": "8004"}[scheme]
            assert biip.parse(f"{ai}{item}").gs1_message is not None
            assert "952" in item[:4]


def test_the_hibc_code_has_the_labeler_of_the_standards_own_examples() -> None:
    # ANSI/HIBC 2.6 prints its examples with the labeler code A999; its check character is
    # the sum of the signs modulo 43, reckoned here by hand.
    code = "+A999EYE1000C"
    assert f"hibc:{identify(code, 2026).item}" in READ["eye"].codes
    signs = "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ-. $/+%"
    assert signs[sum(signs.index(sign) for sign in code[:-1]) % 43] == code[-1]


@each
def test_every_text_can_be_said_in_words_alone(procedure: Procedure) -> None:
    for text in texts(procedure):
        said = spoken(text)
        signs = {sign for sign in said if not (sign.isalpha() or sign in f"{STOPS}' ")}
        assert not signs, (text, said)
        assert "{" not in text


@each
def test_instructions_are_short_enough_to_be_heard_over_water(procedure: Procedure) -> None:
    for part in procedure.parts:
        for step in part.steps:
            assert len(step.say) <= MOST_SIGNS, step.id
            assert step.say.count(". ") < 4, step.id
            for caution in step.cautions:
                assert len(caution.text) <= MOST_SIGNS / 1.5, step.id


@each
def test_a_cue_names_one_step_only(procedure: Procedure) -> None:
    shorts = Counter(step.short for step in steps(procedure))
    assert [short for short, count in shorts.items() if count > 1] == []


@each
def test_names_are_one_or_two_plain_words(procedure: Procedure) -> None:
    for component in procedure.components:
        for name in (component.name, *component.also, *component.adapters):
            assert name.replace(" ", "").isalpha()
            assert len(name.split()) <= 2, name


@each
def test_every_part_goes_on_by_a_treatment_and_can_be_cleaned_again(procedure: Procedure) -> None:
    for part in procedure.parts:
        assert part.treatment is not None
        assert isinstance(part.steps[-1].task, HandOnTask)
        assert part.rounds is not None


@each
def test_every_part_is_looked_at_or_counted_before_it_goes_on(procedure: Procedure) -> None:
    for part in procedure.parts:
        looked = [s for s in part.steps if isinstance(s.task, InspectionTask | Question)]
        assert looked, part.id
        assert looked[-1].mandatory


@each
def test_what_met_detergent_is_rinsed_with_treated_water_afterwards(procedure: Procedure) -> None:
    # Common practice, no source.
    for part in procedure.parts:
        met = [n for n, step in enumerate(part.steps) if step.bath]
        rinsed = [
            n
            for n, step in enumerate(part.steps)
            if step.use is not None and step.use.purpose is Purpose.FINAL_RINSE
        ]
        assert not met or max(rinsed) > max(met), part.id
        for n in rinsed:
            task = part.steps[n].task
            # Common practice, no source: a final treated-water rinse of 60 s.
            assert not isinstance(task, Dwell) or task.least_s >= 60


@each
@pytest.mark.parametrize("bays", [2, 3])
def test_each_fits_a_sink_of_two_or_three_bays_with_treated_water(
    procedure: Procedure, bays: int
) -> None:
    sink = Station(
        tuple(Bay(f"bay {number}") for number in range(bays)),
        (Tap(Water.UTILITY), Tap(Water.TREATED)),
    )
    assert isinstance(lay_out(sink, procedure), Plan)


# Facts of the trade, each common practice without a source.


def step_of(stem: str, identifier: str) -> Step:
    (found,) = [step for step in steps(READ[stem]) if step.id == identifier]
    return found


def dwell_of(stem: str, identifier: str) -> tuple[int, int | None]:
    task = step_of(stem, identifier).task
    assert isinstance(task, Dwell)
    return task.least_s, task.most_s


@each
def test_no_bath_is_so_hot_that_proteins_set(procedure: Procedure) -> None:
    # Proteins set onto surfaces near 50 °C, 120 °F (common practice, no source).  In the
    # unit of each window: 120 °F is one detergent's own end.
    for bath in procedure.baths:
        hot = bath.temperature.most
        assert hot is not None
        assert hot.base <= parse("120 °F").base < parse("50 °C").base, bath.id


def test_an_optic_is_neither_brushed_nor_put_under_pressure() -> None:
    assert READ["telescope"].component("telescope").never == {Method.BRUSH, Method.PRESSURE}


def test_the_optic_soaks_15_min_and_rinses_60_s_and_cables_soak_1_to_5_min() -> None:
    assert dwell_of("telescope", "telescope.soak")[0] == 15 * 60
    assert dwell_of("telescope", "telescope.final-rinse")[0] == 60
    assert dwell_of("telescope", "cable.soak") == (60, 300)
    assert dwell_of("shaver", "cable.soak") == (60, 300)


def test_one_detergent_has_a_window_of_90_to_120_degrees_fahrenheit() -> None:
    (bath,) = READ["telescope"].baths
    assert str(bath.temperature) == "90\u2013120 °F"


@pytest.mark.parametrize(("stem", "part"), [("telescope", "telescope"), ("telescope", "cable")])
def test_adapters_come_off_before_anything_wet(stem: str, part: str) -> None:
    ids = [step.id.partition(".")[2] for step in READ[stem].component(part).steps]
    off = min(n for n, name in enumerate(ids) if name.startswith("adapter"))
    assert off < min(n for n, name in enumerate(ids) if name.startswith("first"))


def test_a_powered_handpiece_stays_out_of_the_bath_and_is_capped_before_water() -> None:
    handpiece = READ["shaver"].component("handpiece")
    assert Method.SUBMERGE in handpiece.never
    ids = [step.id for step in handpiece.steps]
    assert ids.index("handpiece.cap") < ids.index("handpiece.first-rinse")
    # Soil may be found when the cap is off again: the new round puts it on.
    assert handpiece.rounds is not None
    assert handpiece.rounds.start == "handpiece.cap"


def test_cables_are_coiled_loosely_and_floating_parts_weighed_down() -> None:
    said = {stem: " ".join(step.say for step in steps(READ[stem])) for stem in READ}
    assert "oosely" in said["telescope"]
    assert "oosely" in said["shaver"]
    for part in ("valve", "cover"):
        assert step_of("bronchoscope", f"{part}.soak").say.startswith("Weigh the")


def test_a_scope_is_tested_for_leaks_before_it_goes_under_water() -> None:
    ids = [step.id for step in READ["bronchoscope"].component("bronchoscope").steps]
    assert ids.index("bronchoscope.release") < ids.index("bronchoscope.first-rinse")
    assert ids.index("bronchoscope.leak-test") < ids.index("bronchoscope.release")


def test_a_scope_is_dried_with_forced_air_for_at_least_ten_minutes() -> None:
    # ANSI/AAMI ST91:2021, read in a secondary copy.
    assert dwell_of("bronchoscope", "bronchoscope.dry")[0] >= 600
    pressure = step_of("bronchoscope", "bronchoscope.dry-pressure").task
    assert isinstance(pressure, ReadingTask)
    assert pressure.window.most is not None


def test_no_detergent_meets_an_eye_handpiece_and_its_lumens_come_before_the_bath() -> None:
    eye = READ["eye"]
    for part in ("handpiece", "cannula"):
        assert not any(step.bath for step in eye.component(part).steps)
    for part in ("wrench", "basket"):
        first = next(step for step in eye.component(part).steps if step.bath)
        assert {"handpiece.inspect", "cannula.inspect"} <= set(first.needs)


@pytest.mark.parametrize("stem", COMPLETE)
def test_a_counted_flush_is_many_times_what_its_lumen_holds(stem: str) -> None:
    # Common practice, no source: at least three times the volume of the channel.
    text = SHEETS[stem].read_text(encoding="utf-8")
    written = yaml.load(text, Loader=yaml.BaseLoader)  # noqa: S506 - it makes text only
    held = {
        (part["id"], lumen["name"]): channel_volume(
            Lumen(parse(lumen["diameter"]), parse(lumen["length"]))
        ).value
        for part in written["components"]
        for lumen in part.get("lumens", [])
    }
    for part in READ[stem].parts:
        for step in part.steps:
            if isinstance(step.task, TallyTask) and step.task.volume is not None:
                assert step.task.volume.base >= 3 * held[part.id, step.task.lumen].base, step.id


@each
def test_only_the_intake_and_parts_are_named_in_a_count(procedure: Procedure) -> None:
    (count,) = [step.task for step in steps(procedure) if isinstance(step.task, CountTask)]
    named = {item.component for item in count.items}
    assert named == {c.id for c in procedure.components if c.role is Role.PART}
    adapters = sum(len(part.adapters) for part in procedure.parts)
    assert len(count.items) == len(named) + adapters

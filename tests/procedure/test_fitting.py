"""What a station fills in of a procedure, and what it never loosens."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sheet_reading import read

from assistant.procedure import sheet
from assistant.procedure.fitting import fitted
from assistant.procedure.model import LightJudge, TestTask, WaterJudge
from assistant.procedure.quantity import Quantity, Unit, parse
from assistant.procedure.station import Station, Tap
from assistant.procedure.water_use import Water
from assistant.station import sink
from assistant.station.opening import shipped
from assistant.trade.cooling import Cooling
from assistant.trade.residue import Meter
from assistant.trade.water import TIR34_2014, Grade, Property, WaterTable

if TYPE_CHECKING:
    from assistant.procedure.model import Procedure

BARE = Station((), ())
FULL = (Path(__file__).parent / "sheets" / "full.yaml").read_text(encoding="utf-8")


def judges(procedure: Procedure) -> list[object]:
    steps = [step for part in procedure.components for step in part.steps]
    return [step.task.judge for step in steps if isinstance(step.task, TestTask)]


def test_a_station_that_states_nothing_changes_nothing(full: str) -> None:
    assert fitted(read(full), BARE) == read(full)


# NIST Handbook 44, Appendix C: 1 fl oz = 29.5735295625 mL; 5.0 L at 1:200 take 25 mL.
@pytest.mark.parametrize(
    ("unit", "said"), [(Unit.MILLILITRE, "25 mL"), (Unit.FLUID_OUNCE, "0.845")]
)
def test_a_dose_is_told_in_the_stations_unit_where_the_sheet_leaves_it_open(
    full: str, unit: Unit, said: str
) -> None:
    led = fitted(read(full), replace(BARE, measured_in=unit))
    (dose,) = [step for step in led.component("acid").steps if step.id == "acid.dose"]
    assert said in dose.say
    assert led.bath("acid").measured_in is unit
    assert led.bath("foam").measured_in is Unit.FLUID_OUNCE  # as the sheet states
    assert dose.working == led.bath("acid").working


def test_a_bath_cools_as_at_the_station_where_the_sheet_states_nothing(full: str) -> None:
    at = replace(BARE, room=parse("19 °C"), cooling_per_min=Decimal("0.01"))
    led = fitted(read(full), at)
    assert led.bath("acid").cooling == Cooling(parse("19 °C"), Decimal("0.01"))
    assert led.bath("foam").cooling == read(full).bath("foam").cooling


def test_water_is_judged_by_the_stations_table_where_that_has_a_limit(full: str) -> None:
    # AAMI TIR34:2014 has a limit for the conductivity of critical water.
    wanted = WaterJudge(Grade.CRITICAL, Property.CONDUCTIVITY, TIR34_2014)
    assert replace(wanted, table=None) in judges(read(full))
    assert wanted in judges(fitted(read(full), replace(BARE, water_table=TIR34_2014)))
    empty = WaterTable("invented", TIR34_2014.standing, ())
    assert replace(wanted, table=None) in judges(
        fitted(read(full), replace(BARE, water_table=empty))
    )


@given(limit=st.integers(1, 999), named=st.sampled_from(["demo meter", "Demo Meter", "other"]))
def test_a_station_never_loosens_the_limit_of_a_meter(limit: int, named: str) -> None:
    # AJIC 2013 used less than 200 RLU; limits hold on their own meter only.
    own = Meter(named, Quantity(Decimal(limit), Unit.RELATIVE_LIGHT_UNIT))
    led = fitted(read(FULL), replace(BARE, meters=(own,)))
    (judge,) = [judge for judge in judges(led) if isinstance(judge, LightJudge)]
    same = named.lower() == "demo meter"
    assert judge.meter == Meter("demo meter", parse(f"{min(200, limit) if same else 200} RLU"))


SHEET = """\
id: invented-tube
revision: "1"
title: invented tube
language: en
notice: Invented values.
hazards: [Blood can infect you.]
protective_equipment: [gloves]
baths:
  - id: soap
    name: soap bath
    detergent: demo soap
    {volume}
    dose: {dose}
    {unit}
    temperature: {{least: 30 °C, most: 40 °C}}
components:
  - id: tube
    name: tube
    onward: packing
    steps:
      - id: rinse
        say: Rinse the tube.
        short: rinse the tube
        rinse: {{least: 1 min}}
        first_rinse: yes
      - id: wash
        say: "Wash the tube in the bath, which has {{dose}} of {{detergent}} in it."
        short: wash the tube
        bath: soap
      - id: water
        say: Test the treated water.
        short: test the water
        test: {{of: conductivity, water: {{grade: critical, property: conductivity}}}}
      - id: swab
        say: Read the swab.
        short: read the swab
        test: {{of: swab, light: {{meter: demo meter, below: 200 RLU}}}}
"""


def tube(volume="volume: 40 L", dose="5 mL/L", unit=""):
    return sheet.parse(SHEET.format(volume=volume, dose=dose, unit=unit).encode(), "tube.yaml")


def texts(procedure):
    return [text for c in procedure.components for s in c.steps for text in (s.say, s.short)]


def test_a_dose_is_told_in_the_unit_that_the_station_measures_with():
    # 60 x 50 x 25 cm = 75.0 L; at 1 fl oz/gal = 7.8125 mL/L exactly that is 585.94 mL
    # (NIST Handbook 44, Appendix C: 231 in3 a gallon, 128 fl oz a gallon).
    before = tube("basin: {length: 60 cm, width: 50 cm, water_depth: 25 cm}", "1 fl oz/gal")
    told = [text for text in texts(before) if "fl oz" in text]
    assert len(told) == 2  # the dosing, and the washing that speaks it
    after = fitted(before, replace(BARE, measured_in=Unit.MILLILITRE))
    assert not [text for text in texts(after) if "fl oz" in text]
    assert "Add 586 mL of demo soap. Stir gently." in texts(after)
    assert "Wash the tube in the bath, which has 586 mL of demo soap in it." in texts(after)
    assert any("585.9" in line for line in after.baths[0].working)
    dosing = next(s for c in after.components for s in c.steps if s.id == "soap.dose")
    assert dosing.working == after.baths[0].working


def test_the_working_keeps_how_the_water_was_got():
    before = tube("basin: {length: 60 cm, width: 50 cm, water_depth: 25 cm}", "1 fl oz/gal")
    after = fitted(before, replace(BARE, measured_in=Unit.MILLILITRE))
    (water,) = {before.baths[0].working[0], after.baths[0].working[0]}
    assert "75" in water
    assert len(set(after.baths[0].working)) == len(after.baths[0].working)


def test_the_taps_that_fill_a_bath_tell_their_temperatures():
    taps = (
        Tap(Water.UTILITY, hot=parse("55 °C"), cold=parse("12 °C")),
        Tap(Water.TREATED, cold=parse("18 °C")),
    )
    assert fitted(tube(), replace(BARE, taps=taps)).tap == (parse("55 °C"), parse("12 °C"))
    assert fitted(tube(), BARE).tap == ()


@pytest.mark.parametrize("path", shipped(), ids=lambda path: Path(path).stem)
@pytest.mark.parametrize("station", sink.shipped(), ids=lambda path: Path(path).stem)
def test_fitting_alters_no_step_but_by_its_figures(path, station):
    before = sheet.read(path)
    after = fitted(before, sink.read(station).station)
    for part, made in zip(before.components, after.components, strict=True):
        assert [s.id for s in part.steps] == [s.id for s in made.steps]
        for step, now in zip(part.steps, made.steps, strict=True):
            kept = replace(now, say=step.say, short=step.short, cautions=step.cautions)
            if isinstance(step.task, TestTask):
                kept = replace(kept, task=step.task)
            assert replace(kept, working=step.working) == step


@pytest.mark.parametrize("station", sink.shipped(), ids=lambda path: Path(path).stem)
def test_fitting_twice_is_fitting_once(station):
    where = sink.read(station).station
    once = fitted(tube(dose="1 fl oz/gal"), where)
    assert fitted(once, where) == once

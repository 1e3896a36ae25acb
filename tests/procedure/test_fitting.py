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

from assistant.procedure.fitting import fitted
from assistant.procedure.model import LightJudge, TestTask, WaterJudge
from assistant.procedure.quantity import Quantity, Unit, parse
from assistant.procedure.station import Station
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

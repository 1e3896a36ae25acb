"""The station file: what is read from it.  Wrong ones are tried in test_wrong_stations."""

from decimal import Decimal

import pytest

from assistant.procedure.finding import SheetError
from assistant.procedure.quantity import Unit
from assistant.procedure.quantity import parse as amount
from assistant.procedure.station_sheet import parse
from assistant.procedure.water_use import Water
from assistant.trade.water import Below, Grade, Property

GOOD = """\
name: demo sink
bays:
  - name: bay one
    volume: 40 L
  - name: bay two
    basin: {length: 50 cm, width: 40 cm, water_depth: 20 cm}
taps:
  - {water: utility, hot: 55 °C, cold: 12 °C}
  - {water: treated, apart: yes}
measured_in: mL
room: 21 °C
cooling_per_min: "0.008"
meters:
  - {name: demo meter, below: 150 RLU}
water_table:
  name: demo table
  rows:
    - {grade: critical, property: conductivity, below: 10 µS/cm}
    - {grade: critical, property: pH, least: 5 pH, most: 7 pH}
"""
ROWS = GOOD[GOOD.index("  rows:") :]
BASIN = "basin: {length: 50 cm, width: 40 cm, water_depth: 20 cm}"


def test_every_mistake_is_found_in_one_pass():
    text = GOOD.replace("volume: 40 L", "volume: 40 cm").replace("room: 21 °C", "room: 90 °C")
    with pytest.raises(SheetError) as caught:
        parse(text.encode(), "sink.yaml")
    assert [finding.line for finding in caught.value.findings] == [4, 11]


def test_everything_that_a_file_states_is_in_the_station():
    station = parse(GOOD.encode(), "sink.yaml")
    assert station.name == "demo sink"
    # 50 x 40 x 20 cm = 40000 cm3.
    assert [bay.volume.to(Unit.LITRE).value for bay in station.bays] == [40, 40]
    utility, treated = station.taps
    assert (utility.water, utility.hot, utility.cold) == (
        Water.UTILITY,
        amount("55 °C"),
        amount("12 °C"),
    )
    assert (utility.apart, utility.runs) == (False, True)
    assert (treated.water, treated.apart, treated.hot) == (Water.TREATED, True, None)
    assert station.measured_in is Unit.MILLILITRE
    assert station.cooling.room == amount("21 °C")
    assert station.cooling.per_min == Decimal("0.008")
    assert station.meter("DEMO meter").below == amount("150 RLU")
    assert station.meter("another") is None
    table = station.water_table
    row = table.row(Grade.CRITICAL, Property.CONDUCTIVITY)
    assert row.allowed == Below(amount("10 µS/cm"))
    assert not table.limits(Grade.UTILITY, Property.PH)


def test_a_sink_in_inches_holds_what_the_definition_of_the_gallon_says():
    # 24 x 20 x 8 in = 3840 in3; a US gallon is 231 in3 (NIST Handbook 44, Appendix C):
    # 16.6234 gal = 62.9263 L.
    basin = "basin: {length: 24 in, width: 20 in, water_depth: 8 in}"
    station = parse(GOOD.replace(BASIN, basin).encode(), "sink.yaml")
    volume = station.bays[1].volume
    assert round(volume.to(Unit.LITRE).value, 4) == Decimal("62.9263")
    assert round(volume.to(Unit.GALLON).value, 4) == Decimal("16.6234")


def test_only_name_bays_and_taps_must_be_stated():
    text = "name: bare\nbays: [{name: bay}]\ntaps: [{water: utility}]\n"
    station = parse(text.encode(), "sink.yaml")
    assert station.bays[0].volume is None
    assert station.bays[0].drains
    assert station.cooling is None
    assert station.water_table is None


def test_a_published_table_is_taken_by_its_name():
    text = GOOD.replace("  name: demo table\n" + ROWS, "  name: AAMI TIR34:2014\n")
    table = parse(text.encode(), "sink.yaml").water_table
    # AAMI TIR34:2014, critical water: conductivity below 10 µS/cm.
    row = table.row(Grade.CRITICAL, Property.CONDUCTIVITY)
    assert row.allowed == Below(amount("10 µS/cm"))

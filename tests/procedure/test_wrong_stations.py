# ruff: noqa: E501 - the rows of a table read best on one line
"""Wrong station files, and files that are none, at the command line."""

from __future__ import annotations

import os
import re
import time
from pathlib import Path

import pytest
from click.testing import CliRunner, Result
from monsters import MADE

from assistant.cli.main import cli

GOOD = (Path(__file__).parents[2] / "procedures" / "stations" / "demo-two-bays.yaml").read_text(
    encoding="utf-8"
)
TAPS = """taps:
  - {water: utility, runs: yes, hot: 55 °C, cold: 12 °C}
  - {water: treated, apart: yes}
"""
TABLE = GOOD[GOOD.index("  name: demo water table") :]
ROWS = TABLE[TABLE.index("  rows:") :]
MOST_S = 2.0


def checked(path: Path) -> Result:
    return CliRunner().invoke(cli, ["station", "check", str(path)])


# Each row: what is exchanged for what, the text at which the finding points, and parts of
# what it says and of its remedy.
WRONG = [
    ("name: demo sink with two bays\n", "", "bays:\n", ['"name" is missing', "name: demo sink"]),
    ("bays:\n", "beys:\n", "beys", ['did you mean "bays"']),
    ("bays:\n", "bays: two\nbeys:\n", "two\nbeys", ["needs a list"]),
    (TAPS, "taps: []\n", "[]", ["is empty", "water: utility"]),
    ("bays:\n", "bays:\n" + "".join(f"  - {{name: {n}}}\n" for n in ("a", "b", "c", "d", "e")), "- {name: a", ["more than 6", "describe"]),
    ("name: bay two", "name: Bay  one", "Bay  one", ["name of a bay", "and again", "change one"]),
    ("name: bay two", "name: bay 2", "bay 2", ["cannot be said", "bay one"]),
    ("name: bay two", 'name: ""', '""', ["is empty", "name: bay one"]),
    ("    drains: yes", "    volume: 3 L", "{length", ["stand in one bay", "keep one"]),
    ("    drains: yes", "    drains: maybe", "maybe", ['"yes" or "no"']),
    ("volume: 40 L", "volume: 40", "40\n", ["no unit", "40 gal"]),
    ("volume: 40 L", "volume: 4000 L", "4000 L", ["between 0 and 1000 L", "correct"]),
    ("volume: 40 L", "volume: 0 L", "0 L", ["between 0 and 1000 L"]),
    ("volume: 40 L", "volume: 40 °C", "40 °C", ["temperature", "L"]),
    ("length: 60 cm", "length: 60000 cm", "{length", ["between 0 and 1000 L"]),
    ("water_depth: 20 cm", "water_depth: 0 cm", "0 cm}", ["not above zero"]),
    (", water_depth: 20 cm", "", "{length", ['"water_depth" is missing']),
    ("water: utility", "water: tap", "tap,", ["known here: utility, treated"]),
    ("water: utility, ", "", "{runs", ['"water" is missing', "water: treated"]),
    ("treated, apart: yes", "treated, apart: yes, runs: no", "yes, runs: no", ["no drain of its own", "runs: yes"]),
    ("hot: 55 °C", "hot: 5 °C", "5 °C, cold", ["not warmer", "exchange"]),
    ("hot: 55 °C", "hot: 155 °C", "155 °C", ["0\u2013100 °C", "unit"]),
    ("cold: 12 °C", "cold: 12", "12}", ["no unit", "12 °F"]),
    ("measured_in: mL", "measured_in: g", "g\n", ["no unit of volume", "fl oz"]),
    ("room: 21 °C", "room: 210 °C", "210 °C", ["5\u201350 °C"]),
    ("room: 21 °C", "romm: 21 °C", "romm", ['did you mean "room"']),
    ("room: 21 °C", "room: 21 °C\nroom: 22 °C", "room: 22", ["and again", "keep one"]),
    ("room: 21 °C\n", "", '"0.008"', ['without "room"', "room: 21 °C"]),
    ('"0.008"', "8", "8\n", ["more than 0.1", "share"]),
    ('"0.008"', "0.2 °C", "0.2 °C", ["without a unit"]),
    ("meters:\n", "meters:\n  - {name: Demo meter, below: 15 RLU}\n", "demo meter, below: 150", ["name of a meter", "change one"]),
    ("below: 150 RLU", "below: 0 RLU", "0 RLU", ["above zero"]),
    ("below: 150 RLU", "below: 150", "150}", ["150 RLU"]),
    ("{name: demo meter, ", "{", "{below: 150 RLU", ['"name" is missing', "name: demo meter"]),
    (TABLE, "  name: AAMI TIR34:2041\n", "AAMI TIR34:2041", ["no published table", 'did you mean "AAMI TIR34:2014"']),
    ("water_table:\n" + TABLE, "water_table: ST\n", "ST\n", ["needs a block"]),
    ("name: demo water table", "name: AAMI TIR34:2014", "AAMI TIR34:2014\n  rows", ["name of a published table", "another name"]),
    (ROWS, "  rows: []\n", "[]", ["is empty", "grade: critical"]),
    (ROWS, "  rws: []\n", "rws", ['did you mean "rows"']),
    ("grade: utility, property: pH", "grade: tap, property: pH", "tap, property", ["known here: utility, critical"]),
    ("property: conductivity", "property: colour", "colour", ["known here", "conductivity"]),
    (", below: 10 µS/cm", "", "{grade: critical, property: conductivity", ["no limit", "below: 10 µS/cm"]),
    ("below: 10 µS/cm", "below: 10 µS/cm, most: 3 µS/cm", "10 µS/cm, most", ["beside a window", "keep"]),
    ("below: 10 µS/cm", "below: 10 mg/L", "10 mg/L", ["not a conductivity", "µS/cm"]),
    ("below: 10 µS/cm", "below: 0 µS/cm", "0 µS/cm", ["not above zero"]),
    ("least: 5 pH, most: 7 pH", "least: 7 pH, most: 5 pH", "7 pH, most: 5", ["more than", "exchange"]),
    ("least: 5 pH, most: 7 pH", "least: -5 pH, most: 7 pH", "-5 pH", ["below zero"]),
    ("  rows:\n", "  rows:\n    - {grade: utility, property: pH, least: 6 pH, most: 8 pH}\n", "{grade: utility, property: pH, least: 6 pH, most: 9 pH", ["pH of utility water", "and again", "change one"]),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "at", "says"), WRONG)
def test_a_wrong_station_is_told_with_its_place_and_a_remedy(
    tmp_path: Path, old: str, new: str, at: str, says: list[str]
) -> None:
    assert GOOD.count(old) >= 1
    text = GOOD.replace(old, new, 1)
    path = tmp_path / "station.yaml"
    path.write_text(text, encoding="utf-8")
    done = checked(path)
    assert done.exit_code == 1, done.output
    assert isinstance(done.exception, SystemExit)
    position = text.index(at)
    line, column = text.count("\n", 0, position) + 1, position - text.rfind("\n", 0, position)
    place = f"{path}:{line}:{column}: "
    fitting = [told for told in done.output.splitlines() if told.startswith(place)]
    assert any(all(part in told for part in says) for told in fitting), done.output


def test_there_are_many_kinds() -> None:
    assert len({tuple(says) for *_, says in WRONG}) >= 40


@pytest.mark.parametrize("name", MADE)
def test_a_file_that_is_no_station_is_told_soon_and_breaks_nothing(
    tmp_path: Path, name: str
) -> None:
    path = tmp_path / "station.yaml"
    path.write_bytes(MADE[name][0])
    begun = time.process_time()
    done = checked(path)
    assert time.process_time() - begun < MOST_S
    assert done.exit_code == 1
    assert isinstance(done.exception, SystemExit)
    for line in done.output.splitlines():
        assert re.fullmatch(rf"{re.escape(str(path))}:\d+:\d+: .+; .+", line), line
        assert "procedure" not in line.removeprefix(str(path)), line


def test_what_cannot_be_read_as_a_file_exits_3(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    for path in (tmp_path, tmp_path / "none.yaml", pipe, Path("/dev/zero")):
        done = checked(path)
        assert done.exit_code == 3
        assert done.output.startswith(f"{path}:1:1: the file cannot be read: ")

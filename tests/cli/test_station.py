"""``sinkside station``, and sessions that are led at a station."""

import json
import os
import subprocess
import sys

import pytest

from assistant.station import sink

SINKSIDE = [sys.executable, "-c", "from assistant.cli.main import main; main()"]
BARE = "name: bare sink\nbays: [{name: bay one}]\ntaps: [{water: utility}]\n"


def sinkside(*arguments, typed=None, **environment):
    return subprocess.run(
        [*SINKSIDE, *map(str, arguments)],
        input=typed,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=120,
        env={**os.environ, **environment},
    )


@pytest.fixture
def bare(tmp_path):
    path = tmp_path / "bare.yaml"
    path.write_text(BARE, encoding="utf-8")
    return path


def test_the_example_is_good_and_shown_as_it_is_understood(tmp_path):
    example = sinkside("station", "example")
    path = tmp_path / "mine.yaml"
    path.write_text(example.stdout, encoding="utf-8")
    checked = sinkside("station", "check", path)
    assert (checked.returncode, checked.stdout) == (0, f"{path}: good\n")
    shown = sinkside("station", "show", "--station", path)
    for line in (
        "demo sink with two bays",
        "  bay one, holds 54 L",  # 60 x 45 x 20 cm = 54000 cm3
        "  utility water, hot 55 °C, cold 12 °C",
        "  treated water, over a drain of its own",
        "  detergent is measured in mL",
        "  demo meter: below 150 RLU",
    ):
        assert line in shown.stdout.splitlines()
    row = json.loads(sinkside("station", "show", "--station", path, "--json").stdout)
    assert [bay["name"] for bay in row["bays"]] == ["bay one", "bay two"]
    assert row["measured_in"] == "mL"


def test_mistakes_are_told_as_file_line_column_and_exit_1(tmp_path):
    path = tmp_path / "sink.yaml"
    path.write_text(BARE.replace("utility", "tap"), encoding="utf-8")
    done = sinkside("station", "check", path)
    assert done.returncode == 1
    assert done.stdout.startswith(f'{path}:3:16: "tap" may not stand in "water"; ')
    row = json.loads(sinkside("station", "check", path, "--json").stdout)
    assert (row["line"], row["column"]) == (3, 16)
    # The same mistakes stop a session, before anything is recorded.
    record = tmp_path / "r.db"
    led = sinkside("rehearse", "demo-short", "--station", path, "--record", record, typed="next\n")
    assert led.returncode == 3
    assert f"{path}:3:16: " in led.stderr
    assert not record.exists()


@pytest.mark.parametrize("name", ["nowhere.yaml", "."])
def test_a_file_that_cannot_be_read_exits_3(name, tmp_path):
    done = sinkside("station", "check", tmp_path / name)
    assert done.returncode == 3
    assert "cannot be read" in done.stdout
    assert "Traceback" not in done.stderr


def test_a_file_of_another_encoding_is_one_sentence(tmp_path):
    path = tmp_path / "sink.yaml"
    path.write_bytes(BARE.encode("utf-16"))
    done = sinkside("station", "check", path)
    assert done.returncode in (1, 3)
    assert "UTF-8" in done.stdout
    assert "Traceback" not in done.stderr


def test_no_station_yet_says_where_to_write_one(tmp_path):
    done = sinkside("station", "show", XDG_CONFIG_HOME=str(tmp_path))
    assert done.returncode == 3
    assert str(tmp_path / "sinkside" / "station.yaml") in done.stderr
    assert sinkside("station", "show", "--station", "demo-nine-bays").returncode == 2


def test_a_plan_tells_each_change_and_an_impossible_one_why(bare):
    done = sinkside("station", "plan", "demo-grasper", "--station", "demo-two-bays")
    assert done.returncode == 0
    lines = done.stdout.splitlines()
    assert lines[0] == "Begin with every bay empty and clean: bay one, bay two."
    # Common practice, no source: rinse and soak in the first bay, rinse in the second.
    assert "Wipe bay one." in lines
    assert "Flush the shaft, in bay two." in lines
    stopped = sinkside("station", "plan", "demo-grasper", "--station", bare)
    assert stopped.returncode == 1
    assert stopped.stdout.startswith("This cannot be done at the bare sink:")
    assert "takes treated water, and the station has no tap for it." in stopped.stdout
    rows = sinkside("station", "plan", "demo-grasper", "--station", bare, "--json").stdout
    assert "reason" in json.loads(rows.splitlines()[0])
    turns = [
        json.loads(line)
        for line in sinkside(
            "station", "plan", "demo-grasper", "--station", "demo-one-bay", "--json"
        ).stdout.splitlines()
    ]
    assert {"step", "short", "purpose", "bay", "changes", "content"} == set(turns[0])


def test_a_session_says_where_each_thing_is_done_and_the_record_where_it_was(tmp_path):
    record = tmp_path / "r.db"
    done = sinkside(
        "rehearse",
        "demo-short",
        "--station",
        "demo-one-bay",
        "--record",
        record,
        typed="affirmative\nnext\nnext\nabandon this cleaning\naffirmative\n",
    )
    assert done.returncode == 0, done.stderr
    assert "Rinse the shaft with cool water. In the bay." in done.stdout
    session = json.loads(sinkside("record", "list", "--json", "--record", record).stdout)["session"]
    replayed = sinkside("replay", session, "--record", record)
    assert "at demo sink with one bay" in replayed.stdout
    shown = sinkside("record", "show", session, "--json", "--record", record).stdout.splitlines()
    body = json.loads(shown[0])["body"]
    body = json.loads(body) if isinstance(body, str) else body
    assert body["station_text"] == sinkside_text("demo-one-bay")


def sinkside_text(name):
    return sink.find(name).read_text(encoding="utf-8")


def test_the_usual_station_is_used_where_there_is_one_and_left_out_on_request(tmp_path):
    usual = tmp_path / "sinkside" / "station.yaml"
    usual.parent.mkdir()
    usual.write_text(sinkside_text("demo-two-bays"), encoding="utf-8")
    home = {"XDG_CONFIG_HOME": str(tmp_path)}
    led = ("rehearse", "demo-short", "--record", tmp_path / "r.db")
    typed = "affirmative\nnext\n"
    assert "every bay is empty" in sinkside(*led, typed=typed, **home).stdout
    for elsewhere in ({"typed": typed}, {"typed": typed, **home}):
        name = () if len(elsewhere) == 1 else ("--station", "none")
        assert "every bay is empty" not in sinkside(*led, *name, **elsewhere).stdout


def test_an_impossible_station_stops_run_and_rehearse_before_anything_is_recorded(tmp_path, bare):
    record = tmp_path / "r.db"
    for command in (("rehearse",), ("run", "--keys")):
        done = sinkside(
            *command, "demo-short", "--station", bare, "--record", record, typed="next\n"
        )
        assert done.returncode == 3
        assert '"short demo" cannot be done at the bare sink' in done.stderr
        assert "no tap for it" in done.stderr
    assert sinkside("record", "list", "--record", record).stdout == ""


def test_a_live_session_goes_on_at_the_station_where_it_was_begun(tmp_path):
    record = tmp_path / "r.db"
    led = ("--keys", "--record", record)
    first = sinkside(
        "run", "demo-short", "--station", "demo-one-bay", *led, typed="affirmative\nnext\nnext\n"
    )
    assert first.returncode == 0, first.stderr
    assert sinkside("run", "--resume", "--station", "demo-two-bays", *led).returncode == 2
    again = sinkside("run", "--resume", *led, typed="current step\n")
    assert again.returncode == 0, again.stderr
    # Five steps, one of which makes the bay ready.
    assert "Shaft, step 3 of 5: soak the shaft." in again.stdout


def test_a_refused_temperature_is_told_with_the_water_that_mends_it_and_its_working(tmp_path):
    typed = (
        "affirmative\nnext\nnext\nlot number alfa three seven\naffirmative\n"
        "expiry date two eight oh three three one\naffirmative\nnext\nvalue twenty five\n"
    )
    done = sinkside(
        "rehearse",
        "demo-short",
        "--station",
        "demo-two-bays",
        "--explain",
        "--record",
        tmp_path / "r.db",
        typed=typed,
    )
    # Heat is conserved: 10 L at 25 °C reach 35 °C, the middle of 30 to 40 °C, with
    # 10 * (35 - 25) / (55 - 25) = 3.33 L of 55 °C; at 5 mL/L that takes 16.7 mL.
    assert "Take 3.33 L out. Put in 3.33 L of 55 °C with 16.7 mL of detergent." in done.stdout
    assert "the station's tap gives water of 55 °C" in done.stdout


def test_a_procedure_is_shown_as_it_is_led_at_a_station(bare):
    shown = sinkside("procedure", "show", "demo-short", "--station", "demo-one-bay")
    assert shown.returncode == 0, shown.stderr
    assert "make the bay ready: fill the detergent bath" in shown.stdout
    assert sinkside("procedure", "show", "demo-short", "--station", bare).returncode == 3
    plain = sinkside("procedure", "show", "demo-short")
    assert "the bay" not in plain.stdout

"""The command line as its contract states it: outputs, exit codes, plain sentences."""

import itertools
import json
import os
import re
import struct
import subprocess
import sys
import time
from pathlib import Path

import pytest

from assistant.cli.failure import code, report
from assistant.session.command import Verb
from assistant.station.opening import shipped

SHEETS = shipped()
SINKSIDE = [sys.executable, "-c", "from assistant.cli.main import main; main()"]


def sinkside(*arguments, typed=None, **environment):
    return subprocess.run(
        [*SINKSIDE, *map(str, arguments)],
        input=typed,
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        check=False,
        timeout=120,
        env={**os.environ, **environment},
    )


@pytest.fixture
def led(tmp_path):
    """A record with one rehearsal in it, and its session."""
    path = tmp_path / "record.db"
    done = sinkside(
        "rehearse",
        "demo-short",
        "--record",
        path,
        typed="next\nabandon this cleaning\naffirmative\n",
    )
    assert done.returncode == 0, done.stderr
    listed = sinkside("record", "list", "--json", "--record", path)
    return path, json.loads(listed.stdout)["session"]


def test_help_needs_no_heavy_library_and_no_time():
    sinkside("--help")  # compiled once
    spent = []
    for _ in range(3):
        begun = time.perf_counter()
        assert sinkside("--help").returncode == 0
        spent.append(time.perf_counter() - begun)
    assert min(spent) < 0.4  # 0.2 s, twice that beside a busy neighbour
    heavy = (
        "import sys; from assistant.cli.main import cli; sys.exit(len(set(sys.modules)"
        " & {'numpy', 'onnxruntime', 'sqlalchemy', 'vosk', 'yaml', 'sounddevice'}))"
    )
    assert subprocess.run([sys.executable, "-c", heavy], check=False).returncode == 0


@pytest.mark.parametrize(
    "command",
    [
        "demo",
        "run",
        "rehearse",
        "listen",
        "grammar",
        "wording",
        "procedure",
        "record",
        "replay",
        "label",
    ],
)
def test_every_command_tells_its_use(command):
    done = sinkside(command, "--help")
    assert done.returncode == 0
    assert "Usage:" in done.stdout


def test_an_unknown_command_is_a_usage_error():
    assert sinkside("dance").returncode == 2


def test_a_rehearsal_is_marked_and_replayed(led):
    path, session = led
    row = json.loads(sinkside("record", "list", "--json", "--record", path).stdout)
    assert (row["mode"], row["phase"], row["procedure"]) == ("rehearsal", "abandoned", "demo-short")
    replayed = sinkside("replay", session, "--record", path)
    assert replayed.returncode == 0
    assert "Blood on these parts can infect you." in replayed.stdout
    assert "abandoned" in replayed.stdout.splitlines()[-1]


def test_how_each_figure_was_got_is_in_the_record(tmp_path):
    path = tmp_path / "r.db"
    assert sinkside("rehearse", "demo-short", "--record", path, typed="affirmative\n").stdout
    listed = sinkside("record", "list", "--json", "--record", path)
    session = json.loads(listed.stdout)["session"]
    plain = sinkside("replay", session, "--record", path).stdout
    explained = sinkside("replay", session, "--explain", "--record", path).stdout
    worked = [line for line in explained.splitlines() if "  worked  " in line]
    assert worked
    assert "worked" not in plain
    assert [line for line in explained.splitlines() if line not in worked] == plain.splitlines()


def test_entries_are_shown_as_the_contract_names_them(led):
    path, session = led
    lines = sinkside("record", "show", session, "--json", "--record", path).stdout.splitlines()
    entries = [json.loads(line) for line in lines]
    assert set(entries[0]) == {"seq", "at", "type", "body", "prev", "hash"}
    assert [entry["seq"] for entry in entries] == list(range(1, len(entries) + 1))
    assert all(later["prev"] == entry["hash"] for entry, later in itertools.pairwise(entries))


def test_a_sound_record_verifies_and_a_changed_one_exits_5(led):
    path, session = led
    assert sinkside("record", "verify", "--record", path).returncode == 0
    data = path.read_bytes()
    assert b"wet" not in data
    changed = data.replace(b"Caution. Blood", b"Caution. Bload")
    assert changed != data
    path.write_bytes(changed)
    done = sinkside("record", "verify", "--record", path)
    assert done.returncode == 5
    assert session in done.stdout
    assert sinkside("replay", session, "--record", path).returncode == 5


def test_a_record_that_is_not_there_exits_6_with_a_sentence(tmp_path):
    done = sinkside("record", "list", "--record", tmp_path / "none.db")
    assert done.returncode == 6
    assert done.stderr.startswith("sinkside: ")
    assert "Traceback" not in done.stderr


def test_an_unknown_session_or_procedure_exits_2(led):
    path, _ = led
    assert sinkside("replay", "nobody", "--record", path).returncode == 2
    done = sinkside("rehearse", "no-such-device", "--record", path)
    assert done.returncode == 2
    assert "demo-short" in done.stderr


def test_a_broken_sheet_is_told_by_line_and_exits(tmp_path):
    sheet = tmp_path / "bad.yaml"
    sheet.write_text("id: bad\nsoak: 1:30\n")
    done = sinkside("procedure", "check", sheet)
    assert done.returncode == 1
    assert f"{sheet}:2:" in done.stdout
    led = sinkside("rehearse", sheet, "--record", tmp_path / "r.db", typed="")
    assert led.returncode == 3
    assert "Traceback" not in led.stderr
    assert sinkside("procedure", "check", tmp_path / "none.yaml").returncode == 3


def test_shipped_procedures_are_listed_checked_and_shown():
    listed = sinkside("procedure", "list")
    assert "demo-grasper" in listed.stdout
    assert sinkside("procedure", "check", "demo-grasper", "demo-short").returncode == 0
    assert "bath temperature" in sinkside("procedure", "show", "demo-grasper").stdout


def test_wording_shows_the_spoken_words():
    done = sinkside("wording", "Soak 5\u201310 min")
    assert "five to ten minutes" in done.stdout
    assert sinkside("wording", "☃").returncode == 3


def test_phrases_are_sampled_with_their_meaning():
    lines = sinkside("grammar", "sample", "--json").stdout.splitlines()
    rows = [json.loads(line) for line in lines]
    assert {"command": "next", "text": "next"} in rows
    assert {"command": "start_soak", "text": "start soak"} in rows
    assert all(set(row) == {"command", "text"} for row in rows)
    said = {row["command"].split()[0] for row in rows}
    assert said == {str(verb) for verb in Verb} - {"scan"}


def test_no_sound_card_is_one_sentence_and_exit_4(tmp_path):
    done = sinkside("run", "demo-short", "--record", tmp_path / "r.db")
    assert done.returncode == 4, done.stderr
    assert "Traceback" not in done.stderr
    # Nothing was begun: what is missing is told before anything is recorded.
    assert sinkside("record", "list", "--record", tmp_path / "r.db").stdout == ""


GRASPER = "(01)09520000100018(10)A7"


@pytest.mark.parametrize("command", [("run", "--keys"), ("rehearse",)], ids=" ".join)
def test_without_a_procedure_the_device_that_is_scanned_chooses_it(tmp_path, command):
    typed = f"start soak\n{GRASPER}\naffirmative\naffirmative\n"
    led = sinkside(*command, "--record", tmp_path / "r.db", typed=typed)
    assert led.returncode == 0, led.stderr
    for text in ("First the device.", "Laparoscopic grasper, revision 2", "lot: A7", "identified"):
        assert text in led.stdout


@pytest.mark.parametrize("command", [("run", "--keys"), ("rehearse",)], ids=" ".join)
def test_where_no_device_is_chosen_nothing_is_begun(tmp_path, command):
    led = sinkside(*command, "--record", tmp_path / "r.db", typed="abandon this cleaning\n")
    assert (led.returncode, led.stderr) == (0, "sinkside: nothing was begun\n")
    assert sinkside("record", "list", "--record", tmp_path / "r.db").stdout == ""


def test_the_devices_to_choose_from_may_lie_in_a_folder(tmp_path):
    (tmp_path / "empty").mkdir()
    record = ("--record", tmp_path / "r.db")
    none = sinkside("rehearse", "--procedures", tmp_path / "empty", *record, typed="")
    assert none.returncode == 2
    assert "no procedure" in none.stderr
    mine = tmp_path / "mine"
    mine.mkdir()
    sheet = next(path for path in SHEETS if path.stem == "demo-grasper").read_text("utf-8")
    (mine / "a.yaml").write_text(sheet.replace("title: laparoscopic grasper", "title: own grasper"))
    (mine / "b.yaml").write_text("id: [")
    led = sinkside("rehearse", "--procedures", mine, *record, typed="identify it as own grasper\n")
    assert led.returncode == 0, led.stderr
    assert "Own grasper, revision 2" in led.stdout
    assert "b.yaml:1:" in led.stderr


def test_a_scanner_that_is_not_there_is_told_before_anything_is_recorded(tmp_path):
    missing = ("--scanner", tmp_path / "nothing")
    led = sinkside("run", "demo-short", "--keys", *missing, "--record", tmp_path / "r.db", typed="")
    assert led.returncode == 4
    assert "cannot be read" in led.stderr
    assert sinkside("record", "list", "--record", tmp_path / "r.db").stdout == ""


def test_a_scanner_of_its_own_is_heard_beside_the_keys(tmp_path):
    scanner = tmp_path / "scanner"
    os.mkfifo(scanner)
    file = os.open(scanner, os.O_RDWR)
    # "1", then Enter, as the kernel tells key presses (input-event-codes.h: 2 and 28).
    os.write(file, b"".join(struct.pack("@llHHi", 0, 0, 1, key, 1) for key in (2, 28)))
    with subprocess.Popen(
        [*SINKSIDE, "run", "--keys", "--scanner", scanner, "--record", tmp_path / "r.db"],
        stdin=subprocess.PIPE,
        stdout=subprocess.PIPE,
        text=True,
    ) as led:
        for text in led.stdout:
            if "of no use" in text:
                break
        else:
            raise AssertionError("the scan was not heard")
        led.stdin.write("abandon this cleaning\n")
        led.stdin.close()
        assert "Nothing was begun." in led.stdout.read()
    os.close(file)


def test_typed_lines_lead_a_live_session_and_it_goes_on_after_the_end(tmp_path):
    path = tmp_path / "r.db"
    first = sinkside("run", "demo-short", "--keys", "--record", path, typed="next\n")
    assert first.returncode == 0
    assert "stays open" in first.stderr
    again = sinkside(
        "run",
        "--resume",
        "--keys",
        "--record",
        path,
        typed="next\nabandon this cleaning\naffirmative\n",
    )
    assert again.returncode == 0
    assert "The session goes on after an interruption." in again.stdout
    assert sinkside("run", "--resume", "--keys", "--record", path, typed="").returncode == 2


def test_a_script_that_cannot_be_followed_exits_3(tmp_path):
    script = tmp_path / "s.txt"
    script.write_text("shout next\n")
    done = sinkside("rehearse", "demo-short", "--script", script, "--record", tmp_path / "r.db")
    assert done.returncode == 3
    assert f"{script}:1:" in done.stderr


def test_json_rows_are_pure_json_on_standard_output(tmp_path):
    done = sinkside(
        "rehearse", "demo-short", "--json", "--record", tmp_path / "r.db", typed="next\n"
    )
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    assert {"heard", "said"} <= {row["kind"] for row in rows}


def test_a_terminal_without_the_signs_ends_nothing(led):
    path, session = led
    done = sinkside("replay", session, "--record", path, PYTHONIOENCODING="ascii")
    assert done.returncode == 0


def test_square_brackets_are_printed_as_they_are(tmp_path):
    done = sinkside(
        "rehearse", "demo-short", "--record", tmp_path / "r.db", typed="[unk] [/] [bold\n"
    )
    assert '"[unk] [/] [bold"' in done.stdout


def test_an_unforeseen_fault_is_a_sentence_and_a_file(capsys):
    assert report(ZeroDivisionError("oops")) == 1
    told = capsys.readouterr().err
    assert "Traceback" not in told
    kept = Path(told.split("are in ")[1].strip())
    assert "ZeroDivisionError" in kept.read_text()
    kept.unlink()


# Always turned into another error before they reach the command line.
WRAPPED = {"EngineError", "IdentityError", "QuantityError", "TokenFileError"}


def test_every_error_of_ours_has_an_exit_code():
    sources = (Path(__file__).parents[2] / "assistant").rglob("*.py")
    found = re.findall(
        r"^class (\w+Error)\((\w+)\)",
        "\n".join(p.read_text("utf-8") for p in sources),
        re.MULTILINE,
    )
    assert found
    kinds = {"Exception": Exception, "ValueError": ValueError}
    for name, base in sorted(found, key=lambda pair: pair[1] not in kinds):
        kinds[name] = type(name, (kinds[base],), {})
    for name, _ in found:
        assert name in WRAPPED or code(kinds[name]()) is not None, name


def test_lines_that_are_spoken_act_as_they_are_heard(tmp_path):
    script = tmp_path / "script.txt"
    script.write_text("say abandon this cleaning\nsay affirmative\n")
    record = tmp_path / "record.db"
    done = sinkside(
        *("rehearse", "demo-short", "--script", script, "--record", record),
        *("--spoken-by", "en-us+m3", "--json"),
    )
    assert done.returncode == 0, done.stderr
    rows = [json.loads(line) for line in done.stdout.splitlines()]
    heard = [(row["text"], row["detail"]) for row in rows if row["kind"] == "heard"]
    assert heard == [
        ('"abandon this cleaning"', "= abandon"),
        ('"affirmative"', "= affirm"),
    ]
    assert "neural recognizer" in done.stderr


def test_lines_cannot_be_spoken_by_a_voice_that_there_is_not(tmp_path):
    done = sinkside(
        "rehearse", "demo-short", "--spoken-by", "nobody", "--record", tmp_path / "r.db", typed=""
    )
    assert done.returncode == 4
    assert 'no voice "nobody"' in done.stderr

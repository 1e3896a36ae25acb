"""Cards and labels from the command line."""

import json
import os
import subprocess
import sys
from datetime import UTC, datetime

import pytest

from assistant.printing.code import session_of
from assistant.record import codec
from assistant.record.store import Store
from assistant.session.event import Disposed, Disposition, SessionOpened
from assistant.station.opening import find, read

SINKSIDE = [sys.executable, "-c", "from assistant.cli.main import main; main()"]
SESSION = "20260302-080000-ab12"
AT = datetime(2026, 3, 2, 8, 0, tzinfo=UTC)


def sinkside(*arguments, **environment):
    return subprocess.run(
        [*SINKSIDE, *map(str, arguments)],
        capture_output=True,
        text=True,
        encoding="utf-8",
        errors="replace",
        check=False,
        timeout=120,
        env={**os.environ, "PYTHONIOENCODING": "utf-8", **environment},
    )


def opened(mode):
    sheet = read(find("demo-short"))
    return SessionOpened(
        at=AT,
        procedure=sheet.procedure.id,
        revision=sheet.procedure.revision,
        title=sheet.procedure.title,
        notice=sheet.procedure.notice,
        procedure_text=sheet.text,
        procedure_sha256="",
        grammar_sha256="",
        recognizer="none",
        model_sha256="",
        voice="printed",
        language="en",
        operator="invented operator",
        mode=mode,
        program="test",
        components=("shaft", "insert"),
        session=SESSION,
    )


def gone(part, disposition, reason="cleaned by the procedure", container="C17"):
    label = f"sinkside:session:{SESSION}:{part}"
    return Disposed(AT, part, disposition, reason, container, label)


def record(path, *events):
    with Store.open(path, write=True) as store:
        store.begin(SESSION)
        store.append(SESSION, [codec.body(event) for event in events], AT)
    return path


@pytest.fixture
def handed_on(tmp_path):
    return record(
        tmp_path / "record.db",
        opened("real"),
        gone("shaft", Disposition.PACKING),
        gone("insert", Disposition.HOLD, "a crack [seen]", "C18"),
        gone("insert", Disposition.REPAIR, "a crack [seen]", "C19"),
    )


def test_a_card_is_written_where_it_was_asked_for(tmp_path):
    done = sinkside("procedure", "card", "demo-short", "--out", tmp_path / "x.pdf", "--json")
    assert done.returncode == 0, done.stderr
    assert (tmp_path / "x.pdf").read_bytes().startswith(b"%PDF-")
    told = json.loads(done.stdout)
    assert told["file"] == str(tmp_path / "x.pdf")
    assert (told["procedure"], told["paper"]) == ("demo-short", "a4")


def test_a_card_that_cannot_be_written_or_read_ends_in_a_sentence(tmp_path):
    done = sinkside("procedure", "card", "demo-short", "--out", tmp_path / "no" / "x.pdf")
    assert done.returncode == 2
    assert "cannot be written: No such file or directory" in done.stderr
    assert sinkside("procedure", "card", "no-such").returncode == 2
    assert sinkside("procedure", "card", "demo-short", "--paper", "b5").returncode == 2
    (tmp_path / "bad.yaml").write_text("id: x\n", encoding="utf-8")
    done = sinkside("procedure", "card", tmp_path / "bad.yaml")
    assert done.returncode == 3
    assert "Traceback" not in done.stderr


def test_a_label_tells_the_last_disposition_of_each_part(handed_on):
    done = sinkside("label", SESSION, "--record", handed_on, "--json")
    assert done.returncode == 0, done.stderr
    shaft, insert = (json.loads(line) for line in done.stdout.splitlines())
    assert shaft["lines"][:2] == ["To packing for sterilization", "short demo: shaft"]
    assert insert["lines"][:2] == ["To repair", "short demo: insert"]
    assert "because: a crack [seen]" in insert["lines"]
    assert "container C19" in insert["lines"]
    assert session_of(insert["code"]).component == "insert"


def test_a_label_without_a_folder_is_text_and_a_drawn_code(handed_on):
    done = sinkside("label", SESSION, "shaft", "--record", handed_on)
    assert done.returncode == 0, done.stderr
    assert "To packing for sterilization" in done.stdout
    assert "▀" in done.stdout
    assert done.stdout.splitlines()[-1] == f"sinkside:session:{SESSION}:shaft"
    # A terminal without block signs.
    plain = sinkside("label", SESSION, "shaft", "--record", handed_on, PYTHONIOENCODING="ascii")
    assert plain.returncode == 0
    assert plain.stdout.isascii()
    assert "##" in plain.stdout
    assert "?" not in plain.stdout


def test_a_scanned_label_leads_to_its_own_part(handed_on):
    done = sinkside("label", f"sinkside:session:{SESSION}:insert", "--record", handed_on, "--json")
    (line,) = done.stdout.splitlines()
    assert json.loads(line)["component"] == "insert"
    wrong = sinkside("label", "sinkside:procedure:demo-short:1", "--record", handed_on)
    assert wrong.returncode == 2
    assert "the code of a procedure's card" in wrong.stderr


def test_pictures_of_labels_are_written_to_a_folder_that_is_made(handed_on, tmp_path):
    folder = tmp_path / "a" / "b"
    done = sinkside("label", SESSION, "--record", handed_on, "--out", folder)
    assert done.returncode == 0, done.stderr
    names = sorted(path.name for path in folder.iterdir())
    assert names == [
        f"{SESSION}-{part}.{kind}" for part in ("insert", "shaft") for kind in ("png", "svg")
    ]
    blocked = sinkside("label", SESSION, "--record", handed_on, "--out", handed_on / "x")
    assert blocked.returncode == 2
    assert "cannot be made" in blocked.stderr


def test_a_rehearsals_label_says_that_nothing_was_cleaned(tmp_path):
    path = record(tmp_path / "r.db", opened("rehearsal"), gone("shaft", Disposition.PACKING))
    done = sinkside("label", SESSION, "--record", path)
    assert done.stdout.startswith("Rehearsal. Nothing was cleaned.")


def test_what_has_no_label_is_told(handed_on, tmp_path):
    part = sinkside("label", SESSION, "handle", "--record", handed_on)
    assert part.returncode == 2
    assert "it handed on: shaft, insert" in part.stderr
    assert sinkside("label", "nothing", "--record", handed_on).returncode == 2
    none = sinkside("label", SESSION, "--record", record(tmp_path / "n.db", opened("real")))
    assert none.returncode == 1
    assert "has handed on no part yet" in none.stderr
    missing = sinkside("label", SESSION, "--record", tmp_path / "missing.db")
    assert missing.returncode == 6


def test_a_damaged_record_gives_no_label(handed_on):
    data = handed_on.read_bytes()
    assert b"C17" in data
    handed_on.write_bytes(data.replace(b"C17", b"C71"))
    done = sinkside("label", SESSION, "--record", handed_on)
    assert done.returncode == 5
    assert done.stdout == ""

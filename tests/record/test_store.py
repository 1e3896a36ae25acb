"""The store: append-only, durable, and plain about what goes wrong."""

from __future__ import annotations

import random
import shutil
import signal
import sqlite3
import subprocess
import sys
import threading
import time
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import event

from assistant.record import chain, schema
from assistant.record.fault import RecordDamagedError, RecordUnreachableError
from assistant.record.store import SessionUnknownError, Store

NOON = datetime(2026, 3, 29, 12, tzinfo=UTC)
ROOT = Path(__file__).parents[2]


@pytest.fixture
def path(tmp_path):
    return tmp_path / "record.db"


def filled(path, sessions=("s-1",), entries=3):
    with Store.open(path, write=True) as store:
        for session in sessions:
            store.begin(session)
            for number in range(entries):
                body = {"number": number, "words": "naïve °C"}
                store.append(session, [("heard", body)], NOON + timedelta(seconds=number))
    return path


def fill(store):
    """Append pairs until the store refuses."""
    while True:
        store.append("s-1", [("heard", {"filler": "x" * 900})] * 2, NOON)


def contents(path):
    with Store.open(path, write=False) as store:
        return {found.id: store.entries(found.id) for found in store.sessions()}


def test_what_was_appended_is_read_back_and_verifies(path):
    with Store.open(path, write=True) as store:
        store.begin("s-1")
        first = store.append("s-1", [("opened", {"a": 1}), ("said", {"b": "é"})], NOON)
        second = store.append("s-1", [("heard", {})], NOON + timedelta(seconds=1))
        assert store.entries("s-1") == first + second
        assert store.verify() == []
    with Store.open(path, write=False) as store:
        assert store.entries("s-1") == first + second
        assert [entry.seq for entry in store.entries("s-1")] == [1, 2, 3]


def test_a_session_goes_on_where_it_ended_when_the_record_is_opened_again(path):
    filled(path)
    with Store.open(path, write=True) as store:
        (entry,) = store.append("s-1", [("resumed", {})], NOON)
        assert entry.seq == 4
        assert store.verify() == []


def test_sessions_are_summed_up_in_the_order_in_which_they_were_begun(path):
    filled(path, ("zulu", "alfa"))
    with Store.open(path, write=True) as store:
        store.begin("empty")
        zulu, alfa, empty = store.sessions()
        assert (zulu.id, zulu.entries) == ("zulu", 3)
        assert zulu.first_at == "2026-03-29T12:00:00.000000Z"
        assert zulu.last_at == "2026-03-29T12:00:02.000000Z"
        assert alfa.last_hash == store.entries("alfa")[-1].hash
        assert (empty.id, empty.entries, empty.last_hash) == ("empty", 0, "")


def test_folders_on_the_way_are_made(tmp_path):
    filled(tmp_path / "a" / "b" / "record.db")
    assert (tmp_path / "a" / "b" / "record.db").is_file()


def test_items_are_appended_all_or_none(path):
    filled(path)
    with Store.open(path, write=True) as store:
        with pytest.raises(ValueError, match="JSON"):
            store.append("s-1", [("good", {}), ("bad", {"x": float("nan")})], NOON)
        assert len(store.entries("s-1")) == 3


def test_a_time_without_a_zone_is_refused(path):
    filled(path)
    with Store.open(path, write=True) as store, pytest.raises(ValueError, match="time zone"):
        store.append("s-1", [("x", {})], NOON.replace(tzinfo=None))


def test_an_unknown_session_is_named_in_one_sentence(path):
    filled(path)
    with Store.open(path, write=True) as store:
        with pytest.raises(SessionUnknownError, match="no session 's-9'"):
            store.entries("s-9")
        with pytest.raises(SessionUnknownError):
            store.append("s-9", [("x", {})], NOON)


def test_a_session_is_begun_once(path):
    filled(path)
    with Store.open(path, write=True) as store:
        with pytest.raises(ValueError, match="already"):
            store.begin("s-1")
        with pytest.raises(ValueError, match="needs an id"):
            store.begin("")


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET body = '{}' WHERE seq = 2",
        "UPDATE session SET id = 's-2'",
        "DELETE FROM entry WHERE seq = 3",
        "DELETE FROM session",
        "INSERT OR REPLACE INTO entry VALUES ('s-1', 2, '', '', '{}', '', '')",
        "REPLACE INTO session VALUES (1, 's-9')",
        "REPLACE INTO session VALUES (7, 's-1')",
        "INSERT INTO entry VALUES ('s-1', 9, '', '', '{}', '', '')",
    ],
)
def test_the_file_itself_refuses_to_change_or_delete_what_is_recorded(path, statement):
    before = contents(filled(path))
    connection = sqlite3.connect(path)
    with pytest.raises(sqlite3.IntegrityError):
        connection.execute(statement)
    connection.close()
    assert contents(path) == before


def test_a_file_that_lost_its_rules_is_reported(path):
    filled(path)
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER entry_unchanged")
    connection.execute("UPDATE entry SET body = '{}' WHERE seq = 2")
    connection.commit()
    connection.close()
    with Store.open(path, write=False) as store:
        whats = [finding.what for finding in store.verify()]
    assert any("entry_unchanged" in what for what in whats)
    assert any("entry 2 was changed" in what for what in whats)


def test_entries_without_their_session_are_reported(path):
    filled(path)
    connection = sqlite3.connect(path)
    connection.execute("DROP TRIGGER session_kept")
    connection.execute("DELETE FROM session")
    connection.execute(f"CREATE TRIGGER session_kept {schema.RULES['session_kept']}")
    connection.commit()
    connection.close()
    with Store.open(path, write=False) as store:
        (finding,) = store.verify()
    assert "never begun" in finding.what


def test_the_journal_and_the_syncing_are_those_that_survive_power_loss(path):
    filled(path)
    with Store.open(path, write=True) as store, store._engine.begin() as connection:
        # sqlite.org/pragma.html: synchronous 3 is EXTRA.
        assert connection.exec_driver_sql("PRAGMA journal_mode").scalar() == "delete"
        assert connection.exec_driver_sql("PRAGMA synchronous").scalar() == 3


def test_a_second_writer_is_refused_plainly_and_a_reader_is_not(path):
    filled(path)
    with Store.open(path, write=True):
        with pytest.raises(RecordUnreachableError, match="another session is writing it"):
            Store.open(path, write=True)
        assert len(contents(path)["s-1"]) == 3
    with Store.open(path, write=True):
        pass


def test_a_second_writing_process_is_refused_until_the_first_is_killed(path):
    filled(path)
    with subprocess.Popen(
        [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True, cwd=ROOT
    ) as writer:
        writer.stdout.readline()
        with pytest.raises(RecordUnreachableError, match="another session is writing it"):
            Store.open(path, write=True)
        writer.send_signal(signal.SIGKILL)
        writer.communicate()
    with Store.open(path, write=True) as store:
        assert store.verify() == []


def test_another_name_of_the_same_file_does_not_get_around_the_lock(path):
    filled(path)
    other = path.with_name("other.db")
    other.symlink_to(path)
    with (
        Store.open(path, write=True),
        pytest.raises(RecordUnreachableError, match="another session"),
    ):
        Store.open(other, write=True)


WRITER = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from assistant.record.store import Store
store = Store.open(Path(sys.argv[1]), write=True)
while True:
    entries = store.append("s-1", [("heard", {"filler": "x" * 3000})] * 2, datetime.now(UTC))
    print(*(entry.hash for entry in entries), flush=True)
"""


def test_no_acknowledged_entry_is_lost_when_the_writer_is_killed_at_any_moment(path):
    with Store.open(path, write=True) as store:
        store.begin("s-1")
    moments = random.Random(4)  # noqa: S311
    acknowledged: list[str] = []
    for _ in range(30):
        with subprocess.Popen(
            [sys.executable, "-c", WRITER, str(path)], stdout=subprocess.PIPE, text=True, cwd=ROOT
        ) as writer:
            first = writer.stdout.readline()
            time.sleep(moments.uniform(0, 0.03))
            writer.kill()
            lines = [first, *writer.communicate()[0].splitlines(keepends=True)]
        acknowledged += [found for line in lines if line.endswith("\n") for found in line.split()]
        with Store.open(path, write=False) as store:
            stored = [entry.hash for entry in store.entries("s-1")]
            assert store.verify() == []
        assert set(acknowledged) <= set(stored)
        assert len(stored) % 2 == 0, "half of an append was kept"
    assert len(acknowledged) > 60


def test_a_short_lock_by_another_program_is_waited_for(path):
    filled(path)
    other = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
    other.execute("BEGIN IMMEDIATE")
    release = threading.Timer(0.5, lambda: other.execute("ROLLBACK"))
    with Store.open(path, write=False) as reader:
        assert len(reader.entries("s-1")) == 3
    release.start()
    with Store.open(path, write=True) as store:
        store.append("s-1", [("heard", {})], NOON)
        assert len(store.entries("s-1")) == 4
    release.join()
    other.close()


def test_a_lasting_lock_by_another_program_is_told_after_two_seconds(path):
    filled(path)
    with Store.open(path, write=True) as store:
        other = sqlite3.connect(path, isolation_level=None)
        other.execute("BEGIN IMMEDIATE")
        begun = time.monotonic()
        with pytest.raises(RecordUnreachableError, match="held it locked for 2 s"):
            store.append("s-1", [("heard", {})], NOON)
        assert 1.5 < time.monotonic() - begun < 4
        other.execute("ROLLBACK")
        other.close()
        assert store.append("s-1", [("heard", {})], NOON)[0].seq == 4


def test_a_full_disk_keeps_what_was_recorded_and_goes_on_when_there_is_space(path):
    filled(path)
    with Store.open(path, write=True) as store:

        def limit(connection, _):
            connection.execute("PRAGMA max_page_count = 12")

        event.listen(store._engine, "connect", limit)
        kept = len(store.entries("s-1"))
        with pytest.raises(RecordUnreachableError, match="disk is full"):
            fill(store)
        assert len(store.entries("s-1")) > kept
        kept = len(store.entries("s-1"))
        assert kept % 2, "half of an append was kept"
        event.remove(store._engine, "connect", limit)
        assert store.append("s-1", [("heard", {})], NOON)[0].seq == kept + 1
        assert store.verify() == []


@pytest.fixture
def mounted(tmp_path):
    """A small file system of its own; the right to mount is needed."""
    place = tmp_path / "mounted"
    place.mkdir()
    mount = shutil.which("mount")
    made = mount and subprocess.run(
        [mount, "-t", "tmpfs", "-o", "size=256k", "tmpfs", place], check=False, capture_output=True
    )
    if not made or made.returncode:
        pytest.skip("mounting needs root")
    yield place
    subprocess.run(["umount", place], check=True)


def test_a_really_full_disk_is_told_and_harmless(mounted):
    path = filled(mounted / "record.db")
    ballast = mounted / "ballast"
    with Store.open(path, write=True) as store:
        ballast.write_bytes(bytes(100_000))
        with pytest.raises(RecordUnreachableError, match="disk is full"):
            fill(store)
        kept = len(store.entries("s-1"))
        ballast.unlink()
        assert store.append("s-1", [("heard", {})], NOON)[0].seq == kept + 1
        assert store.verify() == []


@pytest.mark.parametrize("journal", ["delete", "wal"])
def test_a_record_on_a_read_only_medium_is_read(mounted, journal):
    path = filled(mounted / "record.db")
    connection = sqlite3.connect(path)
    connection.execute(f"PRAGMA journal_mode = {journal}")
    connection.close()
    subprocess.run(["mount", "-o", "remount,ro", mounted], check=True)
    assert len(contents(path)["s-1"]) == 3
    with pytest.raises(RecordUnreachableError, match="ead-only"):
        Store.open(path, write=True)


@pytest.fixture
def cut_off(path, tmp_path):
    """A record as a power cut in the middle of a transaction leaves it."""
    filled(path)
    connection = sqlite3.connect(path, isolation_level=None)
    connection.execute("PRAGMA cache_size = 1")
    connection.execute("BEGIN IMMEDIATE")
    for seq in range(4, 60):
        values = ("s-1", seq, "", "", "x" * 2000, "", "")
        connection.execute("INSERT INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)", values)
    crashed = tmp_path / "crashed.db"
    shutil.copy(path, crashed)
    shutil.copy(f"{path}-journal", f"{crashed}-journal")
    connection.execute("ROLLBACK")
    connection.close()
    assert crashed.stat().st_size > path.stat().st_size
    return crashed


def test_a_commit_cut_off_is_rolled_back_by_the_next_reader(path, cut_off):
    assert contents(cut_off) == contents(path)


def test_a_commit_cut_off_is_not_shown_half_done_from_a_read_only_medium(cut_off, mounted):
    for file in (cut_off, cut_off.with_name("crashed.db-journal")):
        shutil.copy(file, mounted)
    subprocess.run(["mount", "-o", "remount,ro", mounted], check=True)
    with pytest.raises(RecordUnreachableError):
        contents(mounted / "crashed.db")


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE entry SET body = x'00ff' WHERE seq = 3",
        "UPDATE entry SET at = x'00' WHERE seq = 1",
        "UPDATE session SET id = x'00ff'",
    ],
)
def test_a_value_of_another_kind_is_damage_and_no_traceback(path, statement):
    filled(path)
    connection = sqlite3.connect(path)
    for rule in schema.RULES:
        connection.execute(f"DROP TRIGGER {rule}")
    connection.execute(statement)
    connection.commit()
    connection.close()
    with Store.open(path, write=False) as store, pytest.raises(RecordDamagedError):
        store.sessions() and store.entries("s-1")


def test_a_crash_while_a_record_is_made_leaves_nothing_at_its_path(path):
    path.with_name("record.db.new").write_bytes(b"half a file")
    assert contents(filled(path))
    assert sorted(file.name for file in path.parent.iterdir()) == ["record.db", "record.db.lock"]


def test_reading_where_there_is_no_record_makes_none(path):
    with pytest.raises(RecordUnreachableError, match="no such file"):
        Store.open(path, write=False)
    assert not path.exists()


def test_a_path_through_a_file_is_told_in_a_sentence(tmp_path):
    (tmp_path / "file").write_text("text")
    with pytest.raises(
        RecordUnreachableError, match=r"cannot be used: (Not a directory|File exists)"
    ):
        Store.open(tmp_path / "file" / "record.db", write=True)


def test_a_folder_in_place_of_the_record_is_told_in_a_sentence(tmp_path):
    with pytest.raises(RecordUnreachableError, match="cannot be used"):
        Store.open(tmp_path, write=True)


@pytest.mark.parametrize("write", [True, False])
def test_a_file_that_is_no_database_is_left_untouched(path, write):
    path.write_text("minutes of a meeting\n" * 100)
    with pytest.raises(RecordUnreachableError, match="no record of this program"):
        Store.open(path, write=write)
    assert path.read_text() == "minutes of a meeting\n" * 100


@pytest.mark.parametrize("write", [True, False])
def test_an_emptied_file_is_damage_and_is_not_made_anew(path, write):
    path.touch()
    with pytest.raises(RecordDamagedError, match="empty"):
        Store.open(path, write=write)
    assert path.stat().st_size == 0


@pytest.mark.parametrize("write", [True, False])
def test_a_database_of_another_program_is_left_untouched(path, write):
    connection = sqlite3.connect(path)
    connection.execute("CREATE TABLE entry (x)")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(RecordUnreachableError, match="another program"):
        Store.open(path, write=write)
    assert path.read_bytes() == before


@pytest.mark.parametrize("write", [True, False])
def test_a_record_of_a_newer_version_is_refused_plainly(path, write):
    filled(path)
    connection = sqlite3.connect(path)
    connection.execute("PRAGMA user_version = 2")
    connection.close()
    with pytest.raises(RecordUnreachableError, match="its version is 2 and this program knows 1"):
        Store.open(path, write=write)


def test_a_page_overwritten_in_the_middle_is_damage_and_is_not_written_to(path):
    filled(path, entries=60)
    raw = bytearray(path.read_bytes())
    raw[4096 * 3 : 4096 * 5] = b"\xa5" * 8192
    path.write_bytes(raw)
    with pytest.raises(RecordDamagedError, match="left untouched"):
        Store.open(path, write=True)
    assert path.read_bytes() == raw


def test_a_truncated_file_is_damage(path):
    filled(path, entries=60)
    path.write_bytes(path.read_bytes()[: 4096 * 4])
    with pytest.raises(RecordDamagedError):
        Store.open(path, write=True)


def test_no_flipped_byte_anywhere_in_the_file_gives_another_record_that_passes(path):
    before = contents(filled(path, ("s-1", "s-2"), entries=4))
    whole = path.read_bytes()
    places = random.Random(7).sample(range(len(whole)), 250)  # noqa: S311
    # The bytes that are in use, too: a sample alone would mostly hit free space.
    used = [place for place in range(len(whole)) if whole[place]]
    places += random.Random(8).sample(used, 400)  # noqa: S311
    seen = 0
    for place in places:
        raw = bytearray(whole)
        raw[place] ^= 0xFF
        path.write_bytes(raw)
        try:
            with Store.open(path, write=False) as store:
                sound = not store.verify()
        except (RecordDamagedError, RecordUnreachableError):
            sound = False
        if sound:
            assert contents(path) == before, place
        seen += not sound
    assert seen > 200


def test_times_are_the_same_instants_wherever_they_are_read(path, monkeypatch):
    monkeypatch.setenv("TZ", "Asia/Tokyo")
    time.tzset()
    filled(path)
    monkeypatch.setenv("TZ", "America/New_York")
    time.tzset()
    at = contents(path)["s-1"][0].at
    monkeypatch.undo()
    time.tzset()
    assert chain.read_instant(at) == NOON

"""The store: a record in one SQLite file, append-only, durable when an append returns.

Journal and syncing are chosen for power loss.  ``journal_mode=DELETE``, not WAL:
the SQLite versions 3.7.0 to 3.51.2 have a fault in WAL that can corrupt a file
when a checkpoint resets the log beside another writer, a Python may carry such a
version for years, and WAL does not work on network drives.  ``synchronous=EXTRA``:
in DELETE mode the commit is the removal of the journal, and only EXTRA also syncs
the folder, without which a power cut just after a commit can bring the journal
and so the state before the commit back.  ``fullfsync`` asks macOS for what its
plain fsync does not do: to wait until the disk has the bytes.

Every transaction opens the file anew by its path (about a millisecond), so that a
file which was deleted or unplugged is noticed and not written to unseen.
"""

from __future__ import annotations

import sqlite3
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, Self
from urllib.parse import quote

from sqlalchemy import Connection, Engine, create_engine, event, func, insert, select, text
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import NullPool

from assistant.record import chain, schema
from assistant.record.chain import Entry, Finding
from assistant.record.fault import (
    BUSY_S,
    damaged,
    in_plain_words,
    unreachable,
)
from assistant.record.lock import WriterLock

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence
    from datetime import datetime


class SessionUnknownError(Exception):
    """The record has no session of that id; the message says how to list them."""


@dataclass(frozen=True, slots=True)
class SessionSummary:
    """One session of a record, at a glance.

    Attributes:
        id: the session's id.
        entries: how many entries it has.
        first_at: instant of its first entry as stored, "" where it has none.
        last_at: instant of its last entry as stored, "" where it has none.
        last_hash: hash of its last entry, "" where it has none: copied elsewhere,
            it shows later that nothing was cut off.
    """

    id: str
    entries: int
    first_at: str
    last_at: str
    last_hash: str


class Store:
    """An open record.  Use ``Store.open``; not for use by two threads at once."""

    def __init__(self, path: Path, engine: Engine, lock: WriterLock | None) -> None:
        self.path = path
        self._engine = engine
        self._lock = lock

    @classmethod
    def open(cls, path: Path, *, write: bool) -> Self:
        """Open the record at a path; to write, make it and its folders if there is none.

        Raises:
            RecordUnreachableError: it is missing, locked, read-only, another program's
                file or of a newer version, or another process writes it.
            RecordDamagedError: the file is malformed; it is never made anew.
        """
        path = path.expanduser().resolve()
        with in_plain_words(path):
            if not write:
                if not path.is_file():
                    raise unreachable(path, "there is no such file; the first session makes it")
                return cls(path, _checked_for_reading(path), None)
            path.parent.mkdir(parents=True, exist_ok=True)
            lock = WriterLock(path)
            try:
                if not path.exists():
                    _create(path)
                engine = _checked(path, _engine(path, "rw", write=True))
                _check_pages(path, engine)
                return cls(path, engine, lock)
            except BaseException:
                lock.release()
                raise

    def begin(self, session_id: str) -> None:
        """Add a session without entries.

        Raises:
            ValueError: the id is empty or known already.
            RecordUnreachableError: nothing was written.
            RecordDamagedError: nothing was written.
        """
        if not session_id:
            raise ValueError("a session needs an id")
        with in_plain_words(self.path), self._engine.begin() as connection:
            if _known(connection, session_id):
                raise ValueError(f"session {session_id} is in the record already")
            connection.execute(insert(schema.session).values(id=session_id))

    def append(
        self, session_id: str, items: Sequence[tuple[str, Mapping[str, object]]], at: datetime
    ) -> list[Entry]:
        """Append entries of one instant, all or none; they are durable when this returns.

        Args:
            session_id: a session that was begun.
            items: (type, body) of each entry, in order.
            at: the instant of all of them, with a time zone.

        Raises:
            ValueError: ``at`` has no time zone, or JSON cannot hold a body.
            SessionUnknownError: the session was not begun.
            RecordUnreachableError: the entries are not acknowledged.  A disk that
                fails in the very last step of a commit may still hold them, so
                fold the entries again before going on.
            RecordDamagedError: likewise.
        """
        with in_plain_words(self.path), self._engine.begin() as connection:
            self._require(connection, session_id)
            last = self._last(connection, session_id)
            linked: list[Entry] = []
            for kind, body in items:
                last = chain.link(session_id, last, kind, body, at)
                linked.append(last)
            for entry in linked:
                connection.execute(insert(schema.entry).values(_values(entry)))
        return linked

    def sessions(self) -> list[SessionSummary]:
        """Every session, in the order in which they were begun.

        Raises:
            RecordUnreachableError: it cannot be read now.
            RecordDamagedError: it can no longer be read.
        """
        counted = (
            select(
                schema.session.c.id,
                func.count(schema.entry.c.seq),
                func.coalesce(func.min(schema.entry.c.at), ""),
            )
            .outerjoin(schema.entry)
            .group_by(schema.session.c.number, schema.session.c.id)
            .order_by(schema.session.c.number)
        )
        with in_plain_words(self.path), self._engine.begin() as connection:
            summaries = []
            for session_id, count, first_at in connection.execute(counted):
                if not isinstance(session_id, str) or not isinstance(first_at, str):
                    raise damaged(self.path, "a session's row is unreadable")
                last = self._last(connection, session_id)
                last_at, last_hash = ("", "") if last is None else (last.at, last.hash)
                summaries.append(SessionSummary(session_id, count, first_at, last_at, last_hash))
            return summaries

    def entries(self, session_id: str) -> list[Entry]:
        """A session's entries, in order, as stored and not yet verified.

        Raises:
            SessionUnknownError: there is no such session.
            RecordUnreachableError: it cannot be read now.
            RecordDamagedError: it can no longer be read.
        """
        with in_plain_words(self.path), self._engine.begin() as connection:
            self._require(connection, session_id)
            return self._entries(connection, session_id)

    def verify(self) -> list[Finding]:
        """Everything that is wrong with the record: file, rules, chains; empty if sound.

        Raises:
            RecordUnreachableError: it cannot be read now.
            RecordDamagedError: it can no longer be read to its end.
        """
        with in_plain_words(self.path), self._engine.begin() as connection:
            findings = [
                Finding("", 0, f"the file: {line}")
                for line in connection.scalars(text("PRAGMA integrity_check"))
                if line != "ok"
            ]
            findings += [
                Finding("", 0, f"the rule {name} that keeps the record append-only is gone")
                for name in schema.missing_rules(connection)
            ]
            begun = set(connection.scalars(select(schema.session.c.id)))
            held = connection.scalars(select(schema.entry.c.session).distinct()).all()
            findings += [
                Finding(str(session_id), 0, "it has entries but was never begun")
                for session_id in held
                if session_id not in begun
            ]
            return findings + chain.verify(self._entries(connection, None))

    def close(self) -> None:
        """Give the writer's lock up; more than once does no harm."""
        self._engine.dispose()
        if self._lock is not None:
            self._lock.release()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.close()

    def _require(self, connection: Connection, session_id: str) -> None:
        if not _known(connection, session_id):
            raise SessionUnknownError(
                f"The record {self.path} has no session {session_id!r}; "
                "`sinkside record list` shows those it has."
            )

    def _last(self, connection: Connection, session_id: str) -> Entry | None:
        query = select(schema.entry).where(schema.entry.c.session == session_id)
        row = connection.execute(query.order_by(schema.entry.c.seq.desc()).limit(1)).first()
        return None if row is None else self._entry(row)

    def _entries(self, connection: Connection, session_id: str | None) -> list[Entry]:
        query = select(schema.entry).order_by(schema.entry.c.session, schema.entry.c.seq)
        if session_id is not None:
            query = query.where(schema.entry.c.session == session_id)
        return [self._entry(row) for row in connection.execute(query)]

    def _entry(self, row: Sequence[object]) -> Entry:
        """The entry in a row; a damaged file can hold any type in any column."""
        match row:
            case (str(session), int(seq), str(at), str(kind), str(body), str(prev), str(digest)):
                return Entry(session, seq, at, kind, body, prev, digest)
            case (session, seq, *_):
                raise damaged(self.path, f"entry {seq!r} of session {session!r} is unreadable")
        raise damaged(self.path, "an entry is unreadable")


def _values(entry: Entry) -> dict[str, object]:
    return {name: getattr(entry, name) for name in Entry.__slots__}


def _known(connection: Connection, session_id: str) -> bool:
    query = select(schema.session.c.number).where(schema.session.c.id == session_id)
    return connection.execute(query).first() is not None


def _create(path: Path) -> None:
    """Make a record under another name, then rename it: a crash leaves no half-made record.

    So an empty or short file at the record's own path is always damage.
    """
    fresh = path.with_name(f"{path.name}.new")
    for leftover in (fresh, fresh.with_name(f"{fresh.name}-journal")):
        leftover.unlink(missing_ok=True)
    engine = _engine(fresh, "rwc", write=True)
    with engine.begin() as connection:
        schema.create(connection)
    engine.dispose()
    fresh.rename(path)


def _engine(path: Path, mode: str, *, write: bool) -> Engine:
    """An engine whose every transaction is a connection and one BEGIN of its own."""
    uri = f"file:{quote(str(path))}?{mode if '=' in mode else f'mode={mode}'}"

    def connect() -> sqlite3.Connection:
        # isolation_level None: the module begins nothing by itself; _begin does.
        connection = sqlite3.connect(uri, uri=True, timeout=BUSY_S, isolation_level=None)
        # Bytes that are not UTF-8 reach the chain, which tells where they are.
        connection.text_factory = lambda raw: raw.decode("utf-8", "surrogateescape")
        try:
            for pragma in _WRITING if write else _READING:
                connection.execute(f"PRAGMA {pragma}")
        except sqlite3.Error:
            connection.close()
            raise
        return connection

    engine = create_engine("sqlite://", creator=connect, poolclass=NullPool)
    statement = "BEGIN IMMEDIATE" if write else "BEGIN"
    event.listen(engine, "begin", lambda connection: connection.exec_driver_sql(statement))
    return engine


_WRITING = ("journal_mode = DELETE", "synchronous = EXTRA", "fullfsync = ON", "foreign_keys = ON")
_READING = ("query_only = ON",)


def _checked(path: Path, engine: Engine) -> Engine:
    """The engine, once the file is known to be a record that this version understands."""
    if path.stat().st_size == 0:
        raise damaged(path, "it is empty")
    with engine.begin() as connection:
        application = connection.scalar(text("PRAGMA application_id"))
        version = connection.scalar(text("PRAGMA user_version"))
    if application != schema.APPLICATION:
        raise unreachable(path, "it is a database of another program; name another file")
    if version != schema.VERSION:
        raise unreachable(
            path,
            f"its version is {version} and this program knows {schema.VERSION}; "
            "use the program that wrote it or a newer one",
        )
    return engine


def _check_pages(path: Path, engine: Engine) -> None:
    """See that no page of the file is malformed before anything is added to it."""
    with engine.begin() as connection:
        first = connection.scalar(text("PRAGMA quick_check(1)"))
    if first != "ok":
        raise damaged(path, str(first))


def _checked_for_reading(path: Path) -> Engine:
    """An engine for reading, also where nothing may be written.

    Opened as if to write (queries only), so that SQLite may put right what a
    killed writer left half-done; on a read-only medium SQLite then reads without.
    A file in WAL mode, which another program may have set, needs "immutable" there.
    """
    try:
        return _checked(path, _engine(path, "rw", write=False))
    except (DBAPIError, sqlite3.Error):
        unfinished = [Path(f"{path}{suffix}") for suffix in ("-journal", "-wal")]
        if any(file.exists() and file.stat().st_size for file in unfinished):
            # Immutable ignores these files, and so would show a half-written state.
            raise
        return _checked(path, _engine(path, "immutable=1", write=False))

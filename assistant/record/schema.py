"""The tables of a record, and the rules inside the file that make it append-only."""

from __future__ import annotations

from sqlalchemy import Column, Connection, ForeignKey, Integer, MetaData, Table, Text, text

APPLICATION = 0x73696E6B  # "sink": SQLite's mark of whose file this is
VERSION = 1

metadata = MetaData()

session = Table(
    "session",
    metadata,
    Column("number", Integer, primary_key=True),
    Column("id", Text, nullable=False, unique=True),
)

entry = Table(
    "entry",
    metadata,
    Column("session", Text, ForeignKey("session.id"), primary_key=True),
    Column("seq", Integer, primary_key=True),
    Column("at", Text, nullable=False),
    Column("type", Text, nullable=False),
    Column("body", Text, nullable=False),
    Column("prev", Text, nullable=False),
    Column("hash", Text, nullable=False),
)

# INSERT OR REPLACE deletes without firing a DELETE trigger (sqlite.org/lang_replace.html),
# hence the rules on INSERT, which fire before a conflict is resolved.
RULES = {
    "session_kept": "BEFORE DELETE ON session BEGIN SELECT RAISE(ABORT, 'sessions are kept'); END",
    "session_unchanged": (
        "BEFORE UPDATE ON session BEGIN SELECT RAISE(ABORT, 'sessions do not change'); END"
    ),
    "session_new": (
        "BEFORE INSERT ON session WHEN EXISTS "
        "(SELECT 1 FROM session WHERE id = NEW.id OR number = NEW.number) "
        "BEGIN SELECT RAISE(ABORT, 'this session is known'); END"
    ),
    "entry_kept": "BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'entries are kept'); END",
    "entry_unchanged": (
        "BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'entries do not change'); END"
    ),
    "entry_next": (
        "BEFORE INSERT ON entry WHEN NEW.seq IS NOT "
        "(SELECT coalesce(max(seq), 0) + 1 FROM entry WHERE session = NEW.session) "
        "BEGIN SELECT RAISE(ABORT, 'an entry follows the last one'); END"
    ),
}


def create(connection: Connection) -> None:
    """Lay out an empty file as a record."""
    metadata.create_all(connection)
    for name, rule in RULES.items():
        connection.execute(text(f"CREATE TRIGGER {name} {rule}"))
    connection.execute(text(f"PRAGMA application_id = {APPLICATION}"))
    connection.execute(text(f"PRAGMA user_version = {VERSION}"))


def missing_rules(connection: Connection) -> list[str]:
    """Names of the append-only rules that the file has lost or that were altered."""
    found = connection.execute(text("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'"))
    stored = {str(name): str(sql) for name, sql in found}
    return [
        name for name, rule in RULES.items() if stored.get(name) != f"CREATE TRIGGER {name} {rule}"
    ]

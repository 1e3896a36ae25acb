"""What can go wrong with a record, each fault as one sentence with its remedy."""

from __future__ import annotations

import sqlite3
from contextlib import contextmanager
from typing import TYPE_CHECKING

from sqlalchemy.exc import DBAPIError

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

BUSY_S = 2.0  # seconds that a write waits for another program's lock


class RecordUnreachableError(Exception):
    """The record cannot be read or written now; nothing in it was changed."""


class RecordDamagedError(Exception):
    """The record's file is damaged; it is left exactly as it is."""


# SQLite's primary result codes (sqlite.org/rescode.html) that have a remedy.
_REMEDIES = {
    sqlite3.SQLITE_BUSY: (
        f"another program has held it locked for {BUSY_S:g} s; close that program and try again"
    ),
    sqlite3.SQLITE_LOCKED: "another program holds it locked; close that program and try again",
    sqlite3.SQLITE_FULL: "the disk is full; free some space and try again",
    sqlite3.SQLITE_READONLY: (
        "it may only be read here; use a folder and a file that you may write"
    ),
    sqlite3.SQLITE_PERM: "its file may not be opened; ask for the right to it",
    sqlite3.SQLITE_CANTOPEN: (
        "its file cannot be opened; see whether its folder exists and may be written"
    ),
    sqlite3.SQLITE_IOERR: "the disk reports an error; see whether it is connected and sound",
    sqlite3.SQLITE_NOTADB: (
        "it is no record of this program, or its first bytes are damaged; "
        "it was left untouched, so name another file or restore a copy"
    ),
    sqlite3.SQLITE_TOOBIG: "an entry is larger than the store can hold",
}


def damaged(path: Path, what: str) -> RecordDamagedError:
    """The error for a damaged file."""
    return RecordDamagedError(
        f"The record {path} is damaged ({what}); it was left untouched: "
        "keep it, and record into another file."
    )


def unreachable(path: Path, why: str) -> RecordUnreachableError:
    """The error for a file that cannot be read or written now."""
    return RecordUnreachableError(f"The record {path} cannot be used: {why}.")


@contextmanager
def in_plain_words(path: Path) -> Iterator[None]:
    """Turn what the database and the system raise into the two errors above.

    Raises:
        RecordDamagedError: the file is malformed.
        RecordUnreachableError: anything else that SQLite or the system refuses.
    """
    try:
        yield
    except (DBAPIError, sqlite3.Error) as error:
        cause = error.orig if isinstance(error, DBAPIError) else error
        # The low byte of an extended code is its primary code.
        code = getattr(cause, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
        if code == sqlite3.SQLITE_CORRUPT:
            raise damaged(path, str(cause)) from error
        raise unreachable(path, _REMEDIES.get(code, str(cause))) from error
    except UnicodeDecodeError as error:  # a name inside the file is no longer text
        raise damaged(path, "its layout is unreadable") from error
    except OSError as error:
        raise unreachable(path, error.strerror or str(error)) from error

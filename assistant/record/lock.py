"""The writer's lock: at most one process writes a record.

The operating system holds the lock on an open file beside the record and drops
it when the process ends, however it ends, so a crash leaves none behind.  The
file itself stays: deleting it would let two writers lock two different files.
"""

from __future__ import annotations

import os
import sys
from typing import TYPE_CHECKING

from assistant.record.fault import unreachable

if TYPE_CHECKING:
    from pathlib import Path

if sys.platform == "win32":
    import msvcrt

    def _seize(descriptor: int) -> None:
        msvcrt.locking(descriptor, msvcrt.LK_NBLCK, 1)
else:
    import fcntl

    def _seize(descriptor: int) -> None:
        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)


class WriterLock:
    """A held lock; ``release`` gives it up."""

    def __init__(self, record: Path) -> None:
        """Take the lock of the record at that path.

        Raises:
            RecordUnreachableError: another process writes this record.
            OSError: the file beside the record cannot be made.
        """
        # O_CLOEXEC is Python's default: the speaking process must not inherit it.
        self._descriptor = os.open(f"{record}.lock", os.O_RDWR | os.O_CREAT, 0o644)
        try:
            _seize(self._descriptor)
        except OSError as error:
            os.close(self._descriptor)
            raise unreachable(
                record,
                "another session is writing it; end that session or record into another file",
            ) from error

    def release(self) -> None:
        """Give the lock up; more than once does no harm."""
        if self._descriptor >= 0:
            os.close(self._descriptor)
            self._descriptor = -1

"""The scanner's thread: an input device of its own, read as a keyboard that only scans."""

from __future__ import annotations

import os
import select
import stat
import struct
import threading
from typing import TYPE_CHECKING

from assistant.station.ear import scanned
from assistant.station.key_code import Typing
from assistant.station.loop import Trouble

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from assistant.station.clock import Clock
    from assistant.station.loop import Message

RETRY_S = 1.0  # between two tries to get a lost scanner back
_LOOK_S = 0.2
# struct input_event of Linux: time of day as two longs, type, code, value.
_EVENT = struct.Struct("@llHHi")
_KEY = 1  # EV_KEY
_GRAB = 0x40044590  # EVIOCGRAB: its keys reach nobody else


class ScannerError(Exception):
    """A scanner cannot be read; the message says which and what to do."""


class Scanner:
    """Reads a scanner in a thread of its own until it is closed."""

    def __init__(self, path: Path, clock: Clock, tell: Callable[[Message], None]) -> None:
        """Open the device and begin to read it.

        Args:
            path: of the device, such as those in ``/dev/input/by-id``.
            clock: the session's clock.
            tell: takes each scan, and what went wrong.

        Raises:
            ScannerError: it cannot be opened now.
        """
        self._path = path
        self._clock = clock
        self._tell = tell
        self._typing = Typing()
        self._rest = b""
        self._closing = threading.Event()
        try:
            self._file: int | None = _opened(path)
        except OSError as error:
            raise ScannerError(
                f"the scanner {path} cannot be read: {error.strerror}; name one of "
                "/dev/input/by-id, and see that you may read it (group input)"
            ) from error
        self._thread = threading.Thread(target=self._work, name="scanner", daemon=True)
        self._thread.start()

    def close(self) -> None:
        """End the thread and let the device go."""
        self._closing.set()
        self._thread.join(timeout=3)
        if self._file is not None:
            os.close(self._file)

    def _work(self) -> None:
        while not self._closing.is_set():
            try:
                self._read(self._again())
            except OSError as error:
                self._lost(error)

    def _again(self) -> int:
        if self._file is None:
            self._file = _opened(self._path)
            self._tell(Trouble(f"the scanner {self._path} is back"))
        return self._file

    def _read(self, file: int) -> None:
        """What the device has typed within a moment."""
        if not select.select([file], [], [], _LOOK_S)[0]:
            return
        data = os.read(file, 64 * _EVENT.size)
        if not data:
            raise OSError(0, "it has ended")
        data = self._rest + data
        whole = len(data) - len(data) % _EVENT.size
        self._rest = data[whole:]
        for _, _, kind, code, value in _EVENT.iter_unpack(data[:whole]):
            line = self._typing.take(code, value) if kind == _KEY else ""
            if line:
                self._tell(scanned(line, self._clock.now()))

    def _lost(self, error: OSError) -> None:
        """Tell it once, then try until it is back."""
        if self._file is not None:
            self._tell(Trouble(f"the scanner {self._path} is lost: {error.strerror}"))
            os.close(self._file)
            self._file, self._rest, self._typing = None, b"", Typing()
        self._closing.wait(RETRY_S)


def _opened(path: Path) -> int:
    """The device, open for reading, its keys kept from everybody else."""
    file = os.open(path, os.O_RDONLY | os.O_NONBLOCK)
    if stat.S_ISCHR(os.fstat(file).st_mode):
        import fcntl  # noqa: PLC0415 - not on every system, and only devices are grabbed

        try:
            fcntl.ioctl(file, _GRAB, 1)
        except OSError:
            os.close(file)
            raise
    return file

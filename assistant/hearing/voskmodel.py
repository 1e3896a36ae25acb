"""A Vosk model's folder, looked over before the library opens it.

The library says "Failed to create a model" whatever is wrong.  Here each fault
has its own sentence.
"""

from __future__ import annotations

import hashlib
import os
import sys
import tempfile
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any, Final

from assistant.hearing.recognizer import ModelMissingError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

# Two layouts are in use: parts in folders of their own, or all side by side.
_ACOUSTIC: Final = ("am/final.mdl", "final.mdl")
_FIXED_GRAPH: Final = ("graph/HCLG.fst", "HCLG.fst")
_OPEN_GRAPH: Final = ("graph/HCLr.fst", "HCLr.fst")
_SILENT_BUT_ERRORS: Final = -2  # the library's log level; -1 still prints warnings


def check(folder: Path) -> None:
    """Make sure that the folder holds a model that takes a grammar.

    Raises:
        ModelMissingError: what is wrong with it, and the remedy.
    """
    if not folder.exists():
        raise ModelMissingError(
            f"{folder}: there is no such folder; unpack a Vosk model there, or name its folder"
        )
    if not folder.is_dir():
        raise ModelMissingError(
            f"{folder}: is a file; unpack it and name the folder that comes out of it"
        )
    _refuse_unreadable(folder)
    if not any(folder.iterdir()):
        raise ModelMissingError(f"{folder}: is empty; unpack a Vosk model into it")
    if not _has(folder, _ACOUSTIC):
        inner = [f for f in sorted(folder.iterdir()) if f.is_dir() and _has(f, _ACOUSTIC)]
        if inner:
            raise ModelMissingError(
                f"{folder}: the model lies one folder deeper; name {inner[0]} instead"
            )
        raise ModelMissingError(
            f"{folder}: holds no Vosk speech recognition model (neither {_ACOUSTIC[0]} nor "
            f"{_ACOUSTIC[1]}); name the folder that was unpacked from such a model"
        )
    if not _has(folder, _OPEN_GRAPH):
        if _has(folder, _FIXED_GRAPH):
            raise ModelMissingError(
                f"{folder}: the model's graph is fixed (HCLG.fst) and cannot take a grammar; "
                "use a model with HCLr.fst and Gr.fst, as the small ones have"
            )
        raise ModelMissingError(
            f"{folder}: {_OPEN_GRAPH[0]} is missing; the model is incomplete, unpack it again"
        )
    for path in sorted(folder.rglob("*")):
        _refuse_unreadable(path)


def load(folder: Path) -> Any:  # noqa: ANN401  (the library has no types)
    """The library's model, silently.

    Raises:
        ModelMissingError: the folder holds no model that can be used.
    """
    check(folder)
    import vosk  # noqa: PLC0415  (heavy, and only this recognizer needs it)

    vosk.SetLogLevel(_SILENT_BUT_ERRORS)
    with _native_stderr() as said:
        try:
            # By path only: by language the library would go to the network.
            return vosk.Model(model_path=str(folder.resolve()))
        except Exception as error:  # noqa: BLE001  (the library raises nothing narrower)
            reason = said() or str(error)
    raise ModelMissingError(
        f"{folder}: the model cannot be opened ({reason}); unpack it again, or use another model"
    )


def digest(folder: Path) -> str:
    """SHA-256 of the model: over each file's path and SHA-256, in order of path."""
    whole = hashlib.sha256()
    for path in sorted(p for p in folder.rglob("*") if p.is_file()):
        with path.open("rb") as raw:
            part = hashlib.file_digest(raw, "sha256").hexdigest()
        whole.update(f"{path.relative_to(folder).as_posix()}\0{part}\n".encode())
    return whole.hexdigest()


def _has(folder: Path, places: tuple[str, ...]) -> bool:
    return any((folder / place).is_file() for place in places)


def _refuse_unreadable(path: Path) -> None:
    wanted = os.R_OK | (os.X_OK if path.is_dir() else 0)
    if not os.access(path, wanted):
        raise ModelMissingError(f"{path}: may not be read; give yourself read permission")


@contextmanager
def _native_stderr() -> Iterator[Callable[[], str]]:
    """Catch what native code writes to file descriptor 2; yields its last line."""
    sys.stderr.flush()
    with tempfile.TemporaryFile() as caught:
        before = os.dup(2)
        os.dup2(caught.fileno(), 2)

        def last_line() -> str:
            caught.seek(0)
            lines = caught.read().decode(errors="replace").strip().splitlines()
            return lines[-1].rpartition(") ")[2].rstrip(".") if lines else ""

        try:
            yield last_line
        finally:
            os.dup2(before, 2)
            os.close(before)

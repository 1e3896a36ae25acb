"""Results on disk, a JSON object a line, so that a run can be broken off and gone on with."""

from __future__ import annotations

import hashlib
import json
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING

from tests.benchmark.trial import Row

if TYPE_CHECKING:
    from collections.abc import Iterable

_ROOT = Path(__file__).parents[2]
_TESTED = ("assistant/hearing", "assistant/grammar", "grammars/en", "tests/benchmark")
# What only prints, or tries the benchmark itself, changes no result.
_NO_PART = ("table.py", "figures.py", "goals.py", "results.py", "__main__.py", "load.py")

Key = tuple[str, str, str, str]  # part, condition, case, recognizer


class OtherVersionError(Exception):
    """The results are of another state of the program; they must not be mixed."""


def fingerprint() -> str:
    """Hex, over all files that a result depends on."""
    digest = hashlib.sha256()
    for folder in _TESTED:
        for path in sorted((_ROOT / folder).rglob("*")):
            own = path.name in _NO_PART or path.name.startswith("test_")
            if path.suffix in (".py", ".jsgf", ".yaml") and not own:
                digest.update(str(path.relative_to(_ROOT)).encode() + path.read_bytes())
    return digest.hexdigest()[:16]


class Results:
    """Rows in a file, the newest of a key counting."""

    def __init__(self, path: Path, *, fresh: bool = False) -> None:
        """Open the file, or begin it.

        Raises:
            OtherVersionError: it holds results of another state of the program.
        """
        self._path = path
        self.rows: dict[Key, Row] = {}
        self.fingerprint = fingerprint()
        if fresh or not path.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(json.dumps({"fingerprint": self.fingerprint}) + "\n")
            return
        first, *lines = path.read_text(encoding="utf-8").splitlines()
        if json.loads(first)["fingerprint"] != self.fingerprint:
            raise OtherVersionError(
                f"{path} holds results of another state of the program; "
                "begin anew with --fresh, or name another folder with --out"
            )
        for line in lines:
            self._keep(_row(json.loads(line)))

    def add(self, rows: Iterable[Row]) -> None:
        """Keep rows, on disk too."""
        with self._path.open("a", encoding="utf-8") as file:
            for row in rows:
                self._keep(row)
                file.write(json.dumps(asdict(row)) + "\n")

    def _keep(self, row: Row) -> None:
        self.rows[row.part, row.condition, row.case, row.recognizer] = row


def _row(fields: dict[str, object]) -> Row:
    lists = {name: tuple(value) for name, value in fields.items() if isinstance(value, list)}
    return Row(**{**fields, **lists})  # type: ignore[arg-type] # as asdict wrote them

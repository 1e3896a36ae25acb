"""Faults as a user meets them: one plain sentence and an exit code, never a traceback."""

from __future__ import annotations

import sys
import tempfile
import traceback
from pathlib import Path

GOOD = 0
FINDINGS = 1
USAGE = 2
UNREADABLE = 3
MISSING = 4
DAMAGED = 5
UNREACHABLE = 6

# By name, so that no command imports what only another one needs.
_CODES = {
    "AudioError": UNREADABLE,
    "ChoiceError": USAGE,
    "CodeError": USAGE,
    "EmptyGrammarError": UNREADABLE,
    "EntryUnreadableError": DAMAGED,
    "JsgfError": UNREADABLE,
    "MicrophoneError": MISSING,
    "ModelMissingError": MISSING,
    "OrthographyError": UNREADABLE,
    "PackError": UNREADABLE,
    "PlaybackError": MISSING,
    "PressError": UNREADABLE,
    "ProcedureUnknownError": USAGE,
    "RecordDamagedError": DAMAGED,
    "RecordUnreachableError": UNREACHABLE,
    "ScannerError": MISSING,
    "ScriptError": UNREADABLE,
    "SessionUnknownError": USAGE,
    "SheetError": UNREADABLE,
    "SpeechDataError": UNREADABLE,
    "StationImpossibleError": UNREADABLE,
    "StationMissingError": UNREADABLE,
    "StationUnknownError": USAGE,
    "StepsDifferError": UNREADABLE,
    "UnspeakableError": UNREADABLE,
    "UnwritableWordError": UNREADABLE,
    "VoiceError": MISSING,
    "WeightsError": MISSING,
}


def code(error: BaseException) -> int | None:
    """The exit code of a known fault; None for one that nobody foresaw."""
    for kind in type(error).__mro__:
        if kind.__name__ in _CODES:
            return _CODES[kind.__name__]
    return None


def report(error: Exception) -> int:
    """Tell the fault on standard error; the exit code.

    What nobody foresaw goes to a file, for whoever mends it; the user gets a
    sentence.
    """
    known = code(error)
    if known is not None:
        sys.stderr.write(f"sinkside: {error}\n")
        return known
    with tempfile.NamedTemporaryFile(
        "w", prefix="sinkside-fault-", suffix=".txt", delete=False, encoding="utf-8"
    ) as file:
        traceback.print_exception(error, file=file)
    sys.stderr.write(
        f"sinkside: something unforeseen went wrong ({type(error).__name__}: {error});"
        f" what was recorded is safe. Details for a report are in {Path(file.name)}\n"
    )
    return FINDINGS

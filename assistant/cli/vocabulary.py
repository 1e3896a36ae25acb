"""The vocabulary of a command line: the shipped pack with all shipped procedures' parts."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.grammar import pack as packs
from assistant.grammar.interpret import interpreter
from assistant.procedure.finding import SheetError
from assistant.station.opening import find, read, shipped

if TYPE_CHECKING:
    from assistant.grammar.interpret import Interpreter


def shipped_vocabulary(language: str, procedure: str = "") -> Interpreter:
    """What may be said about one procedure, or about all shipped ones.

    Raises:
        PackError, JsgfError, ProcedureUnknownError, SheetError
    """
    paths = (find(procedure),) if procedure else shipped()
    procedures = []
    for path in paths:
        try:
            procedures.append(read(path).procedure)
        except SheetError:
            if procedure:
                raise
    return interpreter(packs.load(language), procedures)

"""Opening a session: a procedure found, its exact text and models named, an id drawn."""

from __future__ import annotations

import getpass
import hashlib
import os
import secrets
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from assistant import __version__
from assistant.procedure import sheet
from assistant.procedure.finding import SheetError
from assistant.procedure.policy import applied
from assistant.session.event import SessionOpened
from assistant.shipped import folder

if TYPE_CHECKING:
    from datetime import datetime

    from assistant.grammar.pack import Pack
    from assistant.procedure.model import Procedure
    from assistant.station.sink import StationSheet


class ProcedureUnknownError(Exception):
    """No procedure of that name; the message lists what there is."""


@dataclass(frozen=True, slots=True)
class Sheet:
    """A procedure with the exact text that it was read from.

    Attributes:
        source: the file, or whatever else names where the text came from.
        text: the sheet.
        procedure: what it states, with the policy laid over it.
        policy: the text of the facility's policy; "" for none.
    """

    source: str
    text: str
    procedure: Procedure
    policy: str = ""


def shipped() -> tuple[Path, ...]:
    """The sheets that travel with the program."""
    return tuple(sorted(folder("procedures").glob("*.yaml")))


def within(folder_: Path | None) -> tuple[Path, ...]:
    """The sheets of a folder; the shipped ones where None.

    Raises:
        ProcedureUnknownError: the folder has none.
    """
    if folder_ is None:
        return shipped()
    found = tuple(sorted((*folder_.glob("*.yaml"), *folder_.glob("*.yml"))))
    if not found:
        raise ProcedureUnknownError(f'there is no procedure (*.yaml) in the folder "{folder_}"')
    return found


def find(name: str) -> Path:
    """The path of a procedure: a file, or the name of a shipped one.

    Raises:
        ProcedureUnknownError: neither.
    """
    path = Path(name)
    # ``os.path`` has no error for a path that is too long or may not be looked at.
    if path.suffix in (".yaml", ".yml") or os.path.exists(name):  # noqa: PTH110
        return path
    for known in shipped():
        if known.stem == name:
            return known
    names = ", ".join(known.stem for known in shipped())
    raise ProcedureUnknownError(f'there is no procedure "{name}"; there are: {names}, or a file')


def find_policy(name: str) -> Path:
    """The path of a facility's policy: a file, or the name of a shipped one.

    Raises:
        ProcedureUnknownError: neither.
    """
    path = Path(name)
    if path.suffix in (".yaml", ".yml") or path.exists():
        return path
    known = sorted((folder("procedures") / "policies").glob("*.yaml"))
    for one in known:
        if one.stem == name:
            return one
    names = ", ".join(one.stem for one in known)
    raise ProcedureUnknownError(f'there is no policy "{name}"; there are: {names}, or a file')


def read(path: Path, policy: Path | None = None) -> Sheet:
    """The procedure in a sheet, with its text, and a policy laid over it where one is given.

    Raises:
        SheetError: one of them cannot be read or has mistakes, or the policy loosens.
    """
    data = sheet.read_bytes(path)
    if policy is None:
        return Sheet(str(path), data.decode("utf-8"), sheet.parse(data, str(path)))
    over = sheet.read_bytes(policy)
    procedure = applied(data, str(path), over, str(policy))
    return Sheet(str(path), data.decode("utf-8"), procedure, over.decode("utf-8"))


def reread(text: str, policy: str, source: str) -> Procedure:
    """The procedure whose text, and whose policy's text, a record holds.

    Raises:
        SheetError: this program no longer reads them.
    """
    if not policy:
        return sheet.parse(text.encode(), source)
    return applied(text.encode(), source, policy.encode(), f"{source}, policy")


def opened(
    found: Sheet,
    chosen: Procedure,
    pack: Pack,
    station: StationSheet | None,
    at: datetime,
    *,
    mode: str,
    operator: str,
    recognizer: str,
    model_sha256: str,
    voice: str,
    received: str = "",
    received_as: str = "",
) -> SessionOpened:
    """The first entry of a session: who, what, and by which exact texts and models."""
    procedure = found.procedure
    return SessionOpened(
        at=at,
        procedure=procedure.id,
        revision=procedure.revision,
        title=procedure.title,
        notice=procedure.notice,
        procedure_text=found.text,
        procedure_sha256=hashlib.sha256(found.text.encode()).hexdigest(),
        grammar_sha256=pack.sha256,
        recognizer=recognizer,
        model_sha256=model_sha256,
        voice=voice,
        language=pack.language,
        operator=operator or _operator(),
        mode=mode,
        program=f"sinkside {__version__}",
        components=tuple(component.id for component in chosen.components),
        session=session_id(at),
        policy_text=found.policy,
        received=received,
        received_as=received_as,
        station_text="" if station is None else station.text,
        station="" if station is None else station.station.name,
    )


def session_id(at: datetime) -> str:
    """A new session's id: its moment, and four signs against chance."""
    return f"{at:%Y%m%d-%H%M%S}-{secrets.token_hex(2)}"


def _operator() -> str:
    try:
        return getpass.getuser()
    except (OSError, KeyError):
        return "unnamed"


__all__ = [
    "ProcedureUnknownError",
    "Sheet",
    "SheetError",
    "find",
    "find_policy",
    "opened",
    "read",
    "reread",
    "session_id",
    "shipped",
]

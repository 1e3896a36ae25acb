"""Code texts: what a printed code says when it is scanned, written and read.

Two kinds, each a text of our own that any scanner types as it stands:

- ``sinkside:procedure:<procedure id>:<revision>`` on a card;
- ``sinkside:session:<session id>:<component id>`` on a part's label.

Ids are plain letters, digits and hyphens.  A revision is free text; whatever in it
is no unreserved character of RFC 3986 is percent-encoded, so that the whole text is
plain ASCII without spaces.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from urllib.parse import quote, unquote

_SCHEME = "sinkside"
_PROCEDURE = "procedure"
_SESSION = "session"
_FORMS = {
    _PROCEDURE: "sinkside:procedure:ID:REVISION",
    _SESSION: "sinkside:session:SESSION:PART",
}
# ISO/IEC 15424: "]", a letter for the symbology, a digit for its options.
_PREFIX = re.compile(r"\][A-Za-z][0-9A-Za-z]")
_ID = re.compile(r"[A-Za-z0-9]+(?:[-_.][A-Za-z0-9]+)*")
_REVISION = re.compile(r"(?:[A-Za-z0-9._~-]|%[0-9A-F]{2})+")
_MOST_SHOWN = 60


class CodeError(Exception):
    """A text is none of our codes, or not the kind that is wanted.

    Attributes:
        what: what is wrong, naming the text.
        remedy: what to do instead.
    """

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(f"{what}; {remedy}")
        self.what = what
        self.remedy = remedy


@dataclass(frozen=True, slots=True)
class ProcedureCode:
    """What the code on a card leads to.

    Attributes:
        procedure: id of the procedure.
        revision: of the procedure, as its sheet states it.
    """

    procedure: str
    revision: str

    def __str__(self) -> str:
        return ":".join(
            (_SCHEME, _PROCEDURE, _plain(self.procedure), quote(self.revision, safe=""))
        )


@dataclass(frozen=True, slots=True)
class SessionCode:
    """What the code on a label leads to.

    Attributes:
        session: id of the session.
        component: id of the part that the label is on.
    """

    session: str
    component: str

    def __str__(self) -> str:
        return ":".join((_SCHEME, _SESSION, _plain(self.session), _plain(self.component)))


def is_ours(text: str) -> bool:
    """Whether a scanned text is one of our codes at all, well-formed or not."""
    return _bare(text).partition(":")[0].lower() == _SCHEME


def procedure_of(text: str) -> ProcedureCode:
    """The procedure and revision that the code on a card names.

    Args:
        text: one scan, with or without a symbology prefix and a line end.

    Raises:
        CodeError: it is no code of a card.
    """
    procedure, revision = _fields(text, _PROCEDURE)
    if not _ID.fullmatch(procedure) or not _REVISION.fullmatch(revision):
        raise _malformed(text, _PROCEDURE)
    try:
        return ProcedureCode(procedure, unquote(revision, errors="strict"))
    except UnicodeDecodeError as error:
        raise _malformed(text, _PROCEDURE) from error


def session_of(text: str) -> SessionCode:
    """The session and the part that the code on a label names.

    Args:
        text: one scan, with or without a symbology prefix and a line end.

    Raises:
        CodeError: it is no code of a label.
    """
    session, component = _fields(text, _SESSION)
    if not _ID.fullmatch(session) or not _ID.fullmatch(component):
        raise _malformed(text, _SESSION)
    return SessionCode(session, component)


def _fields(text: str, wanted: str) -> tuple[str, str]:
    """The two fields of a code of the wanted kind."""
    if not is_ours(text):
        raise CodeError(f"{_shown(text)} is none of our codes", _SCAN[wanted])
    kind, *fields = _bare(text).split(":")[1:] or [""]
    if kind in _FORMS and kind != wanted:
        raise CodeError(f"{_shown(text)} is the code of {_ON[kind]}", _SCAN[wanted])
    if kind != wanted or len(fields) != 2:  # noqa: PLR2004 - both forms have two
        raise _malformed(text, wanted)
    return fields[0], fields[1]


_ON = {_PROCEDURE: "a procedure's card", _SESSION: "a part's label"}
_SCAN = {
    _PROCEDURE: "scan the code on a procedure's card, or say the device's name",
    _SESSION: "scan the code on a part's label, or list sessions with `sinkside record list`",
}


def _malformed(text: str, wanted: str) -> CodeError:
    return CodeError(
        f"{_shown(text)} is damaged: it is not of the form {_FORMS[wanted]}",
        "scan it again; a scanner set to another keyboard than the computer's alters signs",
    )


def _bare(text: str) -> str:
    """The text without a symbology prefix and what stands around it."""
    stripped = text.strip()
    match = _PREFIX.match(stripped)
    return stripped[match.end() :] if match else stripped


def _plain(identifier: str) -> str:
    """The id, once it is known to be one.

    Raises:
        CodeError: it could not be read back.
    """
    if not _ID.fullmatch(identifier):
        raise CodeError(
            f"{_shown(identifier)} cannot stand in a code",
            "use letters and digits joined by hyphens",
        )
    return identifier


def _shown(text: str) -> str:
    """The text in quotes, what cannot be seen made visible, cut where it is long."""
    seen = "".join(sign if sign.isprintable() else "?" for sign in text.strip())
    return f'"{seen if len(seen) <= _MOST_SHOWN else seen[: _MOST_SHOWN - 1] + "…"}"'

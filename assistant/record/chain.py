"""The hash chain of a record: each entry's hash covers the entry and the hash before it.

Pure arithmetic on text; ``record.store`` keeps the entries.

The framing
    An entry's hash is the SHA-256 (FIPS 180-4), as 64 lower-case hexadecimal
    digits, of these seven fields one after the other, each as its UTF-8 bytes
    preceded by the number of those bytes (8 bytes, most significant first)::

        "sinkside entry 1", session, seq in decimal, at, type, body, prev

    The lengths make the framing unambiguous: no two different entries give the
    same bytes.  The first field keeps these hashes apart from any other use of
    SHA-256 and numbers the framing itself.

The start
    The first entry's ``prev`` is 64 zeros.  The session's own name stands in
    every entry's hash already, so a beginning bound to the session would guard
    against nothing more, and zeros are seen to be a beginning.

What a chain cannot show: entries cut off at its end, or a chain rewritten from
some entry to the end by someone who can compute hashes.  Both need the last
hash to be known somewhere else (``SessionSummary.last_hash`` is what to copy).
"""

from __future__ import annotations

import hashlib
import json
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

FRAMING = "sinkside entry 1"
START = "0" * 64


@dataclass(frozen=True, slots=True)
class Entry:
    """One stored entry, field by field as it is stored.

    Attributes:
        session: the session's id.
        seq: place in the session, from 1, without gaps.
        at: instant of the commit decision, UTC with six decimals and "Z" (RFC 3339).
        type: what kind of event the body holds.
        body: the event as canonical JSON text (see ``canonical``).
        prev: hash of the entry before; ``START`` for the first.
        hash: this entry's hash.
    """

    session: str
    seq: int
    at: str
    type: str
    body: str
    prev: str
    hash: str


@dataclass(frozen=True, slots=True)
class Finding:
    """Something wrong with a record.

    Attributes:
        session: the session's id; "" where the fault is in no one session.
        seq: the place in the session at which it was seen; 0 likewise.
        what: the fault, as a sentence.
    """

    session: str
    seq: int
    what: str


def instant(moment: datetime) -> str:
    """The instant as it is stored: "2026-03-29T01:02:03.000004Z" (RFC 3339, UTC).

    Raises:
        ValueError: the time carries no offset from UTC, so it names no instant.
    """
    if moment.tzinfo is None:
        raise ValueError(f"{moment.isoformat()} has no time zone; give it one, best UTC")
    return moment.astimezone(UTC).isoformat(timespec="microseconds").removesuffix("+00:00") + "Z"


def read_instant(text: str) -> datetime:
    """The instant that ``instant`` wrote, in UTC.

    Raises:
        ValueError: it is written in another form.
    """
    moment = datetime.fromisoformat(text)
    if instant(moment) != text:
        raise ValueError(f"{text!r} is not an instant in UTC with six decimals and Z")
    return moment


def canonical(body: Mapping[str, object]) -> str:
    """The one JSON text of a body: keys sorted, no spaces, no NaN, no escapes but JSON's own.

    Raises:
        ValueError: the body holds something that JSON cannot.
    """
    try:
        text = json.dumps(
            body, ensure_ascii=False, sort_keys=True, separators=(",", ":"), allow_nan=False
        )
        text.encode()
    except (TypeError, ValueError) as error:
        raise ValueError(f"not a body that JSON can hold: {error}") from error
    return text


def link(
    session: str, last: Entry | None, kind: str, body: Mapping[str, object], at: datetime
) -> Entry:
    """The entry that follows ``last`` (None: that opens the session).

    Raises:
        ValueError: ``at`` has no time zone, or JSON cannot hold the body.
    """
    seq = 1 if last is None else last.seq + 1
    prev = START if last is None else last.hash
    when, text = instant(at), canonical(body)
    return Entry(
        session, seq, when, kind, text, prev, _digest(session, str(seq), when, kind, text, prev)
    )


def verify(entries: Iterable[Entry]) -> list[Finding]:
    """The first fault of each session, in the order in which the sessions appear.

    What follows a bad entry hangs from a broken link, so it is not judged.
    """
    last: dict[str, Entry | None] = {}
    broken: dict[str, Finding] = {}
    for entry in entries:
        if entry.session in broken:
            continue
        what = _fault(entry, last.get(entry.session))
        if what:
            broken[entry.session] = Finding(entry.session, entry.seq, what)
        last[entry.session] = entry
    return list(broken.values())


def _fault(entry: Entry, last: Entry | None) -> str:
    """What is wrong with an entry in its place, "" where nothing is."""
    expected = 1 if last is None else last.seq + 1
    if entry.seq != expected:
        return f"entry {expected} is missing or out of place: entry {entry.seq} stands here"
    if entry.prev != (START if last is None else last.hash):
        return f"entry {entry.seq} does not continue from the entry before it"
    fields = (entry.session, str(entry.seq), entry.at, entry.type, entry.body, entry.prev)
    if entry.hash != _digest(*fields):
        return f"entry {entry.seq} was changed after it was written: its hash does not fit"
    try:
        read_instant(entry.at)
    except ValueError:
        return f"entry {entry.seq} has an unreadable time"
    if not _readable(entry.body):
        return f"entry {entry.seq} has an unreadable body"
    return ""


def _readable(body: str) -> bool:
    """Whether a body is the canonical text of a JSON object."""
    try:
        read = json.loads(body, parse_constant=_refuse)
        return isinstance(read, dict) and canonical(read) == body
    except (ValueError, RecursionError):
        return False


def _refuse(constant: str) -> NoReturn:
    """Refuse NaN and the infinities, which Python reads and JSON does not know."""
    raise ValueError(constant)


def _digest(*fields: str) -> str:
    """The hash over the framing that this module's docstring describes."""
    framed = hashlib.sha256()
    for field in (FRAMING, *fields):
        # A damaged file can hold bytes that are not UTF-8; the store passes
        # them on as lone surrogates, which must spoil the hash, not raise.
        raw = field.encode("utf-8", "surrogatepass")
        framed.update(len(raw).to_bytes(8, "big"))
        framed.update(raw)
    return framed.hexdigest()

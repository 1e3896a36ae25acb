"""Events to stored bodies and back, by their own annotations.

An entry holds its moment and its type beside the body, so the body has all
fields but ``at``; the type is the event's class name.  Bodies are only ever
read by class and field names: renaming either needs an upcast here.
"""

from __future__ import annotations

import dataclasses
from typing import TYPE_CHECKING, Any, get_args

from pydantic import TypeAdapter, ValidationError

from assistant.record.chain import read_instant
from assistant.session.event import Event

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from assistant.record.chain import Entry

_CLASSES: dict[str, type[Any]] = {kind.__name__: kind for kind in get_args(Event)}
_ADAPTERS: dict[str, TypeAdapter[Any]] = {
    name: TypeAdapter(kind) for name, kind in _CLASSES.items()
}
_FIELDS = TypeAdapter(dict[str, Any])


class EntryUnreadableError(Exception):
    """An intact entry that this program cannot read; the message says which and why."""


def body(event: Event) -> tuple[str, Mapping[str, object]]:
    """The event's type name and its body, JSON values only."""
    name = type(event).__name__
    fields = _ADAPTERS[name].dump_python(event, mode="json")
    del fields["at"]
    return name, fields


def event(entry: Entry) -> Event:
    """The event that an entry holds.

    Raises:
        EntryUnreadableError: the type or a field is not known to this program.
    """
    kind = _CLASSES.get(entry.type)
    if kind is None:
        raise EntryUnreadableError(
            f"entry {entry.seq} of session {entry.session} is of the unknown type"
            f' "{entry.type}"; open the record with the program that wrote it'
        )
    try:
        fields = _FIELDS.validate_json(entry.body)
        known = {field.name for field in dataclasses.fields(kind)}
        if not fields.keys() <= known:
            raise EntryUnreadableError(
                f"entry {entry.seq} of session {entry.session} has unknown fields:"
                f" {', '.join(sorted(fields.keys() - known))}"
            )
        found: Event = _ADAPTERS[entry.type].validate_python(
            {**fields, "at": read_instant(entry.at)}
        )
    except (ValidationError, ValueError) as error:
        raise EntryUnreadableError(
            f"entry {entry.seq} of session {entry.session} cannot be read: {error}"
        ) from error
    return found


def events(entries: Iterable[Entry]) -> tuple[Event, ...]:
    """The events of a session's entries, in order.

    Raises:
        EntryUnreadableError: see ``event``.
    """
    return tuple(event(entry) for entry in entries)

"""An identity: what the code on a device, its package or its container says it is."""

from __future__ import annotations

from dataclasses import dataclass, replace
from enum import StrEnum
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from datetime import date


class IdentityError(Exception):
    """A text is no usable identity, or two do not belong together.

    Attributes:
        what: what is wrong, naming the signs.
        remedy: what to do instead.
    """

    def __init__(self, what: str, remedy: str) -> None:
        super().__init__(f"{what}; {remedy}")
        self.what = what
        self.remedy = remedy


class Scheme(StrEnum):
    """By which rules the item is numbered."""

    GTIN = "gtin"  # a maker's article
    GRAI = "grai"  # an owner's kind of returnable asset, such as a tray
    GIAI = "giai"  # an owner's single asset
    HIBC = "hibc"  # a maker's article
    GS1 = "gs1"  # element strings that name no item


class Caveat(StrEnum):
    """What must be known about an identity that could be read; the value says it."""

    MONTH_END = (
        "a day of 00 was read as the end of its month; "
        "such dates were withdrawn for regulated healthcare items on 2025-01-01"
    )
    HOUR = "the expiry gives an hour of its day, in GMT; only the day is kept"
    PACKAGE = "by its level digit this is the number of a package, not of a single device"
    NO_SEPARATOR = (
        "the end of a field may be the next field: compare it with the label; "
        "the scanner may not send the separator"
    )
    ASSET_OR_ITEM = (
        "read as an item number, but it could be an asset tag: compare it with the label"
    )


class Part(StrEnum):
    """What of an identity is read back."""

    ITEM = "item"
    VARIANT = "variant"
    SERIAL = "serial"
    EXTENSION = "extension"
    LOT = "lot"
    MADE_ON = "made_on"
    EXPIRES_ON = "expires_on"
    QUANTITY = "quantity"


@dataclass(frozen=True, slots=True, kw_only=True)
class Identity:
    """What one code says, or the codes of one label together.

    Attributes:
        scheme: by which rules ``item`` is numbered.
        raw: the text as it was scanned or typed.
        issuer: GS1 prefix (3 digits) or HIBC labeler code (4 signs); "" without an
            item.  How far a GS1 company's own prefix reaches is not in the code.
        item: GTIN padded to 14 digits; GRAI of 14 digits, without its serial; GIAI;
            HIBC labeler code and catalogue number.  "" where no item is named.
        level: packaging level (GTIN-14 indicator, HIBC unit of measure), 0 for one piece.
        link: HIBC check character of the primary data, "" elsewhere; the two codes
            of one label have the same.
        serial: of the piece, "" where not given; so are the following texts.
        extension: third party's extension of the item number (AI 235).
        lot: batch or lot.
        variant: the maker's further product number (AI 240).
        made_on: day of production.
        expires_on: last good day.
        quantity: pieces in the package (HIBC).
        internal: the number is an owner's own and means nothing elsewhere.
        warnings: what must be known besides.
    """

    scheme: Scheme
    raw: str
    issuer: str = ""
    item: str = ""
    level: int = 0
    link: str = ""
    serial: str = ""
    extension: str = ""
    lot: str = ""
    variant: str = ""
    made_on: date | None = None
    expires_on: date | None = None
    quantity: int | None = None
    internal: bool = False
    warnings: tuple[Caveat, ...] = ()

    def key(self) -> str:
        """The same for the same item, however it was scanned; "" where none is named."""
        return f"{self.scheme}:{self.item}" if self.item else ""

    def spoken_parts(self) -> tuple[tuple[Part, str], ...]:
        """What is to be read back, in order; days in ISO 8601."""
        values = ((part, getattr(self, part)) for part in Part)
        return tuple((part, str(value)) for part, value in values if value not in ("", None))

    def read_back(self) -> str:
        """What is to be read back, in one sentence without its stop."""
        return ", ".join(f"{part}: {value}" for part, value in self.spoken_parts())


# What two codes of one label may not contradict each other in.
_SHARED = ("issuer", "item", "level", "link", *(str(part) for part in Part if part != Part.ITEM))
_ONE_LABEL = "scan the two codes of one label"


def joined(first: Identity, second: Identity) -> Identity:
    """One label's two codes together: one names the item, the other its lot or serial.

    Raises:
        IdentityError: they are of two systems, of two items, or contradict each other.
    """
    named, other = (first, second) if first.item else (second, first)
    if (named.scheme is Scheme.HIBC) is not (other.scheme is Scheme.HIBC):
        raise IdentityError("one code is HIBC and the other is not", _ONE_LABEL)
    merged: dict[str, Any] = {}
    for name in _SHARED:
        ours, theirs = getattr(named, name), getattr(other, name)
        if ours and theirs and ours != theirs:
            raise IdentityError(
                f'the two codes differ in {name}: "{ours}" and "{theirs}"', _ONE_LABEL
            )
        merged[name] = ours or theirs
    warnings = tuple(dict.fromkeys(named.warnings + other.warnings))
    return replace(named, **merged, raw=f"{first.raw}\n{second.raw}", warnings=warnings)


def expired(identity: Identity, today: date) -> bool:
    """Whether the last good day is over; the day of expiry itself is still good."""
    return identity.expires_on is not None and today > identity.expires_on


def shown(text: str) -> str:
    """The text in printable signs, for a message."""
    return text.encode("unicode_escape").decode("ascii")

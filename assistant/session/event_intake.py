"""What arrived: the procedure's standing, the device, its count, its delay."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime

from assistant.session.event_kind import DeviationKind


@dataclass(frozen=True, slots=True)
class ProcedureBarred:
    """The procedure may not be used as it is: ``reason`` "unapproved", "early" or "expired"."""

    at: datetime
    reason: str
    about: str


@dataclass(frozen=True, slots=True)
class ProcedureOverridden:
    """It is used all the same, for a reason that was spoken and confirmed."""

    at: datetime
    reason: str


@dataclass(frozen=True, slots=True)
class DeviceIdentified:
    """The device in hand.

    Attributes:
        at: when.
        step: the step that asked.
        how: "scan" or "name".
        code: as scanned; "" where it was named.
        scheme: of the code.
        item: its number.
        serial, lot: as coded.
        expires_on: ISO 8601; "" where not coded.
        warnings: what must be known besides.
    """

    at: datetime
    step: str
    how: str
    code: str = ""
    scheme: str = ""
    item: str = ""
    serial: str = ""
    lot: str = ""
    expires_on: str = ""
    warnings: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class ItemNoted:
    """Something was missing, damaged, or for single use, when the device was counted.

    Attributes:
        at: when.
        kind: which of the three.
        item: id of a counted item; for single use, what it is, as spoken.
        name: as spoken.
        component: id of the part; "" for none.
        ends: index behind the last step of the part's track where the whole part is
            missing, which ends that track; None elsewhere.
    """

    at: datetime
    kind: DeviationKind
    item: str
    name: str
    component: str
    ends: int | None = None


@dataclass(frozen=True, slots=True)
class DelayFound:
    """The device came later than its maker allows, or untreated."""

    at: datetime
    step: str
    instead: str
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class StepPassedOver:
    """A step that does not apply here, or that a held part does not come to."""

    at: datetime
    component: str
    step: str
    index: int
    reason: str

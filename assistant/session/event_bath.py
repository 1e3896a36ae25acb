"""What became of the baths."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import datetime


@dataclass(frozen=True, slots=True)
class BathStood:
    """A bath of an earlier session still stands and may be taken over.

    Attributes:
        at: when.
        bath: its id.
        session: the session that had it last.
        made_at: when its detergent was added.
        uses: parts that it has served.
        lot: of its detergent.
        expires_on: of its detergent, ISO 8601.
        bay: in which it stands; "" where no station is described.
    """

    at: datetime
    bath: str
    session: str
    made_at: datetime
    uses: int
    lot: str
    expires_on: str
    bay: str = ""


@dataclass(frozen=True, slots=True)
class BathTaken:
    """A standing bath was taken over; it must be measured before it is used.

    Attributes:
        at: when.
        bath: its id.
        name: by which the same bath is known in other sessions.
        index: of the step of its track that comes next.
        steps: those that need not be done.
    """

    at: datetime
    bath: str
    name: str
    index: int
    steps: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BathMade:
    """Detergent was added to fresh water; the bath's age counts from here.

    Attributes:
        at: when.
        bath: its id.
        name: by which the same bath is known in other sessions.
        lot: of the detergent.
        expires_on: of the detergent, ISO 8601.
    """

    at: datetime
    bath: str
    name: str
    lot: str
    expires_on: str


@dataclass(frozen=True, slots=True)
class BathMeasured:
    """The temperature of a bath.

    Attributes:
        at: when.
        bath: its id.
        value: as spoken.
        unit: of the value.
        within: whether it lies in the detergent's window.
        leaves_s: seconds until it is expected to leave the window; None for never or
            where nobody knows how it cools.
        soak_s: the longest soak still to come in it, 0 for none.
        working: how that was got.
    """

    at: datetime
    bath: str
    value: str
    unit: str
    within: bool
    leaves_s: int | None = None
    soak_s: int = 0
    working: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class BathDoubtful:
    """A bath has reached the moment at which it was expected to leave its window."""

    at: datetime
    bath: str


@dataclass(frozen=True, slots=True)
class MixAdvised:
    """Water that brings a bath into its window.

    Attributes:
        at: when.
        bath: its id.
        tap: temperature of the new water, as shown.
        water: how much, put in for as much taken out.
        dose: detergent for the new water.
        after: temperature of the bath afterwards.
        working: how that was got.
    """

    at: datetime
    bath: str
    tap: str
    water: str
    dose: str
    after: str
    working: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BayTurned:
    """A bay was made ready, or is something else since a step used it.

    Attributes:
        at: when.
        bay: its name.
        step: id of the step that did it.
        changes: what was done to it, in order; none where it was only used.
        content: what it holds now ("" for empty).
        soil: the least clean purpose since it was wiped, as a number
            (``procedure.basin.Basin.soil``).
    """

    at: datetime
    bay: str
    step: str
    changes: tuple[str, ...]
    content: str
    soil: int


@dataclass(frozen=True, slots=True)
class BathUsed:
    """A part met the bath for the first time since it was made."""

    at: datetime
    bath: str
    component: str


@dataclass(frozen=True, slots=True)
class BathSpoiled:
    """Soil is seen in a bath ("soil"), or a chemical got into it ("chemical")."""

    at: datetime
    bath: str
    what: str


@dataclass(frozen=True, slots=True)
class BathEmptied:
    """A bath is given up; its track begins anew.

    Attributes:
        at: when.
        bath: its id.
        steps: ids of the steps of its track; none where no part needs it any more.
        reasons: why, as far as the figures say.
    """

    at: datetime
    bath: str
    steps: tuple[str, ...]
    reasons: tuple[str, ...] = ()

"""What completes a step: something to do, a time, a value, a count, a test, a decision."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from assistant.procedure.basin import Basin, Change, Place
    from assistant.procedure.quantity import Quantity, Unit, Window
    from assistant.trade.leak import LeakTest
    from assistant.trade.lumen import Brush, Lumen
    from assistant.trade.residue import Analyte, Meter
    from assistant.trade.water import Grade, Property, WaterTable


class DwellKind(StrEnum):
    """What a component does while a clock runs over it."""

    SOAK = "soak"
    RINSE = "rinse"
    DRY = "dry"
    HOLD = "hold"  # pressure is on, and must stay


class Otherwise(StrEnum):
    """What a "no" to a question comes to."""

    STAY = "stay"  # a deviation; the step stays until it is mended or left
    DELAYED = "delayed"  # the device was not treated at the point of use
    MUST = "not yet"  # nothing goes on before it is so
    DAMAGE = "damage"  # the part is not sound: it goes to hold or repair
    SOIL = "soil"  # the part is cleaned again


class Treatment(StrEnum):
    """What a clean part goes on to; parts of different treatments share no container."""

    PACKING = "packing"  # packing for sterilization
    DISINFECTION = "disinfection"


@dataclass(frozen=True, slots=True)
class Act:
    """Something to do with the hands; completed by saying so."""


@dataclass(frozen=True, slots=True)
class BayTask:
    """A bay to be made ready for the step that follows; passed over where it is ready.

    Attributes:
        place: what the bay must be.
        told: each change that may be needed, in order, and how it is said.
    """

    place: Place
    told: tuple[tuple[Change, str], ...]

    def needed(self, basin: Basin) -> tuple[Change, ...]:
        """What must be done to the bay as it is; a bath is filled by its own first step."""
        mine = {change for change, _ in self.told}
        found = basin.changes(self.place.purpose, self.place.content)
        return tuple(change for change in found if change in mine)


@dataclass(frozen=True, slots=True)
class Dwell:
    """A timed step: a soak, a timed rinse, a timed drying.

    Attributes:
        kind: what the component does meanwhile.
        least_s: the least time, whole seconds, at least 1.
        most_s: the most time, whole seconds, more than ``least_s``; None where
            more time does no harm.
        bath: id of the bath it lies in; None for a dwell outside a bath.
    """

    kind: DwellKind
    least_s: int
    most_s: int | None = None
    bath: str | None = None


@dataclass(frozen=True, slots=True)
class ReadingTask:
    """A measured value to be spoken, read back and confirmed.

    Attributes:
        of: what is measured, as spoken ("bath temperature").
        window: the values that may be accepted; its unit is the reading's unit.
        bath: id of the bath whose temperature it is; "" for anything else.
    """

    of: str
    window: Window
    bath: str = ""


@dataclass(frozen=True, slots=True)
class ElapsedTask:
    """The time since the end of use, spoken; later than ``most_s`` is delayed processing."""

    of: str
    most_s: int


@dataclass(frozen=True, slots=True)
class LotTask:
    """A lot to be spelled or scanned, read back and confirmed.

    Attributes:
        of: what the lot belongs to, as spoken ("detergent lot").
        least_signs: fewest letters and digits that such a lot has.
        most_signs: most letters and digits that such a lot has.
    """

    of: str
    least_signs: int = 2
    most_signs: int = 16


@dataclass(frozen=True, slots=True)
class ExpiryTask:
    """The last good day of something, spoken as six digits or scanned; judged against today."""

    of: str


@dataclass(frozen=True, slots=True)
class Question:
    """Something that is so or is not; "incorrect" is recorded.

    Attributes:
        text: the question, as spoken.
        if_not: what the technician is told to do when the answer is negative.
        otherwise: what a negative answer comes to.
    """

    text: str
    if_not: str
    otherwise: Otherwise = Otherwise.STAY


@dataclass(frozen=True, slots=True)
class IdentifyTask:
    """The device's code to be scanned or typed, or its name to be said."""


@dataclass(frozen=True, slots=True)
class Item:
    """Something to be counted when the device arrives.

    Attributes:
        id: of the component; of an adapter "component.adapter-1".
        name: as spoken.
        count: how many.
        component: id of the component that it is, or stays with.
    """

    id: str
    name: str
    count: int
    component: str


@dataclass(frozen=True, slots=True)
class CountTask:
    """Everything that must have arrived; what is missing or damaged is named."""

    items: tuple[Item, ...]


class TallyKind(StrEnum):
    """What is counted aloud."""

    PASS = "pass"  # noqa: S105 - a brush through a lumen and back
    FILL = "fill"  # a syringe emptied through a lumen


@dataclass(frozen=True, slots=True)
class TallyTask:
    """Something done again and again, each time said.

    Attributes:
        kind: brush passes, counted until clean; or syringe fills.
        least: fewest.
        most: with so many brush passes soiled, the part is not clean; None for fills.
        lumen: the channel, as spoken.
        brush: for passes, the brush and the lumen that it goes through; None where the
            sheet gives no sizes.
        volume: for fills, what must go through in all.
        syringe: for fills, what one of them is.
    """

    kind: TallyKind
    least: int
    most: int | None = None
    lumen: str = ""
    brush: tuple[Brush, Lumen] | None = None
    volume: Quantity | None = None
    syringe: Quantity | None = None


@dataclass(frozen=True, slots=True)
class LeakJudge:
    """Pressure after a hold, against the pressure before it.

    Attributes:
        test: how the device is tested.
        start: id of the step that took the pressure before.
        hold: id of the step that held it.
    """

    test: LeakTest
    start: str
    hold: str


@dataclass(frozen=True, slots=True)
class LightJudge:
    """A swab in a light meter, against that meter's own limit."""

    meter: Meter


@dataclass(frozen=True, slots=True)
class ResidueJudge:
    """A residue found on a stated surface."""

    analyte: Analyte
    area: Quantity


@dataclass(frozen=True, slots=True)
class WaterJudge:
    """A property of water, against the facility's table; None where there is none yet."""

    grade: Grade
    of: Property
    table: WaterTable | None = None


@dataclass(frozen=True, slots=True)
class LimitJudge:
    """A function test: its value, against a window of the maker's."""

    window: Window


Judge = LeakJudge | LightJudge | ResidueJudge | WaterJudge | LimitJudge


@dataclass(frozen=True, slots=True)
class TestTask:
    """A value that passes or fails; a failed one means clean again.

    Attributes:
        of: what is tested, as spoken.
        unit: of the value, where none is spoken.
        judge: how it is judged.
    """

    __test__ = False  # for pytest: this is no class of tests

    of: str
    unit: Unit
    judge: Judge


@dataclass(frozen=True, slots=True)
class InspectionTask:
    """A look for the findings of a fixed list (``trade.inspection``), through a magnifier.

    Attributes:
        of: what is looked for, as spoken.
        magnification: as shown ("10x").
    """

    of: str
    magnification: str


@dataclass(frozen=True, slots=True)
class HandOnTask:
    """Where a part goes from here: one disposition, its reason and its container."""

    treatment: Treatment


Task = (
    Act
    | BayTask
    | Dwell
    | ReadingTask
    | ElapsedTask
    | LotTask
    | ExpiryTask
    | Question
    | IdentifyTask
    | CountTask
    | TallyTask
    | TestTask
    | InspectionTask
    | HandOnTask
)

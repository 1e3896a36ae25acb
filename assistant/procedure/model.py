"""The model of one device's cleaning procedure: frozen facts, no input or output.

A procedure has components, and each component goes its own way through its own
steps: a track.  Tracks run side by side; ``Step.needs`` is the only tie between
them.  The sheet (YAML) is read and checked by ``procedure.sheet``; everything
here may rely on having passed that check.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from enum import StrEnum
from typing import TYPE_CHECKING

from assistant.procedure.task import (
    Act,
    BayTask,
    CountTask,
    Dwell,
    DwellKind,
    ElapsedTask,
    ExpiryTask,
    HandOnTask,
    IdentifyTask,
    InspectionTask,
    Item,
    Judge,
    LeakJudge,
    LightJudge,
    LimitJudge,
    LotTask,
    Otherwise,
    Question,
    ReadingTask,
    ResidueJudge,
    TallyKind,
    TallyTask,
    Task,
    TestTask,
    Treatment,
    WaterJudge,
)

if TYPE_CHECKING:
    from datetime import date

    from assistant.procedure.basin import Place
    from assistant.procedure.quantity import Quantity, Unit, Window
    from assistant.procedure.water_use import Use
    from assistant.trade.bath import Ratio
    from assistant.trade.cooling import Cooling

__all__ = [
    "HAND_ON",
    "Act",
    "Approval",
    "Bath",
    "BathStep",
    "BayTask",
    "Caution",
    "Component",
    "CountTask",
    "Dwell",
    "DwellKind",
    "ElapsedTask",
    "ExpiryTask",
    "HandOnTask",
    "IdentifyTask",
    "InspectionTask",
    "Item",
    "Judge",
    "LeakJudge",
    "LightJudge",
    "LimitJudge",
    "LotTask",
    "Method",
    "Otherwise",
    "Procedure",
    "Question",
    "ReadingTask",
    "ResidueJudge",
    "Role",
    "Rounds",
    "Step",
    "TallyKind",
    "TallyTask",
    "Task",
    "TestTask",
    "Treatment",
    "WaterJudge",
    "When",
]


class Role(StrEnum):
    """What goes its way along a track."""

    INTAKE = "intake"  # the device as a whole, until it is known, counted and taken apart
    BATH = "bath"
    PART = "part"


class BathStep(StrEnum):
    """The steps of a bath's track; their ids are "bath.step"."""

    FILL = "fill"
    LOT = "lot"
    EXPIRY = "expiry"
    DOSE = "dose"
    TEMPERATURE = "temperature"


HAND_ON = "hand-on"  # the last step of a part


class Method(StrEnum):
    """A way of cleaning that some parts do not bear."""

    BRUSH = "brush"
    PRESSURE = "pressure"
    SUBMERGE = "submerge"


class When(StrEnum):
    """When a step is done at all; one without is, unless its part has failed for good."""

    DELAYED = "delayed"  # only where the device came later than its maker allows, or dry
    ALWAYS = "always"  # also where its part has failed, and only its handing on is left


@dataclass(frozen=True, slots=True)
class Caution:
    """A sentence that must be heard to its end before its step can be completed."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of one track.

    Attributes:
        id: unique in the procedure; "track.step", e.g. "shaft.soak".
        say: the instruction, as shown and spoken.
        short: a cue of a few words for lists and reminders ("soak the shaft").
        cautions: what must be heard first, in order.
        task: what completes the step.
        needs: ids of steps of other tracks that must be behind us first.
        mandatory: True where the step may not be skipped, whatever the reason.
        bath: id of the bath in which the part is worked on or lies; "" for none.
        first_rinse: True for the cool rinse before any detergent.
        use: what the step does with water; None where that is not stated.
        when: when it is done at all; None for the usual.
        working: how the figures in its texts were got.
        origin: the facility's rule that brought or changed the step, with reason,
            author and date; "" for the sheet's own.
        dosed: its texts that speak its bath's dose, with "{dose}" still in them, so
            that they can be told in another unit.
        place: the bay in which it is done; None where it needs none, or where no
            station is described.
    """

    id: str
    say: str
    short: str
    cautions: tuple[Caution, ...] = ()
    task: Task = field(default_factory=Act)
    needs: tuple[str, ...] = ()
    mandatory: bool = False
    bath: str = ""
    first_rinse: bool = False
    use: Use | None = None
    when: When | None = None
    working: tuple[str, ...] = ()
    origin: str = ""
    dosed: tuple[str, ...] = ()
    place: Place | None = None


@dataclass(frozen=True, slots=True)
class Rounds:
    """How a part is cleaned again after a failed test.

    Attributes:
        start: id of the step that a new round begins with.
        most: rounds in all; a part that fails the last one is held.
    """

    start: str
    most: int


@dataclass(frozen=True, slots=True)
class Component:
    """A part of the device, a bath or the intake: whatever goes its own way.

    Attributes:
        id: unique in the procedure.
        name: as spoken after "switch to the" ("insert").
        also: other spoken names for the same part.
        count: how many pieces of it the device has.
        onward: where the component goes when it is clean, as spoken.
        steps: its track, in order; never empty.
        role: what it is.
        treatment: what it is handed on to; None where the sheet does not say.
        adapters: what comes off before cleaning and stays with it, as spoken.
        never: methods that it does not bear.
        rounds: how it is cleaned again; None where it has no test.
    """

    id: str
    name: str
    onward: str
    steps: tuple[Step, ...]
    also: tuple[str, ...] = ()
    count: int = 1
    role: Role = Role.PART
    treatment: Treatment | None = None
    adapters: tuple[str, ...] = ()
    never: frozenset[Method] = frozenset()
    rounds: Rounds | None = None


@dataclass(frozen=True, slots=True)
class Bath:
    """Detergent in water at a stated level, dose and temperature.

    Attributes:
        id: unique in the procedure, and the id of its track.
        name: as spoken ("enzymatic bath").
        detergent: as spoken; an invented name in demo data.
        volume: water volume at the fill line.
        dose: detergent per volume of water (mL/L, fl oz/gal), per cent by volume of
            the mixture, or 1:n.
        temperature: the detergent's window.
        measured_in: unit of the measuring cup, syringe or pump; None where the sheet
            states none: then that of the station, else the dose's own.
        most_age_s: seconds that it may be used; None where none is stated.
        most_uses: parts that it may serve; None where none is stated.
        cooling: how it cools; None where nobody stated it.
        working: how volume and dose were got.
    """

    id: str
    name: str
    detergent: str
    volume: Quantity
    dose: Quantity | Ratio
    temperature: Window
    measured_in: Unit | None = None
    most_age_s: int | None = None
    most_uses: int | None = None
    cooling: Cooling | None = None
    working: tuple[str, ...] = ()

    @property
    def known_as(self) -> str:
        """By what the same bath is known in another procedure: its name, detergent, dose."""
        return f"{self.name}, {self.detergent} {self.dose}, {self.volume}"


@dataclass(frozen=True, slots=True)
class Approval:
    """Who let the procedure be used, and until when.

    Attributes:
        by: as shown.
        on: the first day.
        until: the last day.
    """

    by: str
    on: date
    until: date


@dataclass(frozen=True, slots=True)
class Procedure:
    """One device's procedure at one revision.

    Attributes:
        id: lower-case letters, digits and hyphens.
        revision: text, never a number: "1.10" is not "1.1".
        title: the device's name, as spoken.
        language: BCP 47 tag of everything spoken ("en").
        notice: where the values come from; demo values say so here.
        hazards: what can hurt the technician or a patient.
        protective_equipment: what to wear, as spoken.
        baths: prepared during the session.
        components: in the order in which they are offered; the first one's
            first step opens the session.
        also: other spoken names of the device.
        codes: keys of the codes that it bears (``Identity.key``).
        approval: None where nobody approved it.
        tap: temperatures of the water that baths are filled with, hot and cold, as far
            as the station states them.
    """

    id: str
    revision: str
    title: str
    language: str
    notice: str
    hazards: tuple[str, ...]
    protective_equipment: tuple[str, ...]
    baths: tuple[Bath, ...]
    components: tuple[Component, ...]
    also: tuple[str, ...] = ()
    codes: frozenset[str] = frozenset()
    approval: Approval | None = None
    tap: tuple[Quantity, ...] = ()

    def component(self, component_id: str) -> Component:
        """The component of that id.

        Raises:
            KeyError: there is none.
        """
        for component in self.components:
            if component.id == component_id:
                return component
        raise KeyError(component_id)

    def bath(self, bath_id: str) -> Bath:
        """The bath of that id.

        Raises:
            KeyError: there is none.
        """
        for bath in self.baths:
            if bath.id == bath_id:
                return bath
        raise KeyError(bath_id)

    @property
    def parts(self) -> tuple[Component, ...]:
        """The parts of the device, without intake and baths."""
        return tuple(c for c in self.components if c.role is Role.PART)

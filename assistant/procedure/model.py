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

if TYPE_CHECKING:
    from assistant.procedure.quantity import Quantity, Window


class DwellKind(StrEnum):
    """What a component does while a clock runs over it."""

    SOAK = "soak"
    RINSE = "rinse"
    DRY = "dry"


@dataclass(frozen=True, slots=True)
class Caution:
    """A sentence that must be heard to its end before its step can be completed."""

    id: str
    text: str


@dataclass(frozen=True, slots=True)
class Act:
    """Something to do with the hands; completed by saying so."""


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
    """

    of: str
    window: Window


@dataclass(frozen=True, slots=True)
class LotTask:
    """A lot to be spelled, read back and confirmed.

    Attributes:
        of: what the lot belongs to, as spoken ("detergent lot").
        least_signs: fewest letters and digits that such a lot has.
        most_signs: most letters and digits that such a lot has.
    """

    of: str
    least_signs: int = 2
    most_signs: int = 16


@dataclass(frozen=True, slots=True)
class Question:
    """Something that is so or is not; "incorrect" is recorded as a deviation.

    Attributes:
        text: the question, as spoken.
        if_not: what the technician is told to do when the answer is negative.
    """

    text: str
    if_not: str


Task = Act | Dwell | ReadingTask | LotTask | Question


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
    """

    id: str
    say: str
    short: str
    cautions: tuple[Caution, ...] = ()
    task: Task = field(default_factory=Act)
    needs: tuple[str, ...] = ()
    mandatory: bool = False


@dataclass(frozen=True, slots=True)
class Component:
    """A part of the device that goes its own way.

    Attributes:
        id: unique in the procedure.
        name: as spoken after "switch to the" ("insert").
        also: other spoken names for the same part.
        count: how many pieces of it the device has.
        onward: where the component goes when it is clean, as spoken.
        steps: its track, in order; never empty.
    """

    id: str
    name: str
    onward: str
    steps: tuple[Step, ...]
    also: tuple[str, ...] = ()
    count: int = 1


@dataclass(frozen=True, slots=True)
class Bath:
    """Detergent in water at a stated level, dose and temperature.

    Attributes:
        id: unique in the procedure.
        name: as spoken ("enzymatic bath").
        detergent: as spoken; an invented name in demo data.
        volume: water volume at the fill line.
        dose: detergent per volume of water, unit mL/L or fl oz/gal.
        temperature: the detergent's window.
    """

    id: str
    name: str
    detergent: str
    volume: Quantity
    dose: Quantity
    temperature: Window


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

    def component(self, component_id: str) -> Component:
        """The component of that id.

        Raises:
            KeyError: there is none.
        """
        for component in self.components:
            if component.id == component_id:
                return component
        raise KeyError(component_id)

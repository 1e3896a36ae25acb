"""The station: where the work is done, described once for all procedures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.trade.cooling import Cooling

if TYPE_CHECKING:
    from decimal import Decimal

    from assistant.procedure.quantity import Quantity, Unit
    from assistant.procedure.water_use import Water
    from assistant.trade.residue import Meter
    from assistant.trade.water import WaterTable


@dataclass(frozen=True, slots=True)
class Bay:
    """One bay of the sink.

    Attributes:
        name: as spoken ("bay one").
        volume: what it holds; None where nobody measured it.
        drains: whether it can be drained.
    """

    name: str
    volume: Quantity | None = None
    drains: bool = True


@dataclass(frozen=True, slots=True)
class Tap:
    """A source of water.

    Attributes:
        water: what it gives.
        apart: whether it runs over a drain of its own, so that it needs no bay.
        runs: False where the water comes in containers and can only fill a bay.
        hot: temperature of its hot water; None where nobody measured it.
        cold: temperature of its cold water; None where nobody measured it.
    """

    water: Water
    apart: bool = False
    runs: bool = True
    hot: Quantity | None = None
    cold: Quantity | None = None


@dataclass(frozen=True, slots=True)
class Station:
    """Bays, taps and means of one place of work.

    Attributes:
        bays: from the soiled side to the clean one.
        taps: in any order.
        name: as shown.
        measured_in: unit of the cup, syringe or pump for detergent; None where none is stated.
        room: temperature of the air; None where none is stated.
        cooling_per_min: share of its difference to the room that a bath loses, in 1/min;
            None where none is stated.
        meters: light meters, each with its own limit.
        water_table: limits of processing water; None where none is stated.
    """

    bays: tuple[Bay, ...]
    taps: tuple[Tap, ...]
    name: str = ""
    measured_in: Unit | None = None
    room: Quantity | None = None
    cooling_per_min: Decimal | None = None
    meters: tuple[Meter, ...] = ()
    water_table: WaterTable | None = None

    @property
    def cooling(self) -> Cooling | None:
        """How a bath cools here; None where room or rate is not stated."""
        if self.room is None or self.cooling_per_min is None:
            return None
        return Cooling(self.room, self.cooling_per_min)

    def meter(self, name: str) -> Meter | None:
        """The light meter of that name, whatever the size of its letters."""
        wanted = name.casefold()
        return next((meter for meter in self.meters if meter.name.casefold() == wanted), None)

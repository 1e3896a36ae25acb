"""Quality of processing water, judged against a facility's table.

Two published sets of limits travel with the program as a start for such a table.
Neither is chosen by itself: one is superseded, the other unverified, and a facility
states which table it works to.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum

from assistant.procedure.quantity import Place, Quantity, QuantityError, Unit, Window, parse
from assistant.trade.outcome import Outcome
from assistant.trade.worked import Worked


class Grade(StrEnum):
    """What the water is for."""

    UTILITY = "utility"
    CRITICAL = "critical"


class Property(StrEnum):
    """What is measured in the water."""

    HARDNESS = "hardness as calcium carbonate"
    CONDUCTIVITY = "conductivity"
    PH = "pH"
    CHLORIDE = "chloride"
    TOC = "total organic carbon"
    BACTERIA = "bacteria"
    ENDOTOXIN = "endotoxin"


class Standing(StrEnum):
    """How far a table may be relied on."""

    FACILITY = "approved by the facility"
    SUPERSEDED = "superseded edition"
    UNVERIFIED = "from memory, not verified against the standard"


# In what each property is told where no unit is spoken.
TOLD_IN = {
    Property.HARDNESS: Unit.MILLIGRAM_PER_LITRE,
    Property.CONDUCTIVITY: Unit.MICROSIEMENS_PER_CENTIMETRE,
    Property.PH: Unit.PH,
    Property.CHLORIDE: Unit.MILLIGRAM_PER_LITRE,
    Property.TOC: Unit.MILLIGRAM_PER_LITRE,
    Property.BACTERIA: Unit.COLONIES_PER_MILLILITRE,
    Property.ENDOTOXIN: Unit.ENDOTOXIN_UNITS_PER_MILLILITRE,
}


@dataclass(frozen=True, slots=True)
class Below:
    """A strict upper limit: the limit itself fails."""

    limit: Quantity

    def __str__(self) -> str:
        return f"less than {self.limit}"


@dataclass(frozen=True, slots=True)
class Row:
    """One limit of a table.

    Attributes:
        grade: the water that it applies to.
        of: what is measured.
        allowed: a strict upper limit, or a window with both ends allowed.
    """

    grade: Grade
    of: Property
    allowed: Below | Window


@dataclass(frozen=True, slots=True)
class WaterTable:
    """A facility's limits.

    Attributes:
        name: as it stands in the record.
        standing: how far it may be relied on; said with every judgment but the
            facility's own.
        rows: at most one for each grade and property.
    """

    name: str
    standing: Standing
    rows: tuple[Row, ...]

    def __post_init__(self) -> None:
        keys = [(row.grade, row.of) for row in self.rows]
        for grade, of in keys:
            if keys.count((grade, of)) > 1:
                raise QuantityError(
                    f"{self.name} limits {of} of {grade} water twice", "keep one of the two rows"
                )

    def limits(self, grade: Grade, of: Property) -> bool:
        """Whether the table has a limit for a property of a water."""
        return any(row.grade is grade and row.of is of for row in self.rows)

    def row(self, grade: Grade, of: Property) -> Row:
        """The limit for a property of a water.

        Raises:
            QuantityError: the table has none.
        """
        for row in self.rows:
            if row.grade is grade and row.of is of:
                return row
        raise QuantityError(
            f"{self.name} has no limit for {of} of {grade} water",
            "add the row to the facility's table",
        )


def judge(table: WaterTable, grade: Grade, of: Property, measured: Quantity) -> Worked[Outcome]:
    """PASS or FAIL of one measured value.

    Raises:
        QuantityError: the table has no such limit, or the value measures something else.
    """
    allowed = table.row(grade, of).allowed
    if isinstance(allowed, Below):
        passes = measured.to(allowed.limit.unit).base < allowed.limit.base
    else:
        passes = allowed.judge(measured).place is Place.WITHIN
    outcome = Outcome.PASS if passes else Outcome.FAIL
    lines = [f"{of} of {grade} water {measured}, allowed {allowed} ({table.name}): {outcome}"]
    if table.standing is not Standing.FACILITY:
        lines.append(f"limits: {table.standing}")
    return Worked(outcome, tuple(lines))


def _below(grade: Grade, limits: dict[Property, str]) -> tuple[Row, ...]:
    """Rows of strict upper limits."""
    return tuple(Row(grade, of, Below(parse(limit))) for of, limit in limits.items())


def _ph(grade: Grade, least: str, most: str) -> Row:
    """A row for the pH, both ends allowed."""
    return Row(grade, Property.PH, Window(parse(f"{least} {Unit.PH}"), parse(f"{most} {Unit.PH}")))


# AAMI TIR34:2014, tables for utility and critical water; superseded by ANSI/AAMI ST108.
# Units as meant: the printed tables carry unit typos.
TIR34_2014 = WaterTable(
    "AAMI TIR34:2014",
    Standing.SUPERSEDED,
    (
        _ph(Grade.UTILITY, "6", "9"),
        *_below(
            Grade.UTILITY,
            {
                Property.HARDNESS: "150 mg/L",
                Property.CONDUCTIVITY: "500 µS/cm",
                Property.CHLORIDE: "250 mg/L",
            },
        ),
        _ph(Grade.CRITICAL, "5", "7"),
        *_below(
            Grade.CRITICAL,
            {
                Property.HARDNESS: "1 mg/L",
                Property.CONDUCTIVITY: "10 µS/cm",
                Property.CHLORIDE: "1 mg/L",
                Property.TOC: "1.0 mg/L",
                Property.BACTERIA: "10 CFU/mL",
                Property.ENDOTOXIN: "10 EU/mL",
            },
        ),
    ),
)

# ANSI/AAMI ST108:2023, from memory: to be compared with the standard before it is used.
ST108_2023 = WaterTable(
    "ANSI/AAMI ST108:2023",
    Standing.UNVERIFIED,
    (
        _ph(Grade.UTILITY, "6.5", "9.5"),
        *_below(
            Grade.UTILITY,
            {
                Property.HARDNESS: "150 mg/L",
                Property.CONDUCTIVITY: "500 µS/cm",
                Property.BACTERIA: "500 CFU/mL",
            },
        ),
        _ph(Grade.CRITICAL, "5.0", "7.5"),
        *_below(
            Grade.CRITICAL,
            {
                Property.HARDNESS: "1 mg/L",
                Property.CONDUCTIVITY: "10 µS/cm",
                Property.TOC: "1.0 mg/L",
                Property.BACTERIA: "10 CFU/mL",
                Property.ENDOTOXIN: "10 EU/mL",
            },
        ),
    ),
)

PUBLISHED = {table.name: table for table in (TIR34_2014, ST108_2023)}

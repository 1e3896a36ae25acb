"""The tasks of a sheet: one block read into what completes a step.

Every reader gives ``None`` where something is wrong, which it has noted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.procedure.layout import (
    BRUSH,
    DWELL,
    FLUSH,
    INSPECT,
    LEAK_TEST,
    LIGHT,
    LOT,
    QUESTION,
    READING,
    RESIDUE,
    SOAK,
    TEST,
    WATER,
    WINDOW,
    Layout,
)
from assistant.procedure.model import (
    Act,
    Dwell,
    DwellKind,
    InspectionTask,
    Judge,
    LightJudge,
    LimitJudge,
    LotTask,
    Method,
    Question,
    ReadingTask,
    ResidueJudge,
    TallyKind,
    TallyTask,
    TestTask,
    WaterJudge,
)
from assistant.procedure.quantity import Dimension, Quantity, QuantityError, Unit, duration_text
from assistant.procedure.quantity import Window as Span
from assistant.trade.leak import LeakTest
from assistant.trade.lumen import Brush, Lumen, misfits, syringe_fills
from assistant.trade.residue import FOUND_IN, LEVELS, Analyte, Meter
from assistant.trade.water import Grade, Property

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from assistant.procedure.fields import Fields
    from assistant.procedure.model import Bath, Task

    Baths = Mapping[str, Bath | None]
    Lumens = Mapping[str, "NamedLumen | None"]

MOST_LOT_SIGNS = 32
MOST_PASSES = 99
USUAL_MOST_PASSES = 10  # soiled brushes after which a part is not clean; our own guess, no source


@dataclass(frozen=True, slots=True)
class NamedLumen:
    """A channel of a component, as spoken."""

    name: str
    lumen: Lumen


@dataclass(frozen=True, slots=True)
class Known:
    """What a step may refer to; None for what has a mistake of its own.

    Attributes:
        baths: the sheet's baths by id.
        lumens: the component's lumens by id.
    """

    baths: Baths
    lumens: Lumens


@dataclass(frozen=True, slots=True)
class TaskDraft:
    """A task as read.

    Attributes:
        task: None where something was wrong.
        bath: id of the bath that it names.
        methods: what is done to the component.
        pressure: the most pressure that a rinse or a drying may have.
        leak: a leak test, which is made of several steps.
        working: how its figures were got.
    """

    task: Task | None
    bath: str | None = None
    methods: frozenset[Method] = frozenset()
    pressure: Quantity | None = None
    leak: LeakTest | None = None
    working: tuple[str, ...] = ()


NOTHING = TaskDraft(None)


def read_lumen(block: Fields) -> NamedLumen | None:
    """A channel with its sizes."""
    diameter = block.quantity("diameter", Dimension.LENGTH)
    length = block.quantity("length", Dimension.LENGTH)
    name = block.text("name")
    if diameter is None or length is None or not name:
        return None
    try:
        return NamedLumen(name, Lumen(diameter, length))
    except QuantityError as error:
        block.refuse("diameter", error.what, error.remedy)
        return None


def read_task(fields: Fields, known: Known) -> tuple[str, TaskDraft]:
    """The key of a step's task ("" for something to do with the hands) and the task."""
    given = [key for key in _TASKS if key in fields]
    for extra in given[1:]:
        fields.refuse(
            extra, f'"{given[0]}" and "{extra}" stand in one step', "make two steps of them"
        )
    if not given:
        return "", TaskDraft(Act())
    layout, reader = _TASKS[given[0]]
    block = fields.block(given[0], layout)
    return given[0], NOTHING if block is None else reader(block, known)


def _soak(block: Fields, known: Known) -> TaskDraft:
    bath = block.reference("bath", known.baths, "bath")
    dwell = _dwell(block, DwellKind.SOAK, bath) if bath else None
    return TaskDraft(dwell, bath, frozenset({Method.SUBMERGE}))


def _rinse(block: Fields, _known: Known) -> TaskDraft:
    return _with_pressure(block, _dwell(block, DwellKind.RINSE))


def _dry(block: Fields, _known: Known) -> TaskDraft:
    return _with_pressure(block, _dwell(block, DwellKind.DRY))


def _with_pressure(block: Fields, dwell: Dwell | None) -> TaskDraft:
    if "pressure" not in block:
        return TaskDraft(dwell)
    pressure = block.quantity("pressure", Dimension.PRESSURE)
    return TaskDraft(
        None if pressure is None else dwell,
        methods=frozenset({Method.PRESSURE}),
        pressure=pressure,
    )


def _dwell(block: Fields, kind: DwellKind, bath: str | None = None) -> Dwell | None:
    least, most = block.seconds("least"), block.seconds("most")
    if least is not None and most is not None and most <= least:
        block.refuse(
            "most",
            f"most ({duration_text(most)}) is not more than least ({duration_text(least)})",
            "exchange the two, or correct the wrong one",
        )
        return None
    if least is None or (most is None and "most" in block):
        return None
    return Dwell(kind, least, most, bath)


def _reading(block: Fields, _known: Known) -> TaskDraft:
    window = block.ends(None)
    return TaskDraft(ReadingTask(block.text("of"), window) if window else None)


def _lot(block: Fields, _known: Known) -> TaskDraft:
    usual = LotTask("")
    least = block.whole("least_signs", 1, MOST_LOT_SIGNS, usual.least_signs)
    most = block.whole("most_signs", 1, MOST_LOT_SIGNS, max(least, usual.most_signs))
    if least > most:
        block.refuse(
            "most_signs",
            f"most_signs ({most}) is less than least_signs ({least})",
            "exchange the two, or correct the wrong one",
        )
    return TaskDraft(LotTask(block.text("of"), least, most))


def _question(block: Fields, _known: Known) -> TaskDraft:
    return TaskDraft(Question(block.text("ask"), block.text("if_not")))


def _brush(block: Fields, known: Known) -> TaskDraft:
    """Passes of a brush that fits its lumen, counted until clean."""
    channel = _channel(block, known)
    diameter = block.quantity("diameter", Dimension.LENGTH)
    reach = block.quantity("reach", Dimension.LENGTH)
    thickest = block.quantity("thickest", Dimension.LENGTH) if "thickest" in block else None
    least = block.whole("passes", 1, MOST_PASSES, 1)
    most = block.whole("most_passes", least, MOST_PASSES, max(least, USUAL_MOST_PASSES))
    done = frozenset({Method.BRUSH})
    if channel is None or diameter is None or reach is None:
        return TaskDraft(None, methods=done)
    try:
        brush = Brush(diameter, reach)
        worked = misfits(brush, channel.lumen, thickest)
    except QuantityError as error:
        block.refuse("diameter", error.what, error.remedy)
        return TaskDraft(None, methods=done)
    if worked.value:
        block.refuse(
            "diameter",
            f"this brush does not fit the {channel.name}: {', '.join(worked.value)} "
            f"({'; '.join(worked.steps[: -len(worked.value)])})",
            "give the brush that the device's instructions name",
        )
    task = TallyTask(TallyKind.PASS, least, most, channel.name, brush=(brush, channel.lumen))
    return TaskDraft(task, methods=done, working=worked.steps)


def _flush(block: Fields, known: Known) -> TaskDraft:
    """A counted volume through a lumen, syringe by syringe."""
    channel = _channel(block, known)
    volume = block.quantity("volume", Dimension.VOLUME)
    syringe = block.quantity("syringe", Dimension.VOLUME)
    if channel is None or volume is None or syringe is None:
        return NOTHING
    try:
        fills = syringe_fills(volume, syringe)
    except QuantityError as error:
        block.refuse("volume", error.what, error.remedy)
        return NOTHING
    if fills.value > MOST_PASSES:
        block.refuse(
            "syringe", f"{fills.value} fills are too many to count", "use a larger syringe"
        )
    task = TallyTask(
        TallyKind.FILL, fills.value, None, channel.name, volume=volume, syringe=syringe
    )
    return TaskDraft(task, working=fills.steps)


def _channel(block: Fields, known: Known) -> NamedLumen | None:
    identifier = block.reference("lumen", known.lumens, "lumen of this component")
    return known.lumens[identifier] if identifier else None


def _leak_test(block: Fields, _known: Known) -> TaskDraft:
    """A leak test; its three steps are made by ``steps``."""
    window = block.ends(Dimension.PRESSURE)
    hold = block.seconds("hold")
    drop = block.quantity("most_drop", Dimension.PRESSURE)
    if window is None or hold is None or drop is None:
        return NOTHING
    try:
        test = LeakTest(window, hold, drop)
    except QuantityError as error:
        block.refuse("most_drop", error.what, error.remedy)
        return NOTHING
    # The judgment needs the ids of the steps before it, which ``steps`` knows.
    return TaskDraft(Act(), leak=test)


def _test(block: Fields, _known: Known) -> TaskDraft:
    """A test by one of the ways to judge it."""
    given = [key for key in _JUDGES if key in block]
    if len(given) != 1:
        block.refuse(
            given[1] if given else "of",
            f"a test is judged in exactly one way, not {len(given)}",
            f"write one of {', '.join(_JUDGES)}",
        )
        return NOTHING
    layout, reader = _JUDGES[given[0]]
    inner = block.block(given[0], layout)
    found = None if inner is None else reader(inner)
    return NOTHING if found is None else TaskDraft(TestTask(block.text("of"), *found))


def _light(block: Fields) -> tuple[Unit, Judge] | None:
    below, meter = block.quantity("below", Dimension.LIGHT), block.text("meter")
    if below is None or not meter:
        return None
    try:
        return Unit.RELATIVE_LIGHT_UNIT, LightJudge(Meter(meter, below))
    except QuantityError as error:
        block.refuse("below", error.what, error.remedy)
        return None


def _residue(block: Fields) -> tuple[Unit, Judge] | None:
    analyte = block.member("analyte", Analyte)
    area = block.quantity("area", Dimension.SURFACE)
    if analyte is None or area is None:
        return None
    if area.base <= 0:
        block.refuse("area", f'"{area}" is not above zero', "give the sampled surface")
        return None
    return FOUND_IN[LEVELS[analyte].action.unit], ResidueJudge(analyte, area)


def _water(block: Fields) -> tuple[Unit, Judge] | None:
    grade, of = block.member("grade", Grade), block.member("property", Property)
    return None if grade is None or of is None else (_WATER_UNITS[of], WaterJudge(grade, of))


def _limit(block: Fields) -> tuple[Unit, Judge] | None:
    window: Span | None = block.ends(None)
    return None if window is None else (window.unit, LimitJudge(window))


def _inspect(block: Fields, _known: Known) -> TaskDraft:
    return TaskDraft(InspectionTask(block.text("of"), block.text("magnification")))


# In what each property of water is told where no unit is spoken.
_WATER_UNITS = {
    Property.HARDNESS: Unit.MILLIGRAM_PER_LITRE,
    Property.CONDUCTIVITY: Unit.MICROSIEMENS_PER_CENTIMETRE,
    Property.PH: Unit.PH,
    Property.CHLORIDE: Unit.MILLIGRAM_PER_LITRE,
    Property.TOC: Unit.MILLIGRAM_PER_LITRE,
    Property.BACTERIA: Unit.COLONIES_PER_MILLILITRE,
    Property.ENDOTOXIN: Unit.ENDOTOXIN_UNITS_PER_MILLILITRE,
}
_JUDGES: dict[str, tuple[Layout, Callable[[Fields], tuple[Unit, Judge] | None]]] = {
    "light": (LIGHT, _light),
    "residue": (RESIDUE, _residue),
    "water": (WATER, _water),
    "limit": (WINDOW, _limit),
}
_TASKS: dict[str, tuple[Layout, Callable[[Fields, Known], TaskDraft]]] = {
    "soak": (SOAK, _soak),
    "rinse": (DWELL, _rinse),
    "dry": (DWELL, _dry),
    "reading": (READING, _reading),
    "lot": (LOT, _lot),
    "question": (QUESTION, _question),
    "brush": (BRUSH, _brush),
    "flush": (FLUSH, _flush),
    "leak_test": (LEAK_TEST, _leak_test),
    "test": (TEST, _test),
    "inspect": (INSPECT, _inspect),
}

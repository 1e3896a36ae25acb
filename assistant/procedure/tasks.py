"""The tasks of a sheet: one block read into what completes a step.

Every reader gives ``None`` where something is wrong, which it has noted.
"""

from __future__ import annotations

import re
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
    Otherwise,
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
from assistant.trade.cooling import leaves
from assistant.trade.leak import LeakTest
from assistant.trade.lumen import Brush, Lumen, Misfit, misfits, syringe_fills
from assistant.trade.residue import FOUND_IN, LEVELS, Analyte, Meter
from assistant.trade.water import TOLD_IN, Grade, Property

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from assistant.procedure.fields import Fields
    from assistant.procedure.model import Bath, Task

    Baths = Mapping[str, Bath | None]
    Lumens = Mapping[str, "NamedLumen | None"]

_MAGNIFICATION = re.compile(r"[1-9][0-9]{0,2}(\.[0-9])?x")
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
        lumen: id of the lumen that it cleans.
        pressure: the most pressure that a rinse or a drying may have.
        leak: a leak test, which is made of several steps.
        working: how its figures were got.
    """

    task: Task | None
    bath: str | None = None
    methods: frozenset[Method] = frozenset()
    lumen: str | None = None
    pressure: Quantity | None = None
    leak: LeakTest | None = None
    working: tuple[str, ...] = ()


NOTHING = TaskDraft(None)
PRESSED = frozenset({Method.PRESSURE})


def read_lumen(block: Fields) -> NamedLumen | None:
    """A channel with its sizes."""
    diameter = block.amount("diameter", Dimension.LENGTH)
    length = block.amount("length", Dimension.LENGTH)
    name = block.text("name")
    if diameter is None or length is None or not name:
        return None
    return NamedLumen(name, Lumen(diameter, length))


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
    detergent = known.baths[bath] if bath else None
    if dwell is not None and detergent is not None:
        _outlasted(block, dwell.least_s, detergent)
    return TaskDraft(dwell, bath, frozenset({Method.SUBMERGE}))


def _outlasted(block: Fields, least_s: int, bath: Bath) -> None:
    """Notes a soak that its bath cannot outlast, even when it is drawn fresh and warm."""
    least = duration_text(least_s)
    if bath.most_age_s is not None and least_s > bath.most_age_s:
        block.refuse(
            "least",
            f"a soak of {least} is longer than the {bath.name} may be used: "
            f"{duration_text(bath.most_age_s)}",
            'correct the soak or the "most_age" of the bath',
        )
    if bath.cooling is None or bath.temperature.most is None:
        return
    lasts = leaves(bath.cooling, bath.temperature.most, bath.temperature).value
    if lasts is not None and lasts < least_s:
        block.refuse(
            "least",
            f"the {bath.name} leaves {bath.temperature} in {duration_text(lasts)} at most, "
            f"and the soak takes {least}",
            'correct the soak, or the "cooling" or the "temperature" of the bath',
        )


def _rinse(block: Fields, _known: Known) -> TaskDraft:
    return _with_pressure(block, _dwell(block, DwellKind.RINSE))


def _dry(block: Fields, _known: Known) -> TaskDraft:
    return _with_pressure(block, _dwell(block, DwellKind.DRY))


def _with_pressure(block: Fields, dwell: Dwell | None) -> TaskDraft:
    if "pressure" not in block:
        return TaskDraft(dwell)
    pressure = block.amount("pressure", Dimension.PRESSURE)
    return TaskDraft(None if pressure is None else dwell, methods=PRESSED, pressure=pressure)


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
    window = block.sayable(None)
    if window is None:
        return NOTHING
    return TaskDraft(ReadingTask(block.text("of"), window), methods=_pressing(window))


def _pressing(window: Span) -> frozenset[Method]:
    """What a measured value tells of: a pressure is put on by somebody."""
    return PRESSED if window.unit.dimension is Dimension.PRESSURE else frozenset()


def _lot(block: Fields, _known: Known) -> TaskDraft:
    usual = LotTask("")
    fewest = usual.least_signs  # a lot of one sign cannot be said (numbers.jsgf)
    least = block.whole("least_signs", fewest, MOST_LOT_SIGNS, usual.least_signs)
    most = block.whole("most_signs", fewest, MOST_LOT_SIGNS, max(least, usual.most_signs))
    if least > most:
        block.refuse(
            "most_signs",
            f"most_signs ({most}) is less than least_signs ({least})",
            "exchange the two, or correct the wrong one",
        )
    return TaskDraft(LotTask(block.text("of"), least, most))


_NO_MEANS = {str(kind): kind for kind in (Otherwise.MUST, Otherwise.DAMAGE, Otherwise.SOIL)}


def _question(block: Fields, _known: Known) -> TaskDraft:
    otherwise = Otherwise.STAY
    if "no_means" in block:
        text = block.text("no_means")
        if text not in _NO_MEANS:
            known = ", ".join(f'"{word}"' for word in _NO_MEANS)
            block.refuse("no_means", f'a no cannot mean "{text}"', f"write one of: {known}")
        otherwise = _NO_MEANS.get(text, otherwise)
    return TaskDraft(Question(block.text("ask"), block.text("if_not"), otherwise))


def _brush(block: Fields, known: Known) -> TaskDraft:
    """Passes of a brush that fits its lumen, counted until clean."""
    identifier, channel = _channel(block, known)
    diameter = block.amount("diameter", Dimension.LENGTH)
    reach = block.amount("reach", Dimension.LENGTH)
    thickest = block.amount("thickest", Dimension.LENGTH)
    least = block.whole("passes", 1, MOST_PASSES, 1)
    most = block.whole("most_passes", least, MOST_PASSES, max(least, USUAL_MOST_PASSES))
    done = frozenset({Method.BRUSH})
    if channel is None or diameter is None or reach is None:
        return TaskDraft(None, methods=done, lumen=identifier)
    brush = Brush(diameter, reach)
    worked = misfits(brush, channel.lumen, thickest)
    sizes = "; ".join(worked.steps[: len(worked.steps) - len(worked.value)])
    for misfit in worked.value:
        block.refuse(
            "reach" if misfit is Misfit.TOO_SHORT else "diameter",
            f"this brush does not fit the {channel.name}: {misfit} ({sizes})",
            "give the brush that the device's instructions name",
        )
    task = TallyTask(TallyKind.PASS, least, most, channel.name, brush=(brush, channel.lumen))
    return TaskDraft(task, methods=done, lumen=identifier, working=worked.steps)


def _flush(block: Fields, known: Known) -> TaskDraft:
    """A counted volume through a lumen, syringe by syringe."""
    identifier, channel = _channel(block, known)
    volume = block.amount("volume", Dimension.VOLUME)
    syringe = block.amount("syringe", Dimension.VOLUME)
    if channel is None or volume is None or syringe is None:
        return TaskDraft(None, lumen=identifier)
    fills = syringe_fills(volume, syringe)
    if fills.value > MOST_PASSES:
        block.refuse(
            "syringe", f"{fills.value} fills are too many to count", "use a larger syringe"
        )
    task = TallyTask(
        TallyKind.FILL, fills.value, None, channel.name, volume=volume, syringe=syringe
    )
    return TaskDraft(task, lumen=identifier, working=fills.steps)


def _channel(block: Fields, known: Known) -> tuple[str | None, NamedLumen | None]:
    """The lumen that the block names, by its id and as stated; None stands in."""
    identifier = block.reference("lumen", known.lumens, "lumen of this component")
    return identifier, known.lumens[identifier] if identifier else None


def _leak_test(block: Fields, _known: Known) -> TaskDraft:
    """A leak test; its three steps are made by ``steps``."""
    window = block.sayable(Dimension.PRESSURE)
    hold = block.seconds("hold")
    drop = block.quantity("most_drop", Dimension.PRESSURE)
    if window is None or hold is None or drop is None:
        return NOTHING
    try:
        test = LeakTest(window, hold, drop)
    except QuantityError as error:
        block.refuse("most_drop", error.what, error.remedy)
        return NOTHING
    if window.least is not None and window.least.base <= drop.base:
        block.refuse(
            "least",
            f'a device pumped up to "{window.least}" can lose no more than "{drop}": '
            "the test would always pass",
            "give the least pressure at which the device is tested",
        )
        return NOTHING
    # The judgment needs the ids of the steps before it, which ``steps`` knows.
    return TaskDraft(Act(), methods=PRESSED, leak=test)


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
    if found is None:
        return NOTHING
    _, judge = found
    methods = _pressing(judge.window) if isinstance(judge, LimitJudge) else frozenset()
    return TaskDraft(TestTask(block.text("of"), *found), methods=methods)


def _light(block: Fields) -> tuple[Unit, Judge] | None:
    below, meter = block.amount("below", Dimension.LIGHT), block.text("meter")
    if below is None or not meter:
        return None
    return Unit.RELATIVE_LIGHT_UNIT, LightJudge(Meter(meter, below))


def _residue(block: Fields) -> tuple[Unit, Judge] | None:
    analyte = block.member("analyte", Analyte)
    area = block.amount("area", Dimension.SURFACE)
    if analyte is None or area is None:
        return None
    return FOUND_IN[LEVELS[analyte].action.unit], ResidueJudge(analyte, area)


def _water(block: Fields) -> tuple[Unit, Judge] | None:
    grade, of = block.member("grade", Grade), block.member("property", Property)
    return None if grade is None or of is None else (TOLD_IN[of], WaterJudge(grade, of))


def _limit(block: Fields) -> tuple[Unit, Judge] | None:
    window: Span | None = block.sayable(None)
    return None if window is None else (window.unit, LimitJudge(window))


def _inspect(block: Fields, _known: Known) -> TaskDraft:
    magnification = block.text("magnification")
    if magnification and not _MAGNIFICATION.fullmatch(magnification):
        block.refuse("magnification", f'"{magnification}" is no magnification', 'write as in "10x"')
    return TaskDraft(InspectionTask(block.text("of"), magnification))


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

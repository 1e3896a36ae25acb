"""Lumens and brushes: fit, passes, volumes; French sizes by definition."""

from __future__ import annotations

import math
from fractions import Fraction
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import Quantity, QuantityError, Unit, parse
from assistant.trade.lumen import (
    Brush,
    Lumen,
    Misfit,
    channel_volume,
    misfits,
    passes_left,
    syringe_fills,
)
from assistant.trade.worked import Worked

if TYPE_CHECKING:
    from decimal import Decimal

CHANNEL = Lumen(parse("2.8 mm"), parse("60 cm"))


# Bristles must touch the wall all round and come out at the end: common practice, no source.
@pytest.mark.parametrize(
    ("diameter", "reach", "wanted"),
    [
        ("2.8 mm", "60 cm", ()),
        ("3 mm", "700 mm", ()),
        ("9 Fr", "24 in", ()),
        ("2.79 mm", "60 cm", (Misfit.TOO_THIN,)),
        ("8 Fr", "60 cm", (Misfit.TOO_THIN,)),
        ("3.51 mm", "60 cm", (Misfit.TOO_THICK,)),
        ("3 mm", "59.9 cm", (Misfit.TOO_SHORT,)),
        ("2 mm", "10 cm", (Misfit.TOO_THIN, Misfit.TOO_SHORT)),
    ],
)
def test_a_brush_fits_or_the_reasons_are_named(
    diameter: str, reach: str, wanted: tuple[Misfit, ...]
) -> None:
    found = misfits(Brush(parse(diameter), parse(reach)), CHANNEL, parse("3.5 mm"))
    assert found.value == wanted


def test_a_brush_may_be_as_thick_as_it_will_where_the_procedure_sets_no_limit() -> None:
    brush = Brush(parse("5 mm"), parse("60 cm"))
    assert misfits(brush, CHANNEL).value == ()
    limited = misfits(brush, CHANNEL, parse("5 mm"))
    assert limited.value == ()
    assert limited.steps == (
        "brush 5 mm against lumen 2.8 mm",
        "brush at most 5 mm",
        "reach 60 cm = 600 mm against channel 60 cm = 600 mm",
    )


# 1 Fr = 1/3 mm, exact by definition (from memory).
def test_a_french_size_shows_its_millimetres() -> None:
    found = misfits(Brush(parse("8 Fr"), parse("60 cm")), Lumen(parse("2 mm"), parse("60 cm")))
    assert found.value == ()
    assert found.steps[0] == "brush 8 Fr ≈ 2.66667 mm against lumen 2 mm"
    exact = misfits(Brush(parse("6 Fr"), parse("60 cm")), Lumen(parse("2 mm"), parse("60 cm")))
    assert exact.value == ()


@pytest.mark.parametrize(
    ("done", "least", "clean", "wanted"),
    [
        (0, 3, False, 3),
        (0, 1, True, 1),
        (1, 3, True, 2),
        (2, 3, False, 1),
        (3, 3, True, 0),
        (1, 1, True, 0),
        (3, 3, False, 1),
        (9, 3, False, 1),
    ],
)
def test_brushing_goes_on_to_the_least_number_and_until_clean(
    done: int, least: int, clean: bool, wanted: int
) -> None:
    assert passes_left(done, least, last_came_out_clean=clean).value == wanted


@given(came_out_clean=st.lists(st.booleans(), min_size=1, max_size=30), least=st.integers(1, 8))
def test_brushing_as_told_ends_with_the_first_clean_pass_from_the_least_on(
    came_out_clean: list[bool], least: int
) -> None:
    came_out_clean.append(True)
    done, clean = 0, False
    while (left := passes_left(done, least, last_came_out_clean=clean).value) > 0:
        assert left == max(least - done, 1) if not clean else least - done
        clean = came_out_clean[min(done, len(came_out_clean) - 1)]
        done += 1
    wanted = next(
        count
        for count in range(least, least + len(came_out_clean) + 1)
        if came_out_clean[min(count, len(came_out_clean)) - 1]
    )
    assert (done, clean) == (wanted, True)


@pytest.mark.parametrize(("done", "least"), [(-1, 3), (0, 0)])
def test_passes_are_counted_from_zero(done: int, least: int) -> None:
    with pytest.raises(QuantityError, match="passes"):
        passes_left(done, least, last_came_out_clean=True)


# A cylinder's volume, with pi of the C library.
@given(
    diameter=st.decimals(min_value="0.1", max_value=20, places=2),
    length=st.decimals(min_value=1, max_value=4000, places=1),
)
def test_a_channel_holds_a_cylinder(diameter: object, length: object) -> None:
    lumen = Lumen(parse(f"{diameter} mm"), parse(f"{length} mm"))
    wanted = math.pi / 4 * float(lumen.diameter.value) ** 2 * float(lumen.length.value) / 1000
    assert float(channel_volume(lumen).value.value) == pytest.approx(wanted, rel=1e-8)


def test_a_channels_volume_shows_how_it_was_got() -> None:
    times = "\N{MULTIPLICATION SIGN}"
    assert channel_volume(CHANNEL).steps == (
        "channel 2.8 mm wide, 60 cm = 600 mm long",
        f"π ÷ 4 {times} 2.8 mm {times} 2.8 mm {times} 600 mm ≈ 3.69451 mL",
    )


@pytest.mark.parametrize(
    ("flush", "syringe", "fills", "line"),
    [
        ("60 mL", "20 mL", 3, "60 mL ÷ 20 mL a fill: 3 fills"),
        ("61 mL", "20 mL", 4, "61 mL ÷ 20 mL a fill: 4 fills, the last one at least 1 mL"),
        ("10 mL", "50 mL", 1, "10 mL ÷ 50 mL a fill: 1 fill, the last one at least 10 mL"),
        ("0.12 L", "60 mL", 2, "0.12 L ÷ 60 mL a fill: 2 fills"),
    ],
)
def test_a_flush_volume_is_so_many_syringe_fills(
    flush: str, syringe: str, fills: int, line: str
) -> None:
    assert syringe_fills(parse(flush), parse(syringe)) == Worked(fills, (line,))


@given(
    flush=st.decimals(min_value="0.1", max_value=2000, places=1),
    syringe=st.decimals(min_value="0.5", max_value=100, places=1),
    units=st.tuples(*[st.sampled_from(["mL", "L", "fl oz", "gal"])] * 2),
)
def test_the_fills_are_enough_and_one_less_is_not(
    flush: Decimal, syringe: Decimal, units: tuple[str, str]
) -> None:
    wanted, fill = parse(f"{flush} {units[0]}"), parse(f"{syringe} {units[1]}")
    fills = syringe_fills(wanted, fill).value
    assert fills * fill.base >= wanted.base > (fills - 1) * fill.base


@given(
    brush=st.decimals(min_value="0.1", max_value=20, places=1),
    reach=st.decimals(min_value=1, max_value=100, places=1),
    bore=st.decimals(min_value="0.1", max_value=20, places=1),
    length=st.decimals(min_value=1, max_value=100, places=1),
    room=st.decimals(min_value=0, max_value=5, places=1),
    unit=st.sampled_from([Unit.MILLIMETRE, Unit.FRENCH, Unit.INCH]),
)
def test_a_brush_fits_exactly_between_the_bore_and_the_thickest_and_over_the_length(
    brush: Decimal, reach: Decimal, bore: Decimal, length: Decimal, room: Decimal, unit: Unit
) -> None:
    found = misfits(
        Brush(Quantity(brush, unit), Quantity(reach, Unit.CENTIMETRE)),
        Lumen(Quantity(bore, unit), Quantity(length, Unit.CENTIMETRE)),
        Quantity(bore + room, unit),
    ).value
    assert (Misfit.TOO_THIN in found) is (brush < bore)
    assert (Misfit.TOO_THICK in found) is (brush > bore + room)
    assert (Misfit.TOO_SHORT in found) is (reach < length)


@pytest.mark.parametrize(
    ("flush", "syringe"), [("0 mL", "20 mL"), ("60 mL", "0 mL"), ("6 cm", "2 mL")]
)
def test_a_flush_needs_two_volumes(flush: str, syringe: str) -> None:
    with pytest.raises(QuantityError):
        syringe_fills(parse(flush), parse(syringe))


def test_sizes_are_lengths_above_zero() -> None:
    with pytest.raises(QuantityError):
        Lumen(parse("0 mm"), parse("60 cm"))
    with pytest.raises(QuantityError):
        Lumen(parse("2 mm"), parse("60 mL"))
    with pytest.raises(QuantityError):
        Brush(parse("-1 mm"), parse("60 cm"))
    with pytest.raises(QuantityError):
        Brush(Quantity(parse("2 mm").value, Unit.MILLILITRE), parse("60 cm"))
    with pytest.raises(QuantityError):
        misfits(Brush(parse("3 mm"), parse("60 cm")), CHANNEL, parse("0 mm"))
    assert parse("1 Fr").base == Fraction(1, 3)

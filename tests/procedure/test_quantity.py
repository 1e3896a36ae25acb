"""Conversions against NIST Handbook 44, Appendix C; durations against ISO 8601."""

from __future__ import annotations

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.procedure.quantity import (
    Dimension,
    Place,
    Quantity,
    QuantityError,
    Unit,
    Window,
    duration,
    duration_text,
    parse,
)

decimals = st.decimals(
    min_value=-10_000, max_value=10_000, places=3, allow_nan=False, allow_infinity=False
)
# Pairs between which every decimal has an end.
ENDING = [
    (Unit.CELSIUS, Unit.FAHRENHEIT),
    (Unit.GALLON, Unit.MILLILITRE),
    (Unit.FLUID_OUNCE, Unit.MILLILITRE),
    (Unit.FLUID_OUNCE_PER_GALLON, Unit.MILLILITRE_PER_LITRE),
    (Unit.INCH, Unit.MILLIMETRE),
    (Unit.HOUR, Unit.SECOND),
    (Unit.LITRE, Unit.MILLILITRE),
    (Unit.MILLIMETRE_OF_MERCURY, Unit.KILOPASCAL),
]


# NIST Handbook 44, Appendix C: exact by definition.
@pytest.mark.parametrize(
    ("given", "unit", "wanted"),
    [
        ("1 gal", Unit.MILLILITRE, "3785.411784"),
        ("1 fl oz", Unit.MILLILITRE, "29.5735295625"),
        ("1 fl oz/gal", Unit.MILLILITRE_PER_LITRE, "7.8125"),
        ("1 in", Unit.CENTIMETRE, "2.54"),
        ("128 fl oz", Unit.GALLON, "1"),
        ("43 °C", Unit.FAHRENHEIT, "109.4"),
        ("-40 °C", Unit.FAHRENHEIT, "-40"),
        ("1.5 h", Unit.MINUTE, "90"),
        ("20 L", Unit.MILLILITRE, "20000"),
    ],
)
def test_conversions_that_end_are_exact(given: str, unit: Unit, wanted: str) -> None:
    converted = parse(given).to(unit)
    assert converted.unit is unit
    assert converted.value == Decimal(wanted)


# An imperial gallon is 4546.09 mL (from memory); here a gallon is never that one.
def test_a_gallon_is_the_us_gallon_and_an_imperial_one_is_no_unit() -> None:
    assert parse("1 gal").base < Fraction("4546.09") * Fraction(84, 100)
    for written in ("1 imp gal", "1 UK gal", "1 imperial gallon"):
        with pytest.raises(QuantityError, match="no known unit"):
            parse(written)


# °F = °C * 9/5 + 32; rounded figures of NIST Handbook 44, Appendix C, and NIST SP 811
# (psi 6.894 757 kPa; mmHg 0.133 322 4 kPa: from memory).
@pytest.mark.parametrize(
    ("given", "unit", "wanted", "digits"),
    [
        ("120 °F", Unit.CELSIUS, "48.889", 5),
        ("90 °F", Unit.CELSIUS, "32.222", 5),
        ("1 psi", Unit.KILOPASCAL, "6.894757", 7),
        ("1 mmHg", Unit.KILOPASCAL, "0.1333224", 7),
    ],
)
def test_other_conversions_agree_with_the_tables(
    given: str, unit: Unit, wanted: str, digits: int
) -> None:
    assert parse(given).to(unit).rounded(digits).value == Decimal(wanted)


@pytest.mark.parametrize("pair", ENDING)
@given(value=decimals)
def test_a_conversion_between_such_units_changes_nothing(
    pair: tuple[Unit, Unit], value: Decimal
) -> None:
    here, there = pair
    assert Quantity(value, here).to(there).base == Quantity(value, here).base


def test_a_value_of_more_digits_than_anyone_writes_is_kept_to_34() -> None:
    # Calculated: 1/3 and 1/7, half up.
    assert Quantity.exactly(Fraction(1, 3), Unit.LITRE).value == Decimal("0." + "3" * 34)
    seventh = Decimal("0.1428571428571428571428571428571429")
    assert Quantity.exactly(Fraction(1, 7), Unit.LITRE).value == seventh


@given(value=decimals, unit=st.sampled_from(Unit))
def test_what_is_written_is_read_back(value: Decimal, unit: Unit) -> None:
    assert parse(str(Quantity(value, unit))) == Quantity(value, unit)


@pytest.mark.parametrize("unit", list(Unit))
def test_every_unit_is_read_whatever_the_size_of_its_letters(unit: Unit) -> None:
    assert parse(f"7 {unit.upper()}").unit is unit
    assert parse(f"7{unit.lower()}").unit is unit


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        (" 43 °C ", Quantity(Decimal(43), Unit.CELSIUS)),
        ("43 C", Quantity(Decimal(43), Unit.CELSIUS)),
        ("-5 °C", Quantity(Decimal(-5), Unit.CELSIUS)),
        ("\u22125 °C", Quantity(Decimal(-5), Unit.CELSIUS)),
        ("20 litres", Quantity(Decimal(20), Unit.LITRE)),
    ],
)
def test_common_spellings_are_read(text: str, wanted: Quantity) -> None:
    assert parse(text) == wanted


@pytest.mark.parametrize(
    ("text", "dimension", "parts"),
    [
        ("43", Dimension.TEMPERATURE, ["no unit", '"43 °C"', '"43 °F"']),
        ("43", None, ["no unit"]),
        ("10", Dimension.TIME, ['"10 min"', '"10 s"']),
        ("1:30", Dimension.TIME, ["1 h 30 min", "1 min 30 s"]),
        ("1:30", Dimension.TEMPERATURE, ["no number", "10 °C"]),
        ("43,5 °C", Dimension.TEMPERATURE, ["comma", "decimal point"]),
        ("5 mll", Dimension.VOLUME, ['did you mean "mL"?']),
        ("5 smoots", None, ["no known unit", "kPa"]),
        ("warm", Dimension.TEMPERATURE, ["no number", "10 °C"]),
        ("", None, ["no number"]),
        ("1e3 s", None, ["no number"]),
        ("43 °C", Dimension.VOLUME, ["temperature", "volume", "fl oz"]),
        ("9" * 5000 + " s", None, ["no number"]),
        ("\u0664\u0663 °C", None, ["no number"]),
    ],
)
def test_a_refused_quantity_says_why_and_what_to_write(
    text: str, dimension: Dimension | None, parts: list[str]
) -> None:
    with pytest.raises(QuantityError) as refusal:
        parse(text, dimension)
    for part in parts:
        assert part in str(refusal.value)


# ISO 8601 durations; the last two of the first group in the forms people write.
@pytest.mark.parametrize(
    ("text", "seconds"),
    [
        ("PT10M", 600),
        ("PT1H30M", 5400),
        ("PT90S", 90),
        ("PT0.5H", 1800),
        ("10 min", 600),
        ("1.5 min", 90),
        ("1 h 30 min", 5400),
        ("1h 30min 5s", 5405),
        ("2 hours", 7200),
    ],
)
def test_durations_are_whole_seconds(text: str, seconds: int) -> None:
    assert duration(text) == seconds


@pytest.mark.parametrize(
    "text",
    ["10", "1:30", "0:30", "01:30", "10:00", "00:01:30", "90", "PT", "P1D", "P1M", "10 mL", "yes",
     "", "0.5 s", "30 min 1 h", "5 min 5 min", "10 min 20"],
)  # fmt: skip
def test_other_durations_are_refused(text: str) -> None:
    with pytest.raises(QuantityError):
        duration(text)


def test_a_clock_form_is_refused_with_both_readings() -> None:
    with pytest.raises(QuantityError) as refusal:
        duration("1:30")
    assert "1 h 30 min or 1 min 30 s" in refusal.value.what
    assert duration("1 h 30 min") == 5400
    assert duration("1 min 30 s") == 90


@given(st.integers(min_value=0, max_value=10**6))
def test_the_text_of_a_duration_is_read_back(seconds: int) -> None:
    assert duration(duration_text(seconds)) == seconds


@pytest.mark.parametrize(
    ("seconds", "text"),
    [
        (0, "0 s"),
        (45, "45 s"),
        (60, "1 min"),
        (90, "90 s"),
        (150, "2 min 30 s"),
        (5400, "1 h 30 min"),
    ],
)
def test_durations_are_written_as_people_say_them(seconds: int, text: str) -> None:
    assert duration_text(seconds) == text


@pytest.mark.parametrize("text", ["NaN", "Infinity", "-Infinity"])
def test_a_value_must_be_finite(text: str) -> None:
    with pytest.raises(QuantityError):
        Quantity(Decimal(text), Unit.CELSIUS)


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("75 L", "75 L"),
        ("491.612 mL", "492 mL"),
        ("585.9375 mL", "586 mL"),
        ("12345 mL", "12300 mL"),
        ("0.04565 L", "0.0457 L"),
        ("0 mL", "0 mL"),
    ],
)
def test_spoken_figures_have_three_digits_half_up(text: str, wanted: str) -> None:
    assert str(parse(text).rounded()) == wanted


def window(least: str | None, most: str | None) -> Window:
    return Window(parse(least) if least else None, parse(most) if most else None)


@pytest.mark.parametrize(
    ("reading", "place", "distance"),
    [
        ("32 °C", Place.WITHIN, "0"),
        ("43 °C", Place.WITHIN, "0"),
        ("31.9 °C", Place.BELOW, "0.1"),
        ("43.1 °C", Place.ABOVE, "0.1"),
        ("109.4 °F", Place.WITHIN, "0"),
        ("109.401 °F", Place.ABOVE, None),
        ("89.599 °F", Place.BELOW, None),
    ],
)
def test_both_ends_of_a_window_belong_to_it(
    reading: str, place: Place, distance: str | None
) -> None:
    verdict = window("32 °C", "43 °C").judge(parse(reading))
    assert verdict.place is place
    assert verdict.distance.unit is Unit.CELSIUS
    if distance is not None:
        assert verdict.distance.value == Decimal(distance)


def test_the_distance_is_a_difference_in_the_windows_unit() -> None:
    # 50 °C = 122 °F, 10 °F above 112 °F (°F = °C * 9/5 + 32).
    assert window(None, "112 °F").judge(parse("50 °C")).distance == parse("10 °F")


def test_a_window_may_be_open_at_one_end() -> None:
    assert window("5 psi", None).judge(parse("500 psi")).place is Place.WITHIN
    assert window(None, "5 psi").judge(parse("-500 psi")).place is Place.WITHIN
    assert str(window("5 psi", None)) == "at least 5 psi"
    assert str(window(None, "5 psi")) == "at most 5 psi"
    assert str(window("32 °C", "43 °C")) == "32\u201343 °C"


def test_a_reading_of_another_kind_is_no_verdict() -> None:
    with pytest.raises(QuantityError, match="not a temperature"):
        window("32 °C", "43 °C").judge(parse("40 mL"))


@pytest.mark.parametrize(
    ("least", "most", "why"),
    [
        (None, None, "no end"),
        ("43 °C", "32 °C", "more than"),
        ("32 °C", "110 °F", "different units"),
        ("32 °C", "40 mL", "different units"),
    ],
)
def test_an_impossible_window_is_refused(least: str | None, most: str | None, why: str) -> None:
    with pytest.raises(QuantityError, match=why):
        window(least, most)


@given(value=decimals, least=decimals, width=st.decimals(min_value=0, max_value=100, places=3))
def test_a_value_is_within_exactly_where_it_is_between_the_ends(
    value: Decimal, least: Decimal, width: Decimal
) -> None:
    ends = Window(Quantity(least, Unit.CELSIUS), Quantity(least + width, Unit.CELSIUS))
    fahrenheit = Quantity(value, Unit.CELSIUS).to(Unit.FAHRENHEIT)
    verdict = ends.judge(fahrenheit)
    assert (verdict.place is Place.WITHIN) == (least <= value <= least + width)
    nearest = min(max(value, least), least + width)
    assert Fraction(verdict.distance.value) == abs(Fraction(value) - Fraction(nearest))

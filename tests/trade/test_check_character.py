"""Check digits and characters against printed examples, and what they can find."""

from __future__ import annotations

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.trade.check_character import MOD_43, check_character, check_digit

numbers = st.text("0123456789", min_size=2, max_size=18)
data = st.text(MOD_43, min_size=2, max_size=40)


# GS1 General Specifications, section 7.9, and GS1's open test vectors.
@pytest.mark.parametrize(
    ("number", "right"),
    [
        ("0234567", "3"),
        ("41600033610", "8"),
        ("123456789012", "8"),
        ("1234567890123", "1"),
        ("12345678901234567", "5"),
        ("629104150021", "3"),
        ("730001100001", "7"),
        ("890400021003", "7"),
        ("0730001520015", "4"),  # the GRAI 07300015200154
    ],
)
def test_a_check_digit_is_the_one_that_gs1_prints(number: str, right: str) -> None:
    assert check_digit(number) == right


# GS1's open test vectors: the same numbers with a wrong last digit.
@pytest.mark.parametrize(
    "wrong",
    ["12345673", "416000336109", "1234567890129", "12345678901232", "123456789012345670"],
)
def test_a_wrong_check_digit_that_gs1_prints_is_wrong(wrong: str) -> None:
    assert check_digit(wrong[:-1]) != wrong[-1]


# Guides print this example with "C" after it; modulo 43 gives "H".
_WIDELY_PRINTED = (
    "+H123PARTNO1234567890120/$$420020216LOT123456789012345/SXYZ456789012345678/16D20130202"
)


# ANSI/HIBC 2.6 (Appendix B, sections 2.2, 2.3, 4.3, Appendices C and E) and calculated from it.
@pytest.mark.parametrize(
    ("signs", "right"),
    [
        ("+A123BJC5D6E71", "G"),
        ("+A1234BJC5D6E71", "K"),
        ("+A123ABCDEFGHI1234567891", "E"),
        ("07000503", "F"),
        ("159AZ", "H"),
        ("+123456789", "0"),
        ("+A999ABC123DE0/$+1234567", "Y"),
        ("+A999ABC123DE1/$+1234567", "Z"),
        (_WIDELY_PRINTED, "H"),
        ("+H123ABC01234567890", "D"),
        ("+$A1234G", "U"),
        ("+$$52001510X3G", "D"),
        ("+A99912345/$$52001510X3", "3"),
        ("+A123BJC5D6E71/$$52001510X3", "C"),
        ("+A99912345/$$52001510X3/16D20111212/S77DEFG45", "7"),
        ("+A99912345/$10X3/16D20111231/14D20200131", "3"),
        ("+A99912349/$10X3/16D20111231/14D20200131/Q500", "Z"),
    ],
)
def test_a_check_character_is_the_one_that_the_standard_prints(signs: str, right: str) -> None:
    assert check_character(signs) == right


@given(number=numbers, place=st.integers(min_value=0), digit=st.sampled_from("0123456789"))
def test_a_check_digit_finds_every_single_wrong_digit(number: str, place: int, digit: str) -> None:
    whole = number + check_digit(number)
    at = place % len(whole)
    assume(whole[at] != digit)
    wrong = whole[:at] + digit + whole[at + 1 :]
    assert check_digit(wrong[:-1]) != wrong[-1]


@given(number=numbers, place=st.integers(min_value=0))
def test_a_check_digit_finds_exchanged_neighbours_but_for_those_five_apart(
    number: str, place: int
) -> None:
    whole = number + check_digit(number)
    at = place % (len(whole) - 1)
    wrong = whole[:at] + whole[at + 1] + whole[at] + whole[at + 2 :]
    unfound = abs(int(whole[at]) - int(whole[at + 1])) in (0, 5)
    assert (check_digit(wrong[:-1]) == wrong[-1]) is unfound


@given(signs=data, place=st.integers(min_value=0), sign=st.sampled_from(MOD_43))
def test_a_check_character_finds_every_single_wrong_sign(signs: str, place: int, sign: str) -> None:
    whole = signs + check_character(signs)
    at = place % len(whole)
    assume(whole[at] != sign)
    wrong = whole[:at] + sign + whole[at + 1 :]
    assert check_character(wrong[:-1]) != wrong[-1]


@given(signs=data, place=st.integers(min_value=0))
def test_a_check_character_finds_an_exchange_only_with_itself(signs: str, place: int) -> None:
    # A plain sum cannot tell the order: so what was read is read back.
    whole = signs + check_character(signs)
    at = place % (len(whole) - 1)
    assume(whole[at] != whole[at + 1])
    wrong = whole[:at] + whole[at + 1] + whole[at] + whole[at + 2 :]
    found = check_character(wrong[:-1]) != wrong[-1]
    assert found is (at == len(whole) - 2)

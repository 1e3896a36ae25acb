"""HIBC supplier data against the printed examples of ANSI/HIBC 2.6."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from assistant.trade.check_character import MOD_43, check_character
from assistant.trade.identity import Caveat, Identity, IdentityError, Scheme
from assistant.trade.scan import identify

YEAR = 2026


def read(data: str) -> Identity:
    """The identity of data to which the right check character is added."""
    return identify(data + check_character(data), YEAR)


# ANSI/HIBC 2.6, Appendix B: the primary data, in print between asterisks.
@pytest.mark.parametrize("code", ["+A123BJC5D6E71G", "*+A123BJC5D6E71G*", "]C0+a123bjc5d6e71g\r\n"])
def test_primary_data_name_labeler_article_and_level(code: str) -> None:
    identity = identify(code, YEAR)
    assert (identity.scheme, identity.key()) == (Scheme.HIBC, "hibc:A123BJC5D6E7")
    assert (identity.issuer, identity.level, identity.link) == ("A123", 1, "G")
    assert identity.warnings == (Caveat.PACKAGE,)
    assert not identity.internal
    assert identity.raw == code


# Printed in guides with "C" at its end; modulo 43 (ANSI/HIBC 2.6, Appendix B) gives "H".
_WIDELY_PRINTED = (
    "+H123PARTNO1234567890120/$$420020216LOT123456789012345/SXYZ456789012345678/16D20130202"
)


def test_the_widely_printed_example_is_refused_and_told_its_right_character() -> None:
    with pytest.raises(IdentityError, match='ends in "C", but its signs give "H"'):
        identify(_WIDELY_PRINTED + "C", YEAR)


def test_the_widely_printed_example_is_read_with_its_right_character() -> None:
    identity = identify(_WIDELY_PRINTED + "H", YEAR)
    assert identity.item == "H123PARTNO123456789012"
    assert (identity.level, identity.lot) == (0, "LOT123456789012345")
    assert identity.serial == "XYZ456789012345678"
    assert identity.expires_on == date(2020, 2, 2)
    assert identity.made_on == date(2013, 2, 2)
    assert identity.warnings == (Caveat.HOUR,)


# ANSI/HIBC 2.6; the twin of the second is printed with "Y" too, but needs "Z".
def test_a_package_and_its_piece_differ_in_level_and_check_character() -> None:
    piece = identify("+A999ABC123DE0/$+1234567Y", YEAR)
    package = identify("+A999ABC123DE1/$+1234567Z", YEAR)
    assert (piece.serial, piece.lot, piece.warnings) == ("1234567", "", ())
    assert piece.key() == package.key() == "hibc:A999ABC123DE"
    assert (package.level, package.warnings) == (1, (Caveat.PACKAGE,))
    with pytest.raises(IdentityError, match='signs give "Z"'):
        identify("+A999ABC123DE1/$+1234567Y", YEAR)


# ANSI/HIBC 2.6, sections 2.2.1, 2.3.2 and 4.3.
@pytest.mark.parametrize(
    ("code", "wanted"),
    [
        ("+A99912345/$$52001510X33", {"expires_on": date(2020, 1, 15), "lot": "10X3"}),
        (
            "+A99912345/$$52001510X3/16D20111212/S77DEFG457",
            {
                "expires_on": date(2020, 1, 15),
                "made_on": date(2011, 12, 12),
                "lot": "10X3",
                "serial": "77DEFG45",
            },
        ),
        (
            "+A99912345/$10X3/16D20111231/14D202001313",
            {"expires_on": date(2020, 1, 31), "made_on": date(2011, 12, 31), "lot": "10X3"},
        ),
        (
            "+A99912349/$10X3/16D20111231/14D20200131/Q500Z",
            {"expires_on": date(2020, 1, 31), "lot": "10X3", "quantity": 500},
        ),
    ],
)
def test_joined_data_give_dates_lot_serial_and_quantity(
    code: str, wanted: dict[str, object]
) -> None:
    identity = identify(code, YEAR)
    assert identity.key() == "hibc:A9991234"
    assert {name: getattr(identity, name) for name in wanted} == wanted


# ANSI/HIBC 2.6, Appendix F, Table F1 (without quantity), and the quantities of the
# revisions before; the check character is calculated.  "L" is the link.
@pytest.mark.parametrize(
    ("data", "day", "lot", "serial", "quantity"),
    [
        ("+05271", date(2005, 9, 28), "", "", None),
        ("+052713C001", date(2005, 9, 28), "3C001", "", None),
        ("+$3C001", None, "3C001", "", None),
        ("+$$09053C001", date(2005, 9, 30), "3C001", "", None),
        ("+$$12053C001", date(2005, 12, 31), "3C001", "", None),
        ("+$$20928053C001", date(2005, 9, 28), "3C001", "", None),
        ("+$$30509283C001", date(2005, 9, 28), "3C001", "", None),
        ("+$$4050928223C001", date(2005, 9, 28), "3C001", "", None),
        ("+$$5052713C001", date(2005, 9, 28), "3C001", "", None),
        ("+$$605271223C001", date(2005, 9, 28), "3C001", "", None),
        ("+$$73C001", None, "3C001", "", None),
        ("+$+0001", None, "", "0001", None),
        ("+$$+09050001", date(2005, 9, 30), "", "0001", None),
        ("+$$+20928050001", date(2005, 9, 28), "", "0001", None),
        ("+$$+30509280001", date(2005, 9, 28), "", "0001", None),
        ("+$$+4050928220001", date(2005, 9, 28), "", "0001", None),
        ("+$$+5052710001", date(2005, 9, 28), "", "0001", None),
        ("+$$+605271220001", date(2005, 9, 28), "", "0001", None),
        ("+$$+70001", None, "", "0001", None),
        ("+$$82409053C001", date(2005, 9, 30), "3C001", "", 24),
        ("+$$82420928053C001", date(2005, 9, 28), "3C001", "", 24),
        ("+$$82473C001", None, "3C001", "", 24),
        ("+$$824", None, "", "", 24),
        ("+$$90010030509283C001", date(2005, 9, 28), "3C001", "", 100),
        ("+$$900100", None, "", "", 100),
        ("+$$3050928", date(2005, 9, 28), "", "", None),
    ],
)
def test_secondary_data_alone_are_read_in_every_form(
    data: str, day: date | None, lot: str, serial: str, quantity: int | None
) -> None:
    identity = read(data + "L")
    assert (identity.scheme, identity.key(), identity.link) == (Scheme.HIBC, "", "L")
    assert (identity.expires_on, identity.lot, identity.serial) == (day, lot, serial)
    assert identity.quantity == quantity


# ANSI/HIBC 2.6, section 4.3.2: "G" links to the primary data of Appendix B, "D" checks.
def test_secondary_data_carry_the_check_character_of_their_primary_data() -> None:
    secondary = identify("+$$52001510X3GD", YEAR)
    assert secondary.link == identify("+A123BJC5D6E71G", YEAR).link
    assert secondary.link == identify("+A123BJC5D6E71/$$52001510X3C", YEAR).link


def _ending_in(sign: str) -> str:
    """Primary data of an invented article, which this check character follows."""
    articles = (f"+A123{first}{second}0" for first in MOD_43[:36] for second in MOD_43[:36])
    return next(data for data in articles if check_character(data) == sign)


# ANSI/HIBC 2.6, section 4.1: a space is printed as an underscore.
def test_a_space_as_check_character_may_be_typed_as_an_underscore() -> None:
    data = _ending_in(" ")
    assert identify(data + " ", YEAR).key() == identify(data + "_", YEAR).key() != ""
    assert identify(data + "_", YEAR).link == " "
    with pytest.raises(IdentityError, match='"_"'):
        identify(data + "A", YEAR)
    linked = "+$LOT7 "
    assert identify("+$LOT7_" + check_character(linked), YEAR).link == " "


def test_a_slash_as_check_or_link_character_divides_nothing() -> None:
    data = _ending_in("/")
    assert identify(data + "/", YEAR).link == "/"
    linked = read("+$LOT7/")
    assert (linked.lot, linked.link) == ("LOT7", "/")


@pytest.mark.parametrize(
    ("data", "what"),
    [
        ("+A", "too short"),
        ("+A1", "no labeler code"),
        ("+A1231", "no labeler code"),
        ("+A123BJC5D6E71234567890123", "no labeler code"),
        ("+A123BJC5D6E7A", "no labeler code"),
        ("+A123BJ.C5D6E71", "no labeler code"),
        ("+A12-BJCC5D6E71", "no labeler code"),
        ("+%A123BJC5D6E71", "no known form"),
        ("+A99912345/", "no known form"),
        ("+A99912345/X10X3", "no known form"),
        ("+A99912345/$10X3/17D20111231", "no known form"),
        ("+A99912345/S77/$10X3", "no known form"),
        ("+A99912345/$", "no lot"),
        ("+A99912345/$+", "no serial"),
        ("+A99912345/$$", "no known form"),
        ("+A99912345/$$+", "no known form"),
        ("+A99912345/$$X", "no known form"),
        ("+A99912345/$$8249", "no known form"),
        ("+A99912345/$$8X4", "no known form"),
        ("+A99912345/$$7", "no lot"),
        ("+A99912345/$$5ABCDE3C001", "no date"),
        ("+A99912345/$$50527", "no date"),
        ("+A99912345/$$50536610X3", "no day of the calendar"),
        ("+A99912345/$$130510X3", "no day of the calendar"),
        ("+A99912345/$$420020224LOT", "hour 24"),
        ("+A99912345/0527", "no date"),
        ("+A99912345/$ABCDEFGHIJKLMNOPQRS", "no lot"),
        ("+A99912345/$ABC%", "no lot"),
        ("+A99912345/$10X3/16D2011123", "no date"),
        ("+A99912345/$10X3/16D20110229", "no day of the calendar"),
        ("+A99912345/$10X3/Q", "no quantity"),
        ("+A99912345/$10X3/Q123456", "no quantity"),
        ("+A99912345/$10X3/S", "no serial"),
        ("+A99912345/$+10X3/S10X4", "serial is given twice"),
        ("+A99912345/$$52001510X3/14D20200131", "expires_on is given twice"),
    ],
)
def test_wrong_data_are_told_what_is_wrong(data: str, what: str) -> None:
    with pytest.raises(IdentityError, match=what) as refused:
        read(data)
    assert refused.value.remedy


def test_the_same_said_twice_is_said_once() -> None:
    assert read("+A99912345/$$52001510X3/14D20200115").expires_on == date(2020, 1, 15)


@pytest.mark.parametrize(
    ("code", "what"),
    [
        ("+A123BJC5#D6E71G", 'illegal sign "#"'),
        ("+A123BJC5_D6E71G", 'illegal sign "_"'),
        ("+A123\x1dBJC5D6E71G", "illegal sign"),
        ("+", "too short"),
        ("++", "family of devices"),
        # ANSI/HIBC 1.3, the provider's own labels; the second is a code of families.
        ("+/EO5232013", "care provider"),
        ("++A999MODELIDENTIFIER11S8", "family of devices"),
    ],
)
def test_other_labels_and_illegal_signs_are_named(code: str, what: str) -> None:
    with pytest.raises(IdentityError, match=what):
        identify(code, YEAR)


_NAMES = st.text("0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=1, max_size=18)


@given(
    article=_NAMES,
    level=st.integers(0, 9),
    lot=_NAMES,
    serial=_NAMES,
    day=st.dates(date(1977, 1, 1), date(2076, 12, 31)),
)
def test_what_is_written_is_read(
    article: str, level: int, lot: str, serial: str, day: date
) -> None:
    primary = f"+A999{article}{level}"
    identity = read(f"{primary}/$$3{day:%y%m%d}{lot}/S{serial}")
    assert (identity.item, identity.level) == (f"A999{article}", level)
    assert (identity.lot, identity.serial, identity.expires_on) == (lot, serial, day)
    assert identity.link == read(primary).link


@given(
    code=st.tuples(_NAMES, _NAMES, _NAMES, st.integers(0, 9)).map(
        lambda name: f"+A999{name[0]}{name[3]}/$$520015{name[1]}/S{name[2]}"
    ),
    place=st.integers(min_value=0),
    other=st.sampled_from(MOD_43),
)
def test_one_wrong_sign_is_refused_wherever_it_stands(code: str, place: int, other: str) -> None:
    whole = code + check_character(code)
    at = place % len(whole)
    assume(whole[at] != other)
    with pytest.raises(IdentityError):
        identify(whole[:at] + other + whole[at + 1 :], YEAR)

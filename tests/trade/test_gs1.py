"""Element strings and item numbers against GS1's printed examples and its syntax dictionary."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade.check_character import check_digit
from assistant.trade.gs1 import FNC1
from assistant.trade.identity import Caveat, Identity, IdentityError, Scheme
from assistant.trade.scan import identify

SET_82 = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"
YEAR = 2026


def plain(identity: Identity) -> tuple[object, ...]:
    """What two forms of the same data must agree in."""
    return (identity.key(), identity.level, *identity.spoken_parts())


# The printed form of the element string below it (GS1 General Specifications).
def test_brackets_and_fnc1_give_the_same_identity() -> None:
    printed = identify("(01)09521234543213(17)100101(10)123ABC(21)1234567890", YEAR)
    scanned = identify(f"]d201095212345432131710010110123ABC{FNC1}211234567890", YEAR)
    assert plain(printed) == plain(scanned)
    assert printed.scheme is Scheme.GTIN
    assert (printed.issuer, printed.item) == ("952", "09521234543213")
    assert (printed.serial, printed.lot) == ("1234567890", "123ABC")
    assert (printed.made_on, printed.expires_on) == (None, date(2010, 1, 1))
    assert printed.warnings == ()
    assert not printed.internal


# IMDRF UDI application guide; FDA, UDI formats by issuing agency.
@pytest.mark.parametrize(
    ("printed", "item", "made", "expires", "lot", "serial", "warnings"),
    [
        (
            "(01)51022222233336(11)141231(17)150707(10)A213B1(21)1234",
            "51022222233336",
            date(2014, 12, 31),
            date(2015, 7, 7),
            "A213B1",
            "1234",
            (Caveat.PACKAGE,),
        ),
        (
            "(01)09506000117843(11)141231(17)201231(10)1234AB(21)5678CD",
            "09506000117843",
            date(2014, 12, 31),
            date(2020, 12, 31),
            "1234AB",
            "5678CD",
            (),
        ),
    ],
)
def test_the_printed_examples_of_device_codes_are_read(
    printed: str,
    item: str,
    made: date,
    expires: date,
    lot: str,
    serial: str,
    warnings: tuple[Caveat, ...],
) -> None:
    identity = identify(printed, YEAR)
    assert identity.key() == f"gtin:{item}"
    assert (identity.made_on, identity.expires_on) == (made, expires)
    assert (identity.lot, identity.serial, identity.warnings) == (lot, serial, warnings)


# GS1's open test vectors for item numbers of 8, 12, 13 and 14 digits.
@pytest.mark.parametrize(
    ("number", "wrong"),
    [
        ("02345673", "12345673"),
        ("416000336108", "416000336109"),
        ("1234567890128", "1234567890129"),
        ("12345678901231", "12345678901232"),
    ],
)
def test_a_bare_number_is_one_item_however_it_is_scanned(number: str, wrong: str) -> None:
    right = check_digit(wrong[:-1])
    bare = identify(number, YEAR)
    assert bare.key() == f"gtin:{number.zfill(14)}"
    for form in (f"(01){number.zfill(14)}", f"]C101{number.zfill(14)}", f"]E0{number}"):
        assert identify(form, YEAR).key() == bare.key()
    with pytest.raises(IdentityError, match=f"digits give {right}"):
        identify(wrong, YEAR)


def _items(length: int) -> st.SearchStrategy[str]:
    """Item numbers of so many digits with their right check digits."""
    data = st.text("0123456789", min_size=length - 1, max_size=length - 1)
    return data.map(lambda digits: digits + check_digit(digits))


@given(
    number=st.sampled_from([8, 12, 13, 14]).flatmap(_items),
    place=st.integers(0, 13),
    other=st.integers(1, 9),
)
def test_one_wrong_digit_of_an_item_is_refused_however_it_is_scanned(
    number: str, place: int, other: int
) -> None:
    at = place % len(number)
    wrong = number[:at] + str((int(number[at]) + other) % 10) + number[at + 1 :]
    padded = wrong.zfill(14)
    for form in (wrong, f"]E0{wrong}", f"(01){padded}", f"]C101{padded}", f"]d201{padded}10A7"):
        with pytest.raises(IdentityError, match="but its digits give"):
            identify(form, YEAR)


@given(
    number=_items(13).map(lambda digits: "0" + digits),
    place=st.integers(0, 13),
    other=st.integers(1, 9),
)
def test_one_wrong_digit_of_an_owners_tag_is_refused(number: str, place: int, other: int) -> None:
    # A leading 0 leaves the check digit as it is: its weight counts nothing.
    assert identify(f"(8003){number}TRAY", YEAR).item == number
    wrong = number[:place] + str((int(number[place]) + other) % 10) + number[place + 1 :]
    for form in (f"8003{wrong}TRAY", f"(8003){wrong}"):
        with pytest.raises(IdentityError):
            identify(form, YEAR)


@pytest.mark.parametrize(
    ("number", "issuer", "internal"),
    [
        # GS1 General Specifications, section 1.4, table of GS1 prefixes.
        ("2388060112344", "238", True),
        ("040000000008", "004", False),
        ("0400000000004", "040", True),
        ("0200000000006", "020", True),
        ("6291041500213", "629", False),
        ("02345673", "023", True),
        ("95212346", "952", False),
    ],
)
def test_a_number_for_use_within_one_company_is_internal(
    number: str, issuer: str, internal: bool
) -> None:
    identity = identify(number[:-1] + check_digit(number[:-1]), YEAR)
    assert (identity.issuer, identity.internal) == (issuer, internal)


# GS1's printed GRAI 07300015200154; the serials and the GIAI are invented.
def test_a_facilitys_own_tags_are_internal() -> None:
    tray = identify("800307300015200154TRAY-7", YEAR)
    assert (tray.key(), tray.serial, tray.issuer) == ("grai:07300015200154", "TRAY-7", "730")
    assert tray.internal
    kind = identify("(8003)07300015200154", YEAR)
    assert (kind.key(), kind.serial) == (tray.key(), "")
    scope = identify("(8004)952123SCOPE-4", YEAR)
    assert (scope.key(), scope.issuer, scope.internal) == ("giai:952123SCOPE-4", "952", True)


def test_every_element_has_its_place() -> None:
    identity = identify("(01)09521234543213(240)SIZE-5(235)X9(11)260131", YEAR)
    assert [(str(part), text) for part, text in identity.spoken_parts()] == [
        ("item", "09521234543213"),
        ("variant", "SIZE-5"),
        ("extension", "X9"),
        ("made_on", "2026-01-31"),
    ]


def test_an_element_string_without_an_item_has_no_key() -> None:
    identity = identify("]C117261231", YEAR)
    assert identity.scheme is Scheme.GS1
    assert (identity.key(), identity.issuer, identity.internal) == ("", "", False)
    assert identity.expires_on == date(2026, 12, 31)


# GS1 General Specifications, section 7.8.6: one separator after any element is tolerated.
def test_separators_that_are_not_needed_do_no_harm() -> None:
    spaced = f"{FNC1}0109521234543213{FNC1}17261231{FNC1}10A7{FNC1}"
    assert plain(identify(spaced, YEAR)) == plain(
        identify("(01)09521234543213(17)261231(10)A7", YEAR)
    )


def test_spaces_between_printed_groups_do_not_count() -> None:
    assert identify(" (01) 0 9521234 54321 3 (10) A7 ", YEAR).key() == "gtin:09521234543213"


@pytest.mark.parametrize("code", ["]C110A7\x1d10A7", "(10)A7(10)A7"])
def test_the_same_said_twice_is_said_once(code: str) -> None:
    assert identify(code, YEAR).lot == "A7"


# Lengths and signs: GS1 syntax dictionary; a company prefix has at least 4 digits (its "key").
@pytest.mark.parametrize(
    ("code", "what", "remedy"),
    [
        ("]C199123", '"9912" is no AI', "separator"),
        ("(99)123", r'"\(99\)" is no AI', "read are 01, 10"),
        ("]C10109521234543213\x1d\x1d10A", "no AI", "FNC1"),
        ("]C1", '"" is no AI', "read are"),
        ("(A1)123", "no bracketed AI", "brackets"),
        ("(01)0952123454321", "too short.*has 13, not 14 digits", "scan again"),
        ("010952123454321", "too short", "scan again"),
        ("(01)095212345432133", "too long", "scan again"),
        ("(01)0952123454321X", "must have 14 digits", "scan again"),
        ("(01)0952123454321\u0663", "must have 14 digits", "scan again"),
        ("(01)09521234543214", "ends in 4, but its digits give 3", "scan again"),
        ("(8003)17300015200151", "does not begin with 0", "scan again"),
        ("(8003)07300015200155", "ends in 5, but its digits give 4", "scan again"),
        ("(8004)ABC123", "must have 4 digits", "scan again"),
        ("(8004)123", "too short", "scan again"),
        ("(10)", "too short.*not at least one sign", "scan again"),
        ("(10)A~7", 'illegal sign "~"', "scan again"),
        ("]C110A 7", 'illegal sign " "', "scan again"),
        ("(10)A\u00e97", 'illegal sign "\\\\xe9"', "scan again"),
        ("(10)123456789012345678901", "too long", "scan again"),
        ("]C110123456789012345678901\x1d21A", "too long", "scan again"),
        ("]C110123ABC456789XYZ172612312112345", "separator is missing", "ASCII 29"),
        ("(17)261332", "no day of the calendar", "scan again"),
        ("(17)26123", "too short", "scan again"),
        ("(17)2612311", "too long", "scan again"),
        ("(11)2601311", "too long", "scan again"),
        ("(10)A(10)B", "given twice", "scan again"),
        ("(01)09521234543213(8004)9521A", "two items", "type the one"),
    ],
)
def test_a_wrong_element_string_is_told_what_is_wrong(code: str, what: str, remedy: str) -> None:
    with pytest.raises(IdentityError, match=what) as refused:
        identify(code, YEAR)
    assert remedy in refused.value.remedy


@pytest.mark.parametrize(
    ("code", "doubtful"),
    [
        ("01095212345432131726123110A721S5", True),
        ("010952123454321321S510A717261231", True),
        ("010952123454321310A717261332", False),
        ("01095212345432131726123110A71726123", False),
        ("010952123454321321S5\x1d10A21", False),
        ("(01)09521234543213(10)A721S5", False),
        ("01095212345432131726123110A7", False),
        ("010952123454321310A701099999999999", False),
        ("80049521217261231", False),
    ],
)
def test_a_field_that_may_have_swallowed_the_next_is_pointed_out(code: str, doubtful: bool) -> None:
    assert (Caveat.NO_SEPARATOR in identify(code, YEAR).warnings) is doubtful


# Greatest lengths: GS1 syntax dictionary.
@pytest.mark.parametrize(
    ("ai", "head", "most"),
    [
        ("10", "", 20),
        ("21", "", 20),
        ("235", "", 28),
        ("240", "", 30),
        ("8003", "07300015200154", 30),
        ("8004", "9521", 30),
    ],
)
def test_a_value_may_be_as_long_as_the_dictionary_allows_and_no_longer(
    ai: str, head: str, most: int
) -> None:
    longest = head.ljust(most, "X")
    identity = identify(f"({ai}){longest}", YEAR)
    assert longest in ("".join(text for _, text in identity.spoken_parts()), identity.item)
    with pytest.raises(IdentityError, match=f"at most {most} are legal"):
        identify(f"({ai}){longest}X", YEAR)


# GS1 General Specifications, section 2.1: 1 to 8 are packages, 9 a variable measure.
@pytest.mark.parametrize(
    ("level", "package"), [("0", False), ("1", True), ("8", True), ("9", False)]
)
def test_the_indicator_digit_tells_a_package(level: str, package: bool) -> None:
    number = f"{level}952123454321"
    identity = identify(f"(01){number}{check_digit(number)}", YEAR)
    assert identity.level == int(level)
    assert (Caveat.PACKAGE in identity.warnings) is package


def test_a_bare_number_that_could_be_an_asset_tag_is_pointed_out() -> None:
    number = "800412345678" + check_digit("800412345678")
    assert identify(number, YEAR).warnings == (Caveat.ASSET_OR_ITEM,)
    assert identify(f"]C1{number}", YEAR).scheme is Scheme.GIAI
    assert identify(f"]E0{number}", YEAR).scheme is Scheme.GTIN


def _values() -> st.SearchStrategy[dict[str, str]]:
    """Elements with legal values; the item always among them."""
    # Digits in brackets inside a value cannot be told from an AI in print.
    signs = st.text([sign for sign in SET_82 if sign not in "()"], min_size=1, max_size=20)
    days = st.dates(date(1980, 1, 1), date(2070, 12, 31)).map(lambda day: day.strftime("%y%m%d"))
    items = st.text("0123456789", min_size=13, max_size=13).map(lambda n: n + check_digit(n))
    return st.fixed_dictionaries(
        {"01": items},
        optional={"10": signs, "11": days, "17": days, "21": signs, "235": signs, "240": signs},
    )


@given(values=_values(), draw=st.data())
def test_both_forms_of_any_data_are_read_alike(values: dict[str, str], draw: st.DataObject) -> None:
    pairs = draw.draw(st.permutations(list(values.items())))
    printed = identify("".join(f"({ai}){value}" for ai, value in pairs), YEAR)
    scanned = identify("]C1" + FNC1.join(ai + value for ai, value in pairs), YEAR)
    assert plain(printed) == plain(scanned)
    assert printed.item == values["01"]
    assert (printed.lot, printed.serial) == (values.get("10", ""), values.get("21", ""))
    assert (printed.extension, printed.variant) == (values.get("235", ""), values.get("240", ""))
    for day, ai in ((printed.made_on, "11"), (printed.expires_on, "17")):
        assert (day.strftime("%y%m%d") if day else None) == values.get(ai)

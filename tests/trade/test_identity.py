"""Identities: the key, what is read back, expiry, two codes of one label."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade.check_character import check_character
from assistant.trade.identity import (
    Caveat,
    Identity,
    IdentityError,
    Part,
    Scheme,
    expired,
    joined,
)
from assistant.trade.scan import identify

YEAR = 2026
# GS1's demonstration prefix 952 and ANSI/HIBC 2.6's example label.
ITEM = "0109521234543213"
PRIMARY = "+A123BJC5D6E71G"
SECONDARY = "+$$52001510X3GD"


def test_the_day_of_expiry_is_still_good() -> None:
    identity = identify(f"{ITEM}17260228", YEAR)
    assert not expired(identity, date(2026, 2, 28))
    assert expired(identity, date(2026, 3, 1))


@given(day=st.dates(), today=st.dates())
def test_an_item_is_expired_from_the_day_after(day: date, today: date) -> None:
    identity = Identity(scheme=Scheme.GTIN, raw="", expires_on=day)
    assert expired(identity, today) is (today - day >= timedelta(days=1))


def test_what_has_no_expiry_never_expires() -> None:
    assert not expired(identify(ITEM, YEAR), date.max)


def test_what_is_read_back_stands_in_order_and_leaves_out_what_is_not_there() -> None:
    identity = identify("(21)S5(17)261231(01)09521234543213(11)240229(10)A7", YEAR)
    assert identity.spoken_parts() == (
        (Part.ITEM, "09521234543213"),
        (Part.SERIAL, "S5"),
        (Part.LOT, "A7"),
        (Part.MADE_ON, "2024-02-29"),
        (Part.EXPIRES_ON, "2026-12-31"),
    )
    packed = "+$$824G"
    assert identify(packed + check_character(packed), YEAR).spoken_parts() == (
        (Part.QUANTITY, "24"),
    )


def test_the_two_codes_of_one_hibc_label_are_one_in_either_order() -> None:
    primary, secondary = identify(PRIMARY, YEAR), identify(SECONDARY, YEAR)
    for identity in (joined(primary, secondary), joined(secondary, primary)):
        assert identity.key() == "hibc:A123BJC5D6E7"
        assert (identity.lot, identity.expires_on) == ("10X3", date(2020, 1, 15))
        assert (identity.level, identity.link) == (1, "G")
        assert identity.warnings == (Caveat.PACKAGE,)
    assert joined(primary, secondary).raw == f"{PRIMARY}\n{SECONDARY}"


def test_the_two_codes_of_one_gs1_label_are_one_in_either_order() -> None:
    item, batch = identify(f"]C1{ITEM}", YEAR), identify("]C117240200", YEAR)
    for identity in (joined(item, batch), joined(batch, item)):
        assert (identity.scheme, identity.key()) == (Scheme.GTIN, "gtin:09521234543213")
        assert identity.expires_on == date(2024, 2, 29)
        assert identity.warnings == (Caveat.MONTH_END,)


@pytest.mark.parametrize(
    ("first", "second", "what"),
    [
        (PRIMARY, f"]C1{ITEM}", "one code is HIBC"),
        (PRIMARY, "+$$52001510X3H", "differ in link"),
        (f"{ITEM}10A7", f"{ITEM}10A8", "differ in lot"),
        (ITEM, "6291041500213", "differ in issuer"),
        (f"]C1{ITEM}", "(01)09521234543220", "differ in item"),
    ],
)
def test_codes_of_two_labels_are_not_made_one(first: str, second: str, what: str) -> None:
    if second.startswith("+$"):
        second += check_character(second)
    with pytest.raises(IdentityError, match=what):
        joined(identify(first, YEAR), identify(second, YEAR))


def test_every_caveat_says_what_is_the_matter() -> None:
    assert all(caveat.isprintable() and " " in caveat for caveat in Caveat)

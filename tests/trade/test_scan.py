"""What a keyboard-wedge scanner or a person types, from the outside."""

from __future__ import annotations

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.trade.check_character import MOD_43, check_character
from assistant.trade.identity import Identity, IdentityError, Scheme
from assistant.trade.scan import identify

YEAR = 2026


# Symbology prefixes of ISO/IEC 15424, in GS1 General Specifications, section 7.8.
@pytest.mark.parametrize("prefix", ["", "]C1", "]d2", "]Q3", "]e0"])
def test_the_symbol_does_not_change_what_the_data_say(prefix: str) -> None:
    identity = identify(f"{prefix}0109521234543213\r\n", YEAR)
    assert identity.key() == "gtin:09521234543213"
    assert identity.raw == f"{prefix}0109521234543213\r\n"


@pytest.mark.parametrize("prefix", ["", "]E0", "]I1", "]X0"])
def test_digits_alone_are_an_item_number(prefix: str) -> None:
    assert identify(f"{prefix}6291041500213", YEAR).scheme is Scheme.GTIN


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", '"" is no code'),
        ("   ", "is no code"),
        ("]", "is no code"),
        ("]E0ABC", "no item number of 8, 12, 13 or 14 digits"),
        ("]E4123", "no item number of 8, 12, 13 or 14 digits"),
        ("hello", "is no code"),
        ("9912345", "is no code"),
        ("123456789012345670", "is no code"),
        ("\u0661\u0662\u0663\u0664\u0665\u0666\u0667\u0668", "is no code"),
        ("\ud800", "is no code"),
    ],
)
def test_what_is_no_code_is_refused_with_what_to_do(text: str, what: str) -> None:
    with pytest.raises(IdentityError, match=what) as refused:
        identify(text, YEAR)
    assert refused.value.what.isprintable()
    assert "list" in refused.value.remedy


def outcome(text: str, year: int) -> Identity | IdentityError:
    """What comes of a text; anything but these two fails the test."""
    try:
        return identify(text, year)
    except IdentityError as refused:
        return refused


_START = st.sampled_from(
    ["", "]C1", "]d2", "]E0", "01", "(", "(01)", "(10)", "10", "17", "8003", "8004", "\x1d", "*+"]
)
_SIGNS = st.text(st.one_of(st.characters(), st.sampled_from("()0123456789\x1d/+$")), max_size=60)


@given(start=_START, signs=_SIGNS, year=st.integers(1951, 2100))
@example(start="(", signs=")", year=2026)
@example(start="10", signs="0\x1d\x1d", year=2026)
def test_no_text_raises_anything_but_an_identity_error(start: str, signs: str, year: int) -> None:
    result = outcome(start + signs, year)
    if isinstance(result, IdentityError):
        assert result.what.isprintable()
        assert result.remedy
    else:
        assert result.spoken_parts()


@given(
    pieces=st.lists(
        st.one_of(
            st.sampled_from(
                ["/", "$", "$$", "$$+", "A9991230", "S", "16D", "14D", "Q", "8", "9", "5", "20015"]
            ),
            st.text(MOD_43, max_size=6),
        ),
        max_size=8,
    )
)
def test_no_data_with_the_right_check_character_raise_anything_else(pieces: list[str]) -> None:
    data = "+" + "".join(pieces)
    result = outcome(data + check_character(data), YEAR)
    if isinstance(result, IdentityError):
        assert result.what.isprintable()
    else:
        assert result.scheme is Scheme.HIBC

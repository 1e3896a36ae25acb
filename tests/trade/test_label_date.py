"""Dates of labels against the rules of GS1 and of ANSI/HIBC 2.6."""

from __future__ import annotations

from datetime import date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.trade.identity import Caveat, IdentityError
from assistant.trade.label_date import full_year, label_date


# GS1 General Specifications, sections 3.4 (day 00) and 7.12 (century), and calculated.
@pytest.mark.parametrize(
    ("digits", "wanted"),
    [
        ("130200", date(2013, 2, 28)),
        ("160200", date(2016, 2, 29)),
        ("161200", date(2016, 12, 31)),
    ],
)
def test_a_day_of_00_is_the_end_of_the_month_and_says_so(digits: str, wanted: date) -> None:
    read = label_date(digits, "YYMMDD", 2026, zero_ends_month=True)
    assert read == (wanted, (Caveat.MONTH_END,))
    assert "2025-01-01" in Caveat.MONTH_END  # GS1: withdrawn for regulated healthcare items


def test_a_day_of_00_is_refused_where_its_rules_do_not_know_it() -> None:
    with pytest.raises(IdentityError, match="no day of the calendar"):
        label_date("130200", "YYMMDD", 2026)


# GS1 General Specifications, section 7.12; the first two are the printed limits in 2026.
@pytest.mark.parametrize(
    ("digits", "year", "wanted"),
    [
        (76, 2026, 2076),
        (77, 2026, 1977),
        (26, 2026, 2026),
        (0, 2026, 2000),
        (49, 1999, 2049),
        (50, 1999, 1950),
        (1, 2090, 2101),
    ],
)
def test_two_digits_are_the_year_from_49_back_to_50_ahead(
    digits: int, year: int, wanted: int
) -> None:
    assert full_year(digits, year) == wanted


@given(digits=st.integers(0, 99), year=st.integers(1951, 9900))
def test_a_year_keeps_its_digits_and_stays_within_a_century(digits: int, year: int) -> None:
    full = full_year(digits, year)
    assert full % 100 == digits
    assert year - 49 <= full <= year + 50


# Calculated from the Gregorian calendar (ISO 8601); 13 and 00 are no months, 24 is no hour.
@pytest.mark.parametrize(
    ("digits", "form"),
    [
        ("200010", "YYMMDD"),
        ("201310", "YYMMDD"),
        ("200132", "YYMMDD"),
        ("210229", "YYMMDD"),
        ("201300", "YYMMDD"),
        ("0020", "MMYY"),
        ("21366", "YYJJJ"),
        ("20000", "YYJJJ"),
        ("00000101", "YYYYMMDD"),
        ("2002022", "YYMMDD"),
        ("20020", "YYMMDD"),
        ("2002O2", "YYMMDD"),
        ("20\u0662\u0662\u0662\u0662", "YYMMDD"),
        ("", "YYMMDD"),
        ("20020224", "YYMMDDHH"),
    ],
)
def test_a_date_that_does_not_exist_is_refused_by_its_digits(digits: str, form: str) -> None:
    with pytest.raises(IdentityError) as refused:
        label_date(digits, form, 2026, zero_ends_month=True)
    assert form in refused.value.what
    assert refused.value.remedy


def test_a_day_of_the_year_beyond_the_calendar_is_refused() -> None:
    with pytest.raises(IdentityError):
        label_date("99999", "YYJJJ", 9999)


# ANSI/HIBC 2.6, Appendix F, Table F1: the forms of one day, 28 September 2005 (day 271), 22 h.
@pytest.mark.parametrize(
    ("digits", "form", "wanted", "caveats"),
    [
        ("0905", "MMYY", date(2005, 9, 30), ()),
        ("092805", "MMDDYY", date(2005, 9, 28), ()),
        ("050928", "YYMMDD", date(2005, 9, 28), ()),
        ("05092822", "YYMMDDHH", date(2005, 9, 28), (Caveat.HOUR,)),
        ("05271", "YYJJJ", date(2005, 9, 28), ()),
        ("0527122", "YYJJJHH", date(2005, 9, 28), (Caveat.HOUR,)),
        ("20130202", "YYYYMMDD", date(2013, 2, 2), ()),
        ("20366", "YYJJJ", date(2020, 12, 31), ()),
    ],
)
def test_each_form_gives_its_day(
    digits: str, form: str, wanted: date, caveats: tuple[Caveat, ...]
) -> None:
    assert label_date(digits, form, 2026) == (wanted, caveats)


@given(day=st.dates(date(1977, 1, 1), date(2076, 12, 31)), hour=st.integers(0, 23))
def test_every_day_is_read_back_from_every_form(day: date, hour: int) -> None:
    for form, pattern in {
        "YYMMDD": "%y%m%d",
        "MMDDYY": "%m%d%y",
        "YYJJJ": "%y%j",
        "YYYYMMDD": "%Y%m%d",
        "YYMMDDHH": f"%y%m%d{hour:02}",
        "YYJJJHH": f"%y%j{hour:02}",
    }.items():
        assert label_date(day.strftime(pattern), form, 2026)[0] == day
    month_end = label_date(day.strftime("%m%y"), "MMYY", 2026)[0]
    assert (month_end.year, month_end.month) == (day.year, day.month)
    assert (month_end + timedelta(days=1)).day == 1


@given(month=st.dates(date(1977, 1, 1), date(2076, 12, 31)))
def test_a_day_of_00_is_the_day_before_the_next_month_begins(month: date) -> None:
    read, caveats = label_date(f"{month:%y%m}00", "YYMMDD", 2026, zero_ends_month=True)
    assert (read.year, read.month) == (month.year, month.month)
    assert (read + timedelta(days=1)).day == 1
    assert caveats == (Caveat.MONTH_END,)


@given(digits=st.text("0123456789", min_size=6, max_size=6), year=st.integers(1951, 9900))
def test_six_digits_are_a_day_of_the_calendar_or_are_refused(digits: str, year: int) -> None:
    # The calendar of the C library, given the century by GS1's rule.
    try:
        full = full_year(int(digits[:2]), year)
        wanted = datetime.strptime(f"{full:04}{digits[2:]}", "%Y%m%d").date()  # noqa: DTZ007
    except ValueError:
        with pytest.raises(IdentityError):
            label_date(digits, "YYMMDD", year)
    else:
        assert label_date(digits, "YYMMDD", year) == (wanted, ())

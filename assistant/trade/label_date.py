"""Dates as labels give them: few digits, in an order that the code's rules name."""

from __future__ import annotations

import calendar
from datetime import date, timedelta

from assistant.trade.identity import Caveat, IdentityError, shown

_CENTURY = 100
_LAST_HOUR = 23
# GS1 General Specifications, section 7.12: from 49 years back to 50 years ahead.
_YEARS_AHEAD = 50


def label_date(
    digits: str, form: str, year: int, *, zero_ends_month: bool = False
) -> tuple[date, tuple[Caveat, ...]]:
    """The day that a label gives, with what must be known about it.

    Args:
        digits: as on the label.
        form: what each digit is: Y year, M month, D day, J day of the year, H hour.
            Without a day, the month's last one is meant.
        year: the present year, to which two digits of a year are related.
        zero_ends_month: a day of 00 means the end of the month; else it is refused.

    Raises:
        IdentityError: not as many digits, or no such day or hour.
    """
    if len(digits) != len(form) or not (digits.isascii() and digits.isdigit()):
        raise _refusal(digits, form, "is no date")
    numbers = {letter: _number(digits, form, letter) for letter in set(form)}
    full = full_year(numbers["Y"], year) if form.count("Y") == len("YY") else numbers["Y"]
    caveats: tuple[Caveat, ...] = ()
    if "H" in numbers:
        caveats = (Caveat.HOUR,)
        if numbers["H"] > _LAST_HOUR:
            raise _refusal(digits, form, f"has the hour {numbers['H']}")
    try:
        if "J" in numbers:
            return _day_of_year(full, numbers["J"]), caveats
        month, day = numbers["M"], numbers.get("D")
        if day == 0 and zero_ends_month:
            caveats, day = (*caveats, Caveat.MONTH_END), None
        if day is None:
            day = calendar.monthrange(full, month)[1]
        return date(full, month, day), caveats
    except (ValueError, OverflowError):
        raise _refusal(digits, form, "is no day of the calendar") from None


def full_year(two_digits: int, year: int) -> int:
    """The year of two digits, from 49 years before ``year`` to 50 after it.

    GS1 General Specifications, section 7.12.  ANSI/HIBC 2.6 names no century, so
    its dates are read by the same rule.
    """
    first = year - _CENTURY + 1 + _YEARS_AHEAD
    return first + (two_digits - first) % _CENTURY


def _number(digits: str, form: str, letter: str) -> int:
    """The digits that stand where the form has this letter."""
    return int("".join(digit for digit, sign in zip(digits, form, strict=True) if sign == letter))


def _day_of_year(year: int, number: int) -> date:
    """The day that has this number in its year, 1 January being 1."""
    day = date(year, 1, 1) + timedelta(days=number - 1)
    if day.year != year:
        raise ValueError
    return day


def _refusal(digits: str, form: str, why: str) -> IdentityError:
    return IdentityError(
        f'"{shown(digits)}" {why} ({form})', "scan again, or compare it with the label"
    )

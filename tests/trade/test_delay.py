"""From the end of use to the cleaning; WGO 2019 says 30 min, makers say their own."""

from __future__ import annotations

import pytest

from assistant.procedure.quantity import QuantityError
from assistant.trade.delay import Course, course


# 30 min: World Gastroenterology Organisation, 2019.  Longer means the maker's
# instructions for delayed processing.
@pytest.mark.parametrize(
    ("elapsed_s", "wanted"),
    [
        (0, Course.ROUTINE),
        (1799, Course.ROUTINE),
        (1800, Course.ROUTINE),
        (1801, Course.DELAYED),
        (None, Course.DELAYED),
    ],
)
def test_beyond_the_makers_time_or_where_nobody_knows_processing_is_delayed(
    elapsed_s: int | None, wanted: Course
) -> None:
    assert course(elapsed_s, 1800).value is wanted


def test_the_course_says_why() -> None:
    assert course(2400, 1800).steps == (
        "40 min since the end of use, at most 30 min: delayed processing",
    )
    assert course(None, 1800).steps == ("time since the end of use not known: delayed processing",)


def test_a_maker_may_allow_no_more_than_a_second() -> None:
    assert course(1, 1).value is Course.ROUTINE


@pytest.mark.parametrize(("elapsed_s", "most_s"), [(-1, 1800), (10, 0)])
def test_impossible_times_are_refused(elapsed_s: int, most_s: int) -> None:
    with pytest.raises(QuantityError):
        course(elapsed_s, most_s)

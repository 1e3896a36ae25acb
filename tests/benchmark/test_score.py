"""Intervals and percentiles agree with published values."""

import pytest

from tests.benchmark.figures import an_hour
from tests.benchmark.score import Share, percentile


@pytest.mark.parametrize(
    ("count", "of", "low", "high"),
    [
        # R. G. Newcombe, "Two-sided confidence intervals for the single proportion", Stat.
        # Med. 17 (1998), 857-872, table I, method 3 (Wilson's score); from memory.
        (81, 263, 0.2553, 0.3662),
        (15, 148, 0.0624, 0.1605),
        (0, 20, 0.0000, 0.1611),
        (1, 29, 0.0061, 0.1718),
    ],
)
def test_wilsons_interval_has_the_published_values(count, of, low, high):
    assert Share(count, of).interval == pytest.approx((low, high), abs=5e-5)


def test_nothing_counted_tells_nothing():
    assert Share(0, 0).interval == (0.0, 1.0)


@pytest.mark.parametrize(
    ("count", "low", "high"),
    # Exact Poisson limits, 95 %, F. Garwood 1936, as in the usual tables; from memory.
    [(0, 0.0, 3.689), (1, 0.0253, 5.572), (5, 1.623, 11.668), (10, 4.795, 18.390)],
)
def test_counts_an_hour_have_the_published_limits(count, low, high):
    rate, *limits = an_hour(count, 1.0)
    assert rate == count
    assert limits == pytest.approx([low, high], abs=2e-3)


def test_a_percentile_is_a_value_that_occurred():
    values = [float(value) for value in range(1, 21)]
    assert percentile(values, 50) == 10
    assert percentile(values, 95) == 19
    assert percentile([3.0], 95) == 3.0

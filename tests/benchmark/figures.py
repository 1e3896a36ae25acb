"""Figures from rows: shares, false accepts an hour, latency and decoding."""

from __future__ import annotations

import math
from collections import Counter
from typing import TYPE_CHECKING, Any

from tests.benchmark.score import Share, percentile

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from tests.benchmark.trial import Row

OUTCOMES = ("right", "wrong", "rejected")


def shares(rows: Sequence[Row]) -> dict[str, Share]:
    """Of cases that want something: right, wrong, rejected."""
    counts = Counter(row.outcome for row in rows)
    return {outcome: Share(counts[outcome], len(rows)) for outcome in OUTCOMES}


def causes(rows: Iterable[Row]) -> Counter[str]:
    """What errors come from, with the recognizer's reason where it decided."""
    found: Counter[str] = Counter()
    for row in rows:
        if row.outcome in ("wrong", "rejected", "acts", "tells", "asks back"):
            reason = row.reason.partition(":")[0]
            found[f"{row.outcome}, {row.cause}{': ' + reason if reason else ''}"] += 1
    return found


def hours(rows: Iterable[Row]) -> float:
    """Of sound."""
    return sum(row.audio_s for row in rows) / 3600


def an_hour(count: int, time_h: float) -> tuple[float, float, float]:
    """A count an hour, with its 95 % interval if falls are independent (Poisson, exact).

    F. Garwood, "Fiducial limits for the Poisson distribution", Biometrika 28 (1936).
    """
    if not time_h:
        return 0.0, 0.0, math.inf
    low = _mean(lambda mean: 1 - _up_to(count - 1, mean) >= 0.025) if count else 0.0
    high = _mean(lambda mean: _up_to(count, mean) <= 0.025)
    return count / time_h, low / time_h, high / time_h


def _mean(enough: Callable[[float], bool]) -> float:
    """The least mean for which that holds, by halving."""
    low, high = 0.0, 1.0
    while not enough(high):
        low, high = high, 2 * high
    for _ in range(60):
        middle = (low + high) / 2
        low, high = (low, middle) if enough(middle) else (middle, high)
    return high


def _up_to(count: int, mean: float) -> float:
    """Probability of at most so many where so many are expected."""
    logs = (place * math.log(mean) - mean - math.lgamma(place + 1) for place in range(count + 1))
    return sum(map(math.exp, logs))


def times(rows: Iterable[Row]) -> dict[str, dict[str, float]]:
    """Median, 95th percentile and count of latency (s) and decoding (ms)."""
    rows = list(rows)
    kinds = {
        "latency_s": [row.latency_s for row in rows if row.latency_s is not None],
        "endpoint_s": [row.endpoint_s for row in rows if row.endpoint_s is not None],
        "decode_ms": [value for row in rows for value in row.decode_ms],
        "decode_cpu_ms": [value for row in rows for value in row.cpu_ms],
    }
    return {
        kind: {
            "median": percentile(values, 50),
            "p95": percentile(values, 95),
            "count": float(len(values)),
        }
        for kind, values in kinds.items()
        if values
    }


def summary(rows: Sequence[Row]) -> dict[str, Any]:
    """The figures of one recognizer in one condition of one part, for the JSON file."""
    wanting = [row for row in rows if row.wanted]
    silent = [row for row in rows if not row.wanted]
    found: dict[str, Any] = {"cases": len(rows), "hours": hours(rows), **times(rows)}
    for outcome, share in shares(wanting).items() if wanting else ():
        low, high = share.interval
        found[outcome] = {"count": share.count, "share": share.value, "low": low, "high": high}
    if silent:
        found["outcomes"] = dict(Counter(row.outcome for row in silent))
        found["accepts"] = sum(row.accepts for row in silent)
        found["accepts_an_hour"] = an_hour(found["accepts"], hours(silent))
    found["causes"] = dict(causes(rows))
    return found

"""Shares with their Wilson intervals, and percentiles."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

NORMAL_95 = 1.959963984540054  # two-sided 95 % point of the normal distribution


@dataclass(frozen=True, slots=True)
class Share:
    """How many of how many.

    Attributes:
        count: 0 to ``of``.
        of: 0 or more.
    """

    count: int
    of: int

    @property
    def value(self) -> float:
        """0 to 1; 0 where there is nothing to count."""
        return self.count / self.of if self.of else 0.0

    @property
    def interval(self) -> tuple[float, float]:
        """The score interval of 95 %, without correction for continuity.

        E. B. Wilson, "Probable inference, the law of succession, and statistical
        inference", J. Am. Stat. Assoc. 22 (1927), 209-212.
        """
        if not self.of:
            return 0.0, 1.0
        z, n, p = NORMAL_95, self.of, self.value
        middle = (p + z * z / (2 * n)) / (1 + z * z / n)
        half = z / (1 + z * z / n) * math.sqrt(p * (1 - p) / n + z * z / (4 * n * n))
        return max(0.0, middle - half), min(1.0, middle + half)

    def __str__(self) -> str:
        """Percent, the interval, the counts."""
        low, high = self.interval
        interval = f"[{100 * low:.1f}, {100 * high:.1f}]"
        return f"{100 * self.value:5.1f} % {interval} ({self.count}/{self.of})"


def percentile(values: Sequence[float], percent: float) -> float:
    """The smallest value that at least ``percent`` of the values do not exceed (nearest rank)."""
    ordered = sorted(values)
    rank = max(1, math.ceil(percent / 100 * len(ordered)))
    return ordered[rank - 1]

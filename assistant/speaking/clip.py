"""A clip: sound ready to be played, with the words that it says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt


@dataclass(frozen=True, slots=True, eq=False)
class Clip:
    """Sound ready to be played.

    Attributes:
        samples: float32, shape (n,), mono, full scale 1.0.
        rate: samples a second, Hz.
        words: what it says, for those who read instead of hearing.
    """

    samples: npt.NDArray[np.float32]
    rate: int
    words: str

    @property
    def seconds(self) -> float:
        """How long it plays, seconds."""
        return len(self.samples) / self.rate

"""From the end of use to the hand-cleaning: within the maker's time, or delayed."""

from __future__ import annotations

from enum import StrEnum

from assistant.procedure.quantity import QuantityError, duration_text
from assistant.trade.measure import seconds
from assistant.trade.worked import Worked


class Course(StrEnum):
    """Which of the maker's instructions apply."""

    ROUTINE = "routine processing"
    DELAYED = "delayed processing"


def course(elapsed_s: int | None, most_s: int) -> Worked[Course]:
    """Routine up to the maker's time and at it, delayed beyond it or where nobody knows.

    Args:
        elapsed_s: seconds since the end of use; None where it is not known.
        most_s: the maker's time, at least 1 s; there is no universal one.

    Raises:
        QuantityError: a time below zero, or no maker's time.
    """
    if most_s < 1:
        raise QuantityError(f"{most_s} s is no time to the cleaning", "give the maker's time")
    if elapsed_s is None:
        line = "time since the end of use not known"
        return Worked(Course.DELAYED, (f"{line}: {Course.DELAYED}",))
    late = seconds(elapsed_s, "a delay") > most_s
    which = Course.DELAYED if late else Course.ROUTINE
    line = f"{duration_text(elapsed_s)} since the end of use, at most {duration_text(most_s)}"
    return Worked(which, (f"{line}: {which}",))

"""The kinds of deviations, of questions that wait for an answer, of dispositions."""

from __future__ import annotations

from enum import StrEnum


class DeviationKind(StrEnum):
    """Ways in which a cleaning departed from its procedure."""

    OVER_TIME = "over_time"
    UNDER_TIME = "under_time"
    SKIPPED = "skipped"
    ANSWERED_NO = "answered_no"
    OVERRIDDEN = "overridden"  # the procedure was expired or not approved
    DELAYED = "delayed"  # not treated at the point of use, or later than the maker allows
    MISSING = "missing"
    DAMAGED = "damaged"
    SINGLE_USE = "single_use"  # found in the container and taken out
    BATH_OUT = "bath_out"  # a soak was running in a bath found out of its window or spoiled
    TEST_FAILED = "test_failed"
    FOUND = "found"  # soil, at an inspection
    ROUNDS_SPENT = "rounds_spent"


# A part with one of these, until it is mended, is passed on to nothing but hold or repair.
BLOCKING = frozenset(DeviationKind) - {
    DeviationKind.OVERRIDDEN,
    DeviationKind.DELAYED,
    DeviationKind.MISSING,
    DeviationKind.SINGLE_USE,
}
# Of those, what a lead may accept with a reason.
ACCEPTABLE = frozenset(
    {
        DeviationKind.OVER_TIME,
        DeviationKind.UNDER_TIME,
        DeviationKind.SKIPPED,
        DeviationKind.ANSWERED_NO,
        DeviationKind.BATH_OUT,
    }
)


class Disposition(StrEnum):
    """Where a part goes from the sink."""

    PACKING = "packing"
    DISINFECTION = "disinfection"
    HOLD = "hold"
    REPAIR = "repair"


class PendingKind(StrEnum):
    """What waits for "affirmative" or "incorrect"."""

    VALUE = "value"
    SKIP = "skip"
    SIGN_OFF = "sign_off"
    ABANDON = "abandon"
    IDENTITY = "identity"
    FAILED = "failed"  # a no that tells that the part failed
    UNKNOWN = "unknown"
    MISSING = "missing"
    DAMAGED = "damaged"
    SINGLE_USE = "single_use"
    OVERRIDE = "override"
    ACCEPT = "accept"
    FRESH_BATH = "fresh_bath"
    CLEAN_AGAIN = "clean_again"
    DISPOSITION = "disposition"
    CONTAINER = "container"

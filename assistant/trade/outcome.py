"""What a test or a reading came to."""

from enum import StrEnum


class Outcome(StrEnum):
    """What a test or a reading came to.

    ``VOID`` is no result: the test was not made as it must be, so it says nothing
    for or against the device and is made again.
    """

    PASS = "pass"  # noqa: S105 - not a password
    ALERT = "alert"
    FAIL = "fail"
    VOID = "void"

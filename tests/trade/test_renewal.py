"""When a bath must be changed; the reasons are common practice, no source."""

from __future__ import annotations

import pytest

from assistant.procedure.quantity import QuantityError, Window, parse
from assistant.trade.renewal import Bounds, Reason, Service, reasons_to_change

# 90 to 120 °F is one detergent's window (common practice, no source).
BOUNDS = Bounds(Window(parse("90 °F"), parse("120 °F")), most_age_s=4 * 3600, most_uses=5)
GOOD = parse("105 °F")


def reasons(service: Service, next_soak_s: int = 0, bounds: Bounds = BOUNDS) -> list[Reason]:
    return [worked.value for worked in reasons_to_change(service, bounds, next_soak_s)]


def test_a_fresh_bath_within_its_window_is_kept() -> None:
    assert reasons(Service(0, 0, GOOD)) == []
    assert reasons(Service(0, 0, None)) == []


def test_a_bath_at_its_most_age_takes_nothing_more() -> None:
    assert reasons(Service(14_399, 0, GOOD)) == []
    assert reasons(Service(14_400, 0, GOOD)) == [Reason.AGE]


def test_a_bath_that_would_get_too_old_in_the_next_soak_is_changed_before_it() -> None:
    assert reasons(Service(13_500, 0, GOOD), next_soak_s=900) == []
    (worked,) = reasons_to_change(Service(13_501, 0, GOOD), BOUNDS, 900)
    assert worked.value is Reason.AGE
    assert worked.steps == ("3 h 45 min 1 s old and 15 min to come, at most 4 h",)


def test_a_bath_that_served_its_most_uses_takes_nothing_more() -> None:
    assert reasons(Service(0, 4, GOOD)) == []
    assert reasons(Service(0, 5, GOOD)) == [Reason.USES]


@pytest.mark.parametrize(
    ("reading", "wanted"),
    [
        ("89.9 °F", [Reason.TEMPERATURE]),
        ("90 °F", []),
        ("120 °F", []),
        ("120.1 °F", [Reason.TEMPERATURE]),
        ("43 °C", []),
    ],
)
def test_a_bath_outside_its_window_is_changed(reading: str, wanted: list[Reason]) -> None:
    assert reasons(Service(0, 0, parse(reading))) == wanted


def test_the_distance_from_the_window_is_said() -> None:
    (worked,) = reasons_to_change(Service(0, 0, parse("85 °F")), BOUNDS)
    assert worked.steps == ("85 °F is 5 °F below 90\N{EN DASH}120 °F",)


def test_every_reason_is_named_at_once() -> None:
    service = Service(99_999, 9, parse("20 °C"), visibly_soiled=True, chemical_carried_in=True)
    assert reasons(service) == list(Reason)


def test_a_label_without_limits_changes_no_bath_by_time_or_uses() -> None:
    assert reasons(Service(10**6, 10**3, GOOD), 10**6, Bounds(BOUNDS.temperature)) == []


def test_impossible_facts_are_refused() -> None:
    with pytest.raises(QuantityError, match="below zero"):
        Service(-1, 0, GOOD)
    with pytest.raises(QuantityError, match="below zero"):
        Service(0, -1, GOOD)
    with pytest.raises(QuantityError, match="most uses of 0"):
        Bounds(BOUNDS.temperature, most_uses=0)
    with pytest.raises(QuantityError, match="below zero"):
        reasons(Service(0, 0, GOOD), -1)
    with pytest.raises(QuantityError):
        reasons(Service(0, 0, parse("5 mL")))


def test_a_bath_may_be_made_for_a_single_use() -> None:
    once = Bounds(BOUNDS.temperature, most_age_s=1, most_uses=1)
    assert reasons(Service(0, 0, GOOD), 1, once) == []
    assert reasons(Service(0, 1, GOOD), 1, once) == [Reason.USES]

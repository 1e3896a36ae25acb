from datetime import UTC, datetime, timedelta

from assistant.station import clock as clock_file
from assistant.station.clock import RealClock, VirtualClock


def test_a_correction_of_the_wall_clock_moves_no_soak(monkeypatch):
    elapsed = iter([100.0, 160.0])
    monkeypatch.setattr(clock_file, "_elapsed_s", lambda: next(elapsed))
    clock = RealClock(wall=datetime(2026, 3, 29, 0, 59, tzinfo=UTC), base_s=100.0)
    first = clock.now()
    # Here the machine's clock is set back an hour; only elapsed time is asked.
    assert clock.now() - first == timedelta(seconds=60)


def test_the_real_clock_goes_on_and_is_aware():
    clock = RealClock()
    first = clock.now()
    assert first.tzinfo is UTC
    assert first <= clock.now() < first + timedelta(seconds=5)


def test_the_virtual_clock_goes_only_forward():
    start = datetime(2026, 3, 2, tzinfo=UTC)
    clock = VirtualClock(start)
    clock.move_to(start + timedelta(hours=1))
    clock.move_to(start)
    assert clock.now() == start + timedelta(hours=1)

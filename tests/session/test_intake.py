"""Taking a device in: identity, delay, count, and what may not be used."""

from dataclasses import replace
from datetime import date

import pytest
from whole import WHOLE, Whole

from assistant.procedure.model import Approval
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.refusal import Refusal
from assistant.session.table import Phase


@pytest.fixture
def whole():
    return Whole()


def test_nothing_goes_on_before_the_protective_equipment_is_on(whole):
    (refused,) = whole.say(Verb.DENY)
    assert (type(refused), refused.reason) == (ev.ValueRefused, "must")
    assert whole.refusal(Verb.NEXT) == Refusal.EXPECTS
    assert whole.present() == "intake.opening"
    whole.say(Verb.AFFIRM)
    assert whole.present() == "intake.identify"


def test_a_scanned_device_is_read_back_and_kept_with_its_serial(whole):
    whole.say(Verb.AFFIRM)
    whole.yes(Verb.SCAN, "]d20109521234543213211234567890")
    (device,) = whole.of(ev.DeviceIdentified)
    assert (device.how, device.item, device.serial) == ("scan", "09521234543213", "1234567890")


def test_a_hospitals_own_tag_identifies_the_device_too(whole):
    # GRAI 07300015200154: GS1's own example, as in trade/test_gs1.py.
    whole.say(Verb.AFFIRM)
    whole.yes(Verb.SCAN, "(8003)07300015200154TRAY9")
    assert whole.of(ev.DeviceIdentified)[0].scheme == "grai"


def test_a_code_of_another_device_and_a_wrong_check_digit_are_refused(whole):
    whole.say(Verb.AFFIRM)
    assert whole.refusal(Verb.SCAN, "(01)51022222233336") == Refusal.UNKNOWN_DEVICE
    assert whole.refusal(Verb.SCAN, "(01)09521234543214") == Refusal.BAD_CODE
    assert whole.refusal(Verb.DEVICE, "another") == Refusal.OTHER_DEVICE
    whole.yes(Verb.DEVICE, "whole")
    assert whole.of(ev.DeviceIdentified)[0].how == "name"


@pytest.mark.parametrize(("minutes", "late"), [("60", False), ("61", True)])
def test_a_device_is_late_only_beyond_the_makers_window(minutes, late):
    whole = Whole()
    whole.take_in(minutes)
    assert whole.state.delayed is late
    assert ("delayed" in whole.deviations()) is late
    whole.make_bath()
    whole.tube_tight()
    assert whole.present() == ("tube.long-soak" if late else "tube.soak")


def test_a_dry_device_and_an_unknown_time_are_late_too(whole):
    whole.say(Verb.AFFIRM)
    whole.yes(Verb.DEVICE, "whole")
    whole.say(Verb.DENY)
    assert whole.state.delayed
    assert whole.present() == "intake.elapsed"
    whole.yes(Verb.UNKNOWN)
    assert whole.present() == "intake.count"


def test_a_missing_part_closes_its_track_and_nobody_waits_for_it(whole):
    whole.say(Verb.AFFIRM)
    whole.yes(Verb.DEVICE, "whole")
    whole.say(Verb.AFFIRM)
    whole.yes(Verb.READING, "5")
    whole.yes(Verb.MISSING, "lens")
    whole.yes(Verb.DAMAGED, "tube.adapter-1")
    whole.yes(Verb.SINGLE_USE, "wipe")
    whole.say(Verb.AFFIRM)
    assert whole.state.absent == {"lens"}
    assert whole.deviations() == ["missing", "damaged", "single_use"]
    assert whole.refusal(Verb.SWITCH, "lens") == Refusal.NOT_HERE


@pytest.mark.parametrize(
    ("approval", "reason"),
    [
        (None, "unapproved"),
        (Approval("x", date(2026, 3, 3), date(2027, 1, 1)), "early"),
        (Approval("x", date(2025, 1, 1), date(2026, 3, 1)), "expired"),
    ],
)
def test_a_procedure_without_a_valid_approval_is_used_only_for_a_reason(approval, reason):
    whole = Whole(replace(WHOLE, approval=approval))
    assert whole.of(ev.ProcedureBarred)[0].reason == reason
    assert whole.refusal(Verb.NEXT) == Refusal.PHASE_BARRED
    whole.say(Verb.OVERRIDE, "supervisor decided")
    whole.say(Verb.DENY)
    assert whole.state.phase is Phase.BARRED
    whole.say(Verb.OVERRIDE, "supervisor decided")
    whole.say(Verb.AFFIRM)
    assert whole.state.phase is Phase.WORKING
    assert whole.deviations() == ["overridden"]
    assert whole.present() == "intake.opening"


def test_a_barred_session_stays_barred_after_an_emergency():
    whole = Whole(replace(WHOLE, approval=None))
    whole.say(Verb.EMERGENCY, "eyes")
    whole.say(Verb.DENY)
    assert whole.state.phase is Phase.BARRED


@pytest.mark.parametrize("last", [date(2026, 3, 2), date(2026, 3, 1)])
def test_the_last_day_of_an_approval_is_good(last):
    approval = Approval("x", date(2026, 1, 1), last)
    barred = Whole(replace(WHOLE, approval=approval)).of(ev.ProcedureBarred)
    assert bool(barred) is (last < date(2026, 3, 2))


def test_a_part_found_missing_while_its_soak_runs_leaves_no_timer():
    led = Whole()
    led.ready()
    led.tube_tight()
    led.say(Verb.START_SOAK)
    led.say(Verb.SWITCH, "intake")
    led.say(Verb.GO_BACK)
    assert led.present() == "intake.count"
    led.yes(Verb.MISSING, "tube")
    assert led.state.running() == ()
    (ended,) = led.of(ev.DwellEnded)[-1:]
    assert (ended.step, ended.counts) == ("tube.soak", False)

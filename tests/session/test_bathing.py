"""Baths: made, measured, mixed, worn out, taken over."""

from dataclasses import replace
from datetime import timedelta

import pytest
from whole import START, WHOLE, Whole

from assistant.procedure.quantity import parse
from assistant.session import event as ev
from assistant.session.command import Verb
from assistant.session.due import next_due
from assistant.session.effect import Explain, Say
from assistant.session.refusal import Refusal


@pytest.fixture
def whole():
    whole = Whole()
    whole.take_in()
    return whole


def to_lens_soak(whole):
    whole.say(Verb.SWITCH, "lens")
    whole.say(Verb.NEXT)


def test_after_the_intake_the_bath_is_in_hand_and_after_the_bath_a_part(whole):
    assert whole.present() == "warm.fill"
    whole.make_bath()
    assert whole.present() == "tube.rinse"


def test_an_expired_detergent_and_a_date_that_is_none_are_refused(whole):
    whole.say(Verb.NEXT)
    whole.yes(Verb.LOT, "A37")
    assert whole.say(Verb.EXPIRY, "260301")[0].reason == "expired"
    assert whole.say(Verb.EXPIRY, "201310")[0].reason == "no_date"
    # Day 00 is the end of its month (GS1 General Specifications): 2026-03-31.
    whole.yes(Verb.EXPIRY, "260300")
    assert whole.state.progress["warm.expiry"].value == "2026-03-31"


def test_a_scanned_detergent_gives_lot_and_expiry_in_one_scan(whole):
    whole.say(Verb.NEXT)
    whole.say(Verb.SCAN, "(01)09521234543213(17)271231(10)LOT9")
    asked = whole.say(Verb.AFFIRM)[-1]
    assert (asked.step, asked.value) == ("warm.expiry", "2027-12-31")
    whole.say(Verb.AFFIRM)
    assert whole.present() == "warm.dose"
    assert whole.state.progress["warm.lot"].value == "LOT9"


def test_a_bath_outside_its_window_is_mended_with_water_of_a_stated_temperature(whole):
    whole.say(Verb.NEXT)
    whole.yes(Verb.LOT, "A37")
    whole.yes(Verb.EXPIRY, "271231")
    whole.say(Verb.NEXT)
    refused, measured = whole.say(Verb.READING, "45")
    assert (refused.reason, measured.within) == ("above", False)
    (mix,) = whole.say(Verb.TAP_WATER, "15")
    # Heat is conserved: 10 L from 45 °C to 35 °C, the middle of the window, by 15 °C
    # water takes 10 * (45 - 35) / (45 - 15) = 3.33 L put in for as much taken out.
    assert (mix.water, mix.after) == ("3.33 L", "35 °C")
    # 1 part of detergent to 200 of water: 3.33 L take 16.7 mL.
    assert mix.dose == "16.7 mL"
    assert mix.working
    assert whole.refusal(Verb.TAP_WATER, "50") == Refusal.NO_MIX
    whole.yes(Verb.READING, "35")
    assert whole.present() == "tube.rinse"


def test_a_temperature_in_fahrenheit_is_judged_in_the_window_of_celsius(whole):
    whole.say(Verb.NEXT)
    whole.yes(Verb.LOT, "A37")
    whole.yes(Verb.EXPIRY, "271231")
    whole.say(Verb.NEXT)
    # 105 °F is 40.6 °C, 100 °F is 37.8 °C.
    assert whole.say(Verb.READING, "105", "°F")[0].reason == "above"
    whole.yes(Verb.READING, "100", "°F")


def test_a_cooling_bath_is_told_how_long_it_lasts_and_doubted_after_that(whole):
    found = next(e for e in whole.make_bath("38") if isinstance(e, ev.BathMeasured))
    # Newton's law: ln(18 / 10) / 0.01 per min = 58.78 min from 38 °C to 30 °C at 20 °C.
    assert found.leaves_s == pytest.approx(3526, abs=1)
    assert found.soak_s == 300
    assert next_due(whole.state) == found.at + timedelta(seconds=found.leaves_s)
    whole.wait(3700)
    assert whole.of(ev.BathDoubtful)
    to_lens_soak(whole)
    assert whole.refusal(Verb.START_SOAK) == Refusal.BATH_DOUBTFUL
    whole.say(Verb.SWITCH, "warm")
    whole.yes(Verb.READING, "36")
    whole.say(Verb.SWITCH, "lens")
    assert isinstance(whole.say(Verb.START_SOAK)[-1], ev.DwellStarted)


def test_a_refused_temperature_tells_nothing_about_how_the_bath_cools(whole):
    whole.say(Verb.NEXT)
    whole.yes(Verb.LOT, "A37")
    whole.yes(Verb.EXPIRY, "271231")
    whole.say(Verb.NEXT)
    whole.say(Verb.READING, "45")
    whole.wait(20)  # cold water was put in, and nobody said so
    found = next(e for e in whole.yes(Verb.READING, "35") if isinstance(e, ev.BathMeasured))
    # Newton's law at the stated rate: ln(15 / 10) / 0.01 per min = 40.5 min.
    assert found.leaves_s == pytest.approx(2432, abs=1)


def test_a_soak_that_outlasts_the_baths_warmth_is_refused(whole):
    whole.make_bath("31")  # ln(11 / 10) / 0.01 per min = 9.5 min
    to_lens_soak(whole)
    whole.wait(9 * 60)
    assert whole.refusal(Verb.START_SOAK) == Refusal.BATH_COOLS


def test_a_bath_is_changed_by_its_age(whole):
    whole.make_bath()
    whole.wait(3000)
    whole.say(Verb.SWITCH, "warm")
    whole.yes(Verb.READING, "38")
    whole.wait(2 * 3600 - 3000 - 100)
    whole.yes(Verb.READING, "38")
    to_lens_soak(whole)
    assert whole.refusal(Verb.START_SOAK) == Refusal.BATH_AGE


def test_a_bath_is_changed_by_its_uses_and_the_part_it_serves_is_no_further_use():
    bath = replace(WHOLE.baths[0], most_uses=1)
    whole = Whole(replace(WHOLE, baths=(bath,)))
    whole.ready()
    whole.tube_tight()
    whole.say(Verb.START_SOAK)
    whole.wait(300)
    whole.say(Verb.NEXT)
    whole.say(Verb.PASS, "clean")
    assert [use.component for use in whole.of(ev.BathUsed)] == ["tube"]
    to_lens_soak(whole)
    assert whole.refusal(Verb.START_SOAK) == Refusal.BATH_USES


@pytest.mark.parametrize(
    ("what", "reason"), [("soil", Refusal.BATH_SOILED), ("chemical", Refusal.BATH_CARRIED_IN)]
)
def test_a_spoiled_bath_takes_no_further_part_until_it_is_fresh(whole, what, reason):
    whole.make_bath()
    to_lens_soak(whole)
    whole.say(Verb.SPOIL, what)
    assert whole.refusal(Verb.START_SOAK) == reason
    whole.yes(Verb.FRESH_BATH)
    assert whole.present() == "warm.fill"
    assert "warm" not in whole.state.baths
    whole.say(Verb.SWITCH, "lens")
    # The lens stood ready before the bath was given up: there is none to lie in now.
    assert whole.refusal(Verb.START_SOAK) == Refusal.BATH_DOUBTFUL
    whole.say(Verb.SWITCH, "warm")
    whole.make_bath()
    whole.say(Verb.SWITCH, "lens")
    assert isinstance(whole.say(Verb.START_SOAK)[-1], ev.DwellStarted)


def test_a_bath_is_not_given_up_while_a_part_lies_in_it(whole):
    whole.make_bath()
    to_lens_soak(whole)
    whole.say(Verb.START_SOAK)
    assert whole.refusal(Verb.FRESH_BATH) == Refusal.BATH_IN_USE
    whole.say(Verb.SPOIL, "soil")
    assert whole.deviations() == ["bath_out"]


def test_a_soak_before_the_first_rinse_is_refused_with_the_reason(whole):
    whole.make_bath()
    assert whole.refusal(Verb.START_SOAK) == Refusal.FIRST_RINSE


def stood(minutes, uses=1):
    made = START - timedelta(minutes=minutes)
    return ev.BathStood(START, "warm", "s0", made, uses, "A37", "2027-12-31")


def test_a_standing_bath_is_taken_over_with_its_age_and_uses_and_measured_anew():
    whole = Whole(standing=(stood(30),))
    whole.take_in()
    whole.say(Verb.KEEP_BATH)
    assert whole.present() == "warm.temperature"
    whole.yes(Verb.READING, "38")
    now = whole.state.baths["warm"]
    assert (now.uses, now.lot) == (1, "A37")
    assert now.made_at == START - timedelta(minutes=30)


def test_a_standing_bath_that_is_too_old_is_not_taken_over():
    whole = Whole(standing=(stood(130),))
    whole.take_in()
    assert whole.refusal(Verb.KEEP_BATH) == Refusal.NOT_STANDING
    assert Whole().refusal(Verb.KEEP_BATH) == Refusal.NOT_STANDING


def refused_at(degrees, *taps):
    """What came of a first temperature outside the window, at a station with those taps."""
    whole = Whole(replace(WHOLE, tap=tuple(parse(tap) for tap in taps)))
    whole.take_in()
    whole.say(Verb.NEXT)
    whole.yes(Verb.LOT, "A37")
    whole.yes(Verb.EXPIRY, "271231")
    whole.say(Verb.NEXT)
    heard = len(whole.effects)
    events = whole.say(Verb.READING, degrees)
    told = [p.key for e in whole.effects[heard:] if isinstance(e, Say) for p in e.prompts]
    return events, told, [e for e in whole.effects[heard:] if isinstance(e, Explain)]


@pytest.mark.parametrize(
    ("degrees", "tap", "water"),
    [
        # Heat is conserved: 10 L at 45 °C reach 35 °C, the middle of the window, with
        # 10 * (45 - 35) / (45 - 12) = 3.03 L of 12 °C put in for as much taken out;
        # at 25 °C with 10 * (35 - 25) / (55 - 25) = 3.33 L of 55 °C.
        ("45", "12 °C", "3.03 L"),
        ("25", "55 °C", "3.33 L"),
    ],
)
def test_with_a_station_the_water_that_mends_a_bath_is_told_at_once(degrees, tap, water):
    (refused, measured, mix), told, explained = refused_at(degrees, "12 °C", "55 °C")
    assert (refused.value, measured.within) == (degrees, False)
    assert (mix.tap, mix.water, mix.after) == (tap, water, "35 °C")
    assert "bath_mix" in told
    assert "bath_tap" not in told
    assert f"the station's tap gives water of {tap}" in mix.working
    assert any(mix.working == explain.lines for explain in explained)


def test_a_tap_that_cannot_mend_the_bath_is_measured_and_told_as_without_a_station():
    for taps in ((), ("12 °C",)):
        events, told, _ = refused_at("25", *taps)
        assert not [event for event in events if isinstance(event, ev.MixAdvised)]
        assert "bath_tap" in told


def test_a_bath_mended_by_the_stations_water_cools_as_if_freshly_measured():
    whole = Whole(replace(WHOLE, tap=(parse("12 °C"),)))
    whole.take_in()
    whole.make_bath("38")
    whole.say(Verb.SWITCH, "warm")
    whole.say(Verb.READING, "45")
    assert whole.state.baths["warm"].mixed
    whole.yes(Verb.READING, "35")
    # What was read before the water went in tells nothing about how the bath cools.
    assert [reading.value for reading in whole.state.baths["warm"].readings] == ["35"]


def test_a_temperature_outside_is_read_back_while_something_soaks():
    """One misheard number must not spoil what soaks."""
    led = Whole()
    led.ready()
    led.tube_tight()
    led.say(Verb.START_SOAK)
    led.say(Verb.SWITCH, "warm")
    (asked,) = led.say(Verb.READING, "50")
    assert isinstance(asked, ev.ConfirmationAsked)
    led.say(Verb.DENY)
    assert led.deviations() == []
    assert led.state.baths["warm"].within is True
    refused, *_ = led.yes(Verb.READING, "50")
    assert (refused.value, refused.reason) == ("50", "above")
    assert led.deviations() == ["bath_out"]
    assert led.state.baths["warm"].within is False
    assert led.state.pending is None
    led.yes(Verb.READING, "38")
    assert led.state.baths["warm"].within is True

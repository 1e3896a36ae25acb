"""Where a session is led: the station found, its text kept in the record and applied again."""

from dataclasses import replace

import pytest
from kit import Kit, cues

from assistant.procedure.finding import SheetError
from assistant.procedure.model import BayTask, TestTask, WaterJudge
from assistant.record import codec
from assistant.record.review import told
from assistant.record.store import Store
from assistant.session.event import SessionOpened
from assistant.session.instruction import instruction
from assistant.speaking.line import line
from assistant.station import assemble, sink

# Up to the first part of the short cleaning, at a station with one bay.
TO_BATH = (
    "affirmative",
    "next",
    "next",
    "next",
    "switch to the insert",
    "next",
    "next",
    "switch to the detergent bath",
)


# The bath made there, and the session given up.
BATH_LEFT = (
    *TO_BATH,
    "next",
    "next",
    "lot number alfa three seven",
    "affirmative",
    "expiry date two eight oh three three one",
    "affirmative",
    "next",
    "value thirty five",
    "affirmative",
    "abandon this cleaning",
    "affirmative",
)


@pytest.fixture
def usual(tmp_path, monkeypatch):
    path = tmp_path / "config" / "station.yaml"
    path.parent.mkdir()
    monkeypatch.setattr(sink, "usual", lambda: path)
    return path


@pytest.fixture
def placed(kit):
    """A kit whose sessions are led at the demo sink with one bay."""
    where = sink.read(sink.find("demo-one-bay"))
    return Kit(kit.path, kit.store, plan=assemble.plan("demo-short", "en", (), station=where))


def opened(kit, course):
    first = codec.events(kit.store.entries(course.journal.session))[0]
    assert isinstance(first, SessionOpened)
    return first


def bays(procedure):
    return [s.id for c in procedure.components for s in c.steps if isinstance(s.task, BayTask)]


def test_a_station_is_found_by_file_by_name_or_where_the_user_keeps_it(usual, tmp_path):
    file = tmp_path / "mine.yaml"
    assert sink.find(str(file)) == file
    assert sink.find("demo-two-bays").stem == "demo-two-bays"
    with pytest.raises(sink.StationUnknownError, match="demo-one-bay, demo-three-bays"):
        sink.find("demo-nine-bays")
    with pytest.raises(sink.StationMissingError, match=str(usual)):
        sink.find(None)
    usual.write_text(sink.example(), encoding="utf-8")
    assert sink.find(None) == usual


def test_a_session_takes_the_usual_station_where_there_is_one_and_none_where_it_is_said_so(usual):
    assert sink.chosen(None) is None
    usual.write_text(sink.example(), encoding="utf-8")
    assert sink.chosen(None).station.name == "demo sink with two bays"
    assert sink.chosen("none") is None
    assert sink.chosen("demo-one-bay").station.name == "demo sink with one bay"


def test_the_example_is_a_station_that_uses_every_key():
    station = sink.reread(sink.example(), "example").station
    told_of = (station.measured_in, station.room, station.cooling_per_min, station.water_table)
    assert all(value is not None for value in told_of)
    assert station.meters
    assert station.taps[0].hot


def test_the_record_holds_the_stations_exact_text_and_tells_its_name(placed):
    course = placed.begin()
    first = opened(placed, course)
    text = sink.find("demo-one-bay").read_text(encoding="utf-8")
    assert first.station_text == text
    (row,) = [row for row in told([first]) if row[1] == "opened"]
    assert "at demo sink with one bay" in row[2]


def test_without_a_station_the_record_holds_none(kit):
    first = opened(kit, kit.begin())
    assert (first.station_text, first.station) == ("", "")
    assert ", at " not in next(iter(told([first])))[2]


def test_a_session_goes_on_with_the_same_steps_at_the_same_station(placed):
    course = placed.follow(*TO_BATH)
    session, state = course.journal.session, course.journal.state
    assert bays(placed.plan.procedure)
    assert state.bays["the bay"].soil == 0
    placed.store.close()
    with Store.open(placed.path, write=True) as store:
        plan = assemble.recorded_plan(session, store)
        assert plan.procedure == placed.plan.procedure
        again = Kit(placed.path, store, clock=placed.clock, plan=plan)
        resumed = assemble.resumed(session, plan, store, placed.clock, again.rows.append)
        assert resumed.journal.state.bays == state.bays
        said = [line.shown for line in resumed.queue]
        assert 'Wipe the bay. Then say "next".' in said
        again.rehearsal(resumed).follow(cues("next", "next"))
        assert resumed.journal.state.bays["the bay"].content == "detergent"


def test_a_recorded_station_that_no_longer_reads_is_told_with_its_session(placed, monkeypatch):
    first = opened(placed, placed.begin())
    broken = replace(first, station_text=first.station_text.replace("volume: 50 L", "volume: 50"))
    monkeypatch.setattr(assemble.codec, "events", lambda _entries: (broken,))
    with pytest.raises(SheetError, match=rf"session {first.session}, station:8:13: .*has no unit"):
        assemble.recorded_plan(first.session, placed.store)


def test_a_session_whose_steps_would_stand_elsewhere_is_not_gone_on_with(placed, monkeypatch):
    course = placed.follow("affirmative", "next", "next")
    first = opened(placed, course)
    events = codec.events(placed.store.entries(first.session))
    # As if this program laid the same station out otherwise.
    elsewhere = (replace(first, station_text=sink.example()), *events[1:])
    monkeypatch.setattr(assemble.codec, "events", lambda _entries: elsewhere)
    with pytest.raises(assemble.StepsDifferError, match='was at the step "shaft'):
        assemble.recorded_plan(first.session, placed.store)


def test_a_procedure_that_cannot_be_done_there_says_why_before_anything_is_recorded(kit):
    text = "name: bare sink\nbays: [{name: bay one}]\ntaps: [{water: utility}]\n"
    bare = sink.reread(text, "bare.yaml")
    with pytest.raises(sink.StationImpossibleError) as caught:
        assemble.plan("demo-short", "en", (), station=bare)
    told_why = str(caught.value)
    assert "takes treated water, and the station has no tap for it" in told_why
    assert "bare sink (bare.yaml)" in told_why
    assert kit.store.sessions() == []


def test_only_the_chosen_parts_are_laid_out():
    where = sink.read(sink.find("demo-one-bay"))
    whole = assemble.plan("demo-short", "en", (), station=where).procedure
    some = assemble.plan("demo-short", "en", ("shaft",), station=where).procedure
    assert "insert.first-rinse-bay" in bays(whole)
    assert bays(some) == ["detergent.fill-bay", "shaft.first-rinse-bay"]
    needs = {need for c in some.components for step in c.steps for need in step.needs}
    assert not [need for need in needs if need.startswith("insert")]


def test_a_bath_of_an_earlier_session_stands_in_its_bay_until_that_is_used_again(placed):
    course = placed.follow(*BATH_LEFT)
    assert course.journal.state.closed
    found = placed.begin().journal.state
    assert found.standing["detergent"].bay == "the bay"
    assert found.bays["the bay"].content == "spent bath"
    # The second session rinses in that bay: the bath is gone for a third one.
    course = placed.follow("affirmative", "next", "next")
    assert not course.journal.state.standing
    placed.rehearsal(course).follow(cues("next", "abandon this cleaning", "affirmative"))
    assert placed.begin().journal.state.standing == {}


def test_a_bath_at_another_station_is_not_offered(placed):
    placed.follow(*BATH_LEFT)
    text = sink.find("demo-one-bay").read_text(encoding="utf-8").replace("one bay", "another bay")
    other = sink.reread(text, "other.yaml")
    there = replace(placed, plan=assemble.plan("demo-short", "en", (), station=other))
    assert not there.begin().journal.state.standing
    assert placed.begin().journal.state.standing


def test_a_limit_of_the_station_is_told_where_its_value_is_asked_for():
    # AAMI TIR34:2014: critical water, conductivity below 10 µS/cm; the demo table says so too.
    where = sink.read(sink.find("demo-two-bays"))
    led = assemble.plan("demo-eye", "en", (), station=where)
    alone = assemble.plan("demo-eye", "en", ())
    told_at, told_alone = (
        line(plan.pack, instruction(step)).shown
        for plan in (led, alone)
        for part in plan.procedure.components
        for step in part.steps
        if isinstance(step.task, TestTask) and isinstance(step.task.judge, WaterJudge)
    )
    assert "It must be less than 10 µS/cm." in told_at
    assert "must be" not in told_alone

"""The device is scanned or named before any session; what was chosen is read back in it."""

from __future__ import annotations

import itertools
import queue
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from kit import MEANS, START, Kit, cues

from assistant.grammar import pack as packs
from assistant.record import codec
from assistant.session.event import DeviceIdentified, SessionOpened
from assistant.session.table import Phase
from assistant.speaking.voice import PrintedVoice
from assistant.station import assemble
from assistant.station.clock import VirtualClock
from assistant.station.course import Course
from assistant.station.ear import Ear
from assistant.station.loop import Loop, Over, Typed
from assistant.station.mouth import PrintedMouth
from assistant.station.opening import Sheet, read, shipped
from assistant.station.reception import Reception, devices
from assistant.station.rehearsal import Rehearsal

PACK = packs.load("en")
SHEETS = tuple(read(path) for path in shipped())
# GTINs begin with 952, which GS1 keeps for demonstrations (GS1 General Specifications).
GRASPER = "(01)09520000100018"


class Desk:
    """A reception on a virtual clock, and what it said."""

    def __init__(self, sheets=SHEETS):
        self.rows = []
        self.clock = VirtualClock(START)
        self.reception = Reception(sheets)
        self.ear = Ear(devices(PACK, sheets))
        self.course = Course(self.reception, PACK, self.clock, self.rows.append)
        self.course.perform(self.reception.begin())
        self.rehearsal = Rehearsal(self.course, self.clock, PrintedVoice(), self.ear)

    def follow(self, *lines):
        self.rehearsal.follow(cues(*lines))
        return self.reception.received

    def said(self):
        return [row.text for row in self.rows if row.kind == "said"]


def received(*lines, sheets=SHEETS):
    return Desk(sheets).follow(*lines)


@pytest.mark.parametrize(
    ("scan", "procedure"),
    [
        (GRASPER, "demo-grasper"),
        ("0109520000100018", "demo-grasper"),
        ("]d20109520000100018", "demo-grasper"),
        ("]C10109520000100018\x1d21A7", "demo-grasper"),
        ("9520000100018", "demo-grasper"),
        ("(8004)9520000BRONCHO07", "demo-bronchoscope"),
        ("(8003)09520000200053", "demo-suction-set"),
        ("+A999EYE1000C", "demo-eye"),
        ("sinkside:procedure:demo-eye:1", "demo-eye"),
    ],
)
def test_a_scanned_code_chooses_its_procedure(scan, procedure):
    assert received(f"scan {scan}").sheet.procedure.id == procedure


def test_a_name_chooses_its_procedure():
    found = received("identify it as grasper")
    assert found.sheet.procedure.id == "demo-grasper"
    assert found.told == "laparoscopic grasper"


@pytest.mark.parametrize(
    ("scan", "why"),
    [
        ("(01)09520000999995", "belongs to no procedure here"),
        ("(01)09520000100017", "its digits give 8"),
        ("what1", "is no code"),
        ("sinkside:procedure:demo-nothing:1", "belongs to no procedure here"),
        ("sinkside:procedure:demo-grasper:1", "revision 2 is in force"),
        ("sinkside:session:20260302-080000-abcd:jaw", "part's label"),
        ("sinkside:procedure", "damaged"),
    ],
)
def test_a_code_of_no_use_is_told_and_the_devices_are_listed(scan, why):
    desk = Desk()
    assert desk.follow(f"scan {scan}") is None
    assert not desk.reception.closed
    *_, told, listed = desk.said()
    assert why in told
    for sheet in SHEETS:
        assert sheet.procedure.title in listed


def test_what_has_nothing_to_do_with_a_device_is_put_off():
    desk = Desk()
    desk.follow("start soak")
    assert desk.said()[-2:] == ["First the device.", desk.said()[0]]


def test_two_utterances_that_are_not_understood_bring_the_list():
    desk = Desk()
    desk.follow("good morning", "good evening")
    assert desk.said()[-1].startswith("You may scan a code")
    assert desk.follow("list the commands", "say again") is None
    assert desk.said()[-1] == desk.said()[-2]


def test_nobody_is_kept_at_the_reception():
    desk = Desk()
    assert desk.follow("abandon this cleaning") is None
    assert desk.reception.closed
    assert desk.said()[-1] == "Nothing was begun."


def test_a_splash_is_flushed_for_its_time_before_any_session():
    # ANSI/ISEA Z358.1: 15 min.
    desk = Desk()
    desk.follow("splash in the eyes", "carry on", "wait 15 min", "carry on")
    said = desk.said()
    assert any("flush for 15 min" in text for text in said)
    assert any(text.startswith("Keep flushing: 14 min") for text in said)
    assert "Flushed long enough. You may stop. Seek medical care now." in said
    assert said[-2].startswith("Going on with the work.")
    desk.follow("sharps injury", "incorrect")
    assert desk.said()[-1] == said[0]


def revision(sheet, text, approval=None):
    procedure = replace(sheet.procedure, revision=text, approval=approval)
    return Sheet(f"{text}.yaml", sheet.text, procedure)


def test_of_several_revisions_the_one_in_force_is_taken():
    grasper = next(sheet for sheet in SHEETS if sheet.procedure.id == "demo-grasper")
    approval = grasper.procedure.approval
    old = replace(approval, until=date(2026, 1, 31))
    newer = replace(approval, on=date(2026, 2, 1))
    early = replace(approval, on=date(2026, 12, 1))
    sheets = [
        revision(grasper, "4", early),
        revision(grasper, "3", newer),
        revision(grasper, "1", old),
        revision(grasper, "2", approval),
        revision(grasper, "5"),
    ]
    for order in itertools.permutations(sheets):
        assert received(f"scan {GRASPER}", sheets=order).sheet.procedure.revision == "3"


def test_a_code_of_two_devices_is_settled_by_name():
    first, second = (s for s in SHEETS if s.procedure.id in ("demo-grasper", "demo-eye"))
    same = replace(second.procedure, codes=first.procedure.codes)
    sheets = (first, replace(second, procedure=same))
    code = "+A999EYE1000C" if first.procedure.id == "demo-eye" else GRASPER
    desk = Desk(sheets)
    desk.follow(f"scan {code}")
    assert any(text.startswith("This fits several devices") for text in desk.said())
    assert desk.follow(f"identify it as {same.title}").sheet.procedure.id == same.id


def session(kit: Kit, found, *lines):
    plan = assemble.plan(found.sheet.source, "en", ())
    kit.plan = replace(plan, received=found.code, received_as=found.told)
    course = assemble.begin(kit.plan, kit.store, kit.clock, kit.rows.append, MEANS)
    kit.rehearsal(course).follow(cues(*lines))
    return course


def test_the_code_is_read_back_in_the_session_and_recorded_once_affirmed(kit):
    code = f"{GRASPER}(17)300131(10)A5_%"
    course = session(kit, received(f"scan {code}"), "affirmative", "affirmative")
    said = kit.texts("said")
    read_back = next(text for text in said if text.startswith("Received:"))
    assert "item: 09520000100018, lot: A5_%, good until: 2030-01-31." in read_back
    assert "The device is identified." in said
    events = codec.events(kit.store.entries(course.journal.session))
    opened = next(event for event in events if isinstance(event, SessionOpened))
    assert opened.received == code
    (known,) = (event for event in events if isinstance(event, DeviceIdentified))
    assert (known.lot, known.expires_on, known.code) == ("A5_%", "2030-01-31", code)


def test_another_device_than_received_is_refused_or_scanned_instead(kit):
    course = session(
        kit, received("identify it as grasper"), "affirmative", "incorrect", f"scan {GRASPER}"
    )
    assert any("begin anew" in text for text in kit.texts("said"))
    assert course.journal.state.phase is Phase.CONFIRMING


def test_after_a_card_the_device_is_still_to_be_identified(kit):
    session(kit, received("scan sinkside:procedure:demo-grasper:2"), "affirmative")
    assert kit.texts("said")[-1].startswith("Look for the code on the device")


def test_lines_typed_ahead_go_to_the_session():
    desk = Desk()
    inbox: queue.Queue = queue.Queue()
    for text in ("identify it as grasper", "affirmative", "next"):
        inbox.put(Typed(text))
    inbox.put(Over())
    loop = Loop(desk.course, PrintedMouth(), desk.ear, inbox)
    loop.run()
    kept = [*loop.early, *iter_queue(inbox)]
    assert kept == [Typed("affirmative"), Typed("next"), Over()]


def iter_queue(inbox):
    while not inbox.empty():
        yield inbox.get()


def test_every_shipped_device_can_be_named_at_the_reception():
    known = devices(PACK, SHEETS)
    for sheet in SHEETS:
        for name in (sheet.procedure.title, *sheet.procedure.also):
            found = received(f"identify it as {name}")
            assert found.sheet.procedure.id == sheet.procedure.id
    assert Path(SHEETS[0].source).is_file()
    assert set(known.devices.values()) == {sheet.procedure.id for sheet in SHEETS}

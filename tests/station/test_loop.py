"""The live loop with a mouth that talks for as long as the test lets it."""

import queue
import threading
from datetime import timedelta

import pytest
from kit import TO_SOAKS, cues

from assistant.session.command import Command, Said, Source, Verb
from assistant.session.table import Phase
from assistant.station import loop as loop_file
from assistant.station.clock import RealClock
from assistant.station.ear import Ear
from assistant.station.loop import TAIL_S, Loop, Over, Trouble
from assistant.station.mouth import LineEnded, PrintedMouth


class HeldMouth:
    """Says a line until it is told to end it."""

    def __init__(self, tell):
        self.tell = tell
        self.lines = []
        self.tones = []
        self.stopped = 0

    def speak(self, line):
        self.lines.append(line)
        return False

    def end(self, *, to_the_end=True, fault=""):
        self.tell(LineEnded(self.lines[-1], to_the_end, fault))

    def sound(self, tone):
        self.tones.append(tone)

    def stop(self):
        self.stopped += 1
        self.end(to_the_end=False)

    def close(self):
        pass


@pytest.fixture
def loop(kit):
    course = kit.begin()
    inbox = queue.Queue()
    mouth = HeldMouth(inbox.put)
    return Loop(course, mouth, Ear(kit.plan.interpreter), inbox)


def step(loop):
    """One turn: speak, then take one message."""
    loop._speak()
    loop._take(loop.inbox.get_nowait())


def voice(loop, verb, at=None):
    at = loop.course.clock.now() if at is None else at
    return Said(Command(verb), str(verb), at, Source.VOICE)


def wired(loop):
    loop.course.cut = loop.mouth.stop
    loop.course.sound = loop.mouth.sound
    loop._speak()


def test_one_line_is_said_at_a_time(loop):
    wired(loop)
    loop._speak()
    assert len(loop.mouth.lines) == 1
    loop.mouth.end()
    step(loop)
    loop._speak()
    assert len(loop.mouth.lines) == 2


def test_while_the_tool_speaks_its_own_words_do_not_act(loop, kit):
    wired(loop)
    kit.clock.move_to(kit.clock.now() + timedelta(seconds=1))
    loop.inbox.put(voice(loop, Verb.NEXT))
    step(loop)
    assert kit.texts("muted") == ['"next"']
    assert kit.texts("heard") == []


def test_what_began_during_the_echo_is_muted_and_what_began_after_it_is_not(loop, kit):
    wired(loop)
    kit.clock.move_to(kit.clock.now() + timedelta(seconds=1))
    loop.mouth.end()
    step(loop)
    loop.course.queue.clear()
    ended = kit.clock.now()
    kit.clock.move_to(ended + timedelta(seconds=2))
    loop.inbox.put(voice(loop, Verb.HOW_LONG, ended + timedelta(seconds=TAIL_S / 2)))
    step(loop)
    assert kit.texts("muted") == ['"how_long"']
    loop.inbox.put(voice(loop, Verb.HOW_LONG, ended + timedelta(seconds=TAIL_S)))
    step(loop)
    assert kit.texts("heard") == ['"how_long"']


def test_a_late_result_of_muted_sound_does_not_act(loop, kit):
    wired(loop)
    during = kit.clock.now() + timedelta(seconds=0.5)
    kit.clock.move_to(during + timedelta(seconds=1))
    loop.mouth.end()
    step(loop)
    loop.course.queue.clear()
    kit.clock.move_to(during + timedelta(seconds=10))
    loop.inbox.put(voice(loop, Verb.NEXT, during))
    step(loop)
    assert kit.texts("muted") == ['"next"']


def test_stop_talking_acts_while_the_tool_speaks_and_cuts_it_off(loop, kit):
    wired(loop)
    kit.clock.move_to(kit.clock.now() + timedelta(seconds=1))
    loop.inbox.put(voice(loop, Verb.HUSH))
    step(loop)
    assert loop.mouth.stopped == 1
    assert not loop.course.queue
    step(loop)
    assert "cut off" in [row.kind for row in kit.rows]


def test_typed_words_act_while_the_tool_speaks(loop, kit):
    wired(loop)
    kit.clock.move_to(kit.clock.now() + timedelta(seconds=1))
    loop.inbox.put(Said(Command(Verb.HOW_LONG), "how long", kit.clock.now(), Source.KEYS))
    step(loop)
    assert kit.texts("heard") == ['"how long"']


def test_a_line_that_could_not_be_sounded_is_a_fault_and_was_not_heard(loop, kit):
    wired(loop)
    loop.mouth.end(to_the_end=False, fault="the loudspeaker is gone")
    step(loop)
    assert kit.texts("fault") == ["the loudspeaker is gone"]
    assert kit.texts("cut off")


def test_trouble_of_a_source_is_shown(loop, kit):
    wired(loop)
    loop.inbox.put(Trouble("the microphone is gone"))
    step(loop)
    assert kit.texts("fault") == ["the microphone is gone"]


def test_the_loop_ends_when_its_sources_have_ended_and_all_is_said(kit):
    course = kit.begin()
    inbox = queue.Queue()
    loop = Loop(course, PrintedMouth(), Ear(kit.plan.interpreter), inbox)
    inbox.put(Over())
    worker = threading.Thread(target=loop.run)
    worker.start()
    worker.join(timeout=5)
    assert not worker.is_alive()
    assert len(kit.texts("said")) == 4


def test_a_script_is_followed_on_the_real_clock(kit):
    kit.clock = RealClock()
    course = kit.begin()
    inbox = queue.Queue()
    script = cues("next", "wait 1 s", "abandon this cleaning", "affirmative")
    ear = Ear(kit.plan.interpreter)
    loop = Loop(course, PrintedMouth(), ear, inbox, sources=0, cues=iter(script))
    begun = kit.clock.now()
    loop.run()
    assert course.journal.state.phase is Phase.ABANDONED
    assert (kit.clock.now() - begun).total_seconds() >= 1


def test_a_timer_ends_while_nobody_says_anything(kit, monkeypatch):
    monkeypatch.setattr(loop_file, "_LONGEST_WAIT_S", 0.01)
    course = kit.follow(*TO_SOAKS)
    inbox = queue.Queue()
    loop = Loop(course, PrintedMouth(), Ear(kit.plan.interpreter), inbox)
    kit.rows.clear()
    kit.clock.move_to(kit.clock.now() + timedelta(minutes=4))
    timer = threading.Timer(0.3, inbox.put, [Over()])
    timer.start()
    loop.run()
    assert any("soaked long enough" in text for text in kit.texts("said"))

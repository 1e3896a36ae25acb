"""A new user types only what the assistant itself has said may be said, and gets to the end.

Phrases are those in quotation marks of what was just said.  Figures come from the same
sentences ("90-120 °F"), lots and containers are made up, as a label would have them.
"""

from __future__ import annotations

import re

import pytest
from kit import Kit, cues

from assistant.session.event import DeviationKind
from assistant.station import assemble, sink
from assistant.station.opening import shipped

MOST_TURNS = 400
PHRASE = re.compile(r'"([^"]+)"((?: and [^".,?:]+)?)')
NUMBER = r"([0-9]+(?:\.[0-9]+)?)"
FROM_TO = re.compile(NUMBER + r"\s?[^\s0-9]*\s?[\u2013-]\s?" + NUMBER)
AT_LEAST = re.compile(r"at least " + NUMBER)
BELOW = re.compile(r"(?:below|less than|at most) " + NUMBER)
LEFT = re.compile(r"(?:([0-9]+) h )?(?:([0-9]+) min )?(?:([0-9]+) s )?left")
# Nothing went wrong in this cleaning, so what tells that something did is not said; nor is
# what leads back, out, or nowhere.
NOT_NOW = re.compile(
    "incorrect|one step back|say again|quiet please|stand by|abandon this cleaning|splash .*"
    "|sharps injury|nobody sent the|came with damage|single use|time unknown|use the standing bath"
    "|soil in the bath|chemical in the bath|draw a fresh bath|brush came out soiled"
    "|report a problem|skip this step because|current step|what is soaking|tap water"
)
# Asked where nothing is offered, once they were heard of, in this order of preference.
QUESTIONS = ("how long", "best plan", "list the commands")


class NewUser:
    """Knows nothing but what was said."""

    def __init__(self, kit: Kit, title: str) -> None:
        self.kit, self.title = kit, title
        self.course = kit.begin()
        self.rehearsal = kit.rehearsal(self.course)
        self.rehearsal.settle()
        self.seen = 0
        self.codes = 0
        self.last = "10"
        self.known: list[tuple[str, str]] = []
        self.tried: set[str] = set()
        self.typed: list[str] = []
        self.questions: set[str] = set()
        self.idle = 0

    def work(self) -> None:
        while not self.course.journal.closed:
            assert len(self.typed) < MOST_TURNS, self.typed[-20:]
            self.listen()
            said = self.choose()
            self.typed.append(said)
            self.rehearsal.follow(cues(said))

    def listen(self) -> None:
        """Take in what was said; what it offers replaces what was offered before."""
        lines = [row.text for row in self.kit.rows[self.seen :] if row.kind == "said"]
        self.seen = len(self.kit.rows)
        self.heard = " ".join(lines)
        offered = [(m[1], f"{m[2]} {text}") for text in lines for m in PHRASE.finditer(text)]
        self.questions |= {said for said, _ in offered if said in QUESTIONS}
        new = [(said, text) for said, text in offered if said not in QUESTIONS]
        if any(not NOT_NOW.fullmatch(said) for said, _ in new):
            self.known, self.tried, self.idle = new, set(), 0

    def choose(self) -> str:
        """The first phrase that was offered and leads on; else wait, else ask."""
        for said, text in self.known:
            if said not in self.tried and not NOT_NOW.fullmatch(said):
                if not said.startswith(("brush", "syringe")):  # those are said several times
                    self.tried.add(said)
                return self.whole(said, text)
        left = LEFT.search(self.heard)
        if left is not None and any(left.groups()):
            hours, minutes, seconds = (int(part or 0) for part in left.groups())
            return f"wait {hours * 3600 + minutes * 60 + seconds + 1} s"
        asked = [said for said in QUESTIONS if said in self.questions]
        self.idle += 1
        return asked[(self.idle - 1) % len(asked)]

    def whole(self, said: str, text: str) -> str:
        """The phrase with what belongs after it."""
        match said:
            case "value":
                return f"value {self.figure(text)}"
            case "lot number":
                self.codes += 1
                return f"lot number alfa bravo {self.codes:02}"
            case "container":
                self.codes += 1
                return f"container kilo {self.codes}"
            case "expiry date":
                return "expiry date 341231"
            case "identify it as":
                return f"identify it as {self.title}"
        return said

    def figure(self, text: str) -> str:
        """A number that the sentence allows; what was measured last, where it names none."""
        if (found := FROM_TO.search(text)) is not None:
            self.last = f"{(float(found[1]) + float(found[2])) / 2:g}"
        elif (found := AT_LEAST.search(text)) is not None:
            self.last = found[1]
        elif (found := BELOW.search(text)) is not None:
            self.last = f"{float(found[1]) / 2:g}"
        return self.last


@pytest.mark.parametrize("station", ["none", "demo-one-bay", "demo-two-bays"])
@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_a_new_user_gets_to_the_end_by_what_is_said_alone(kit, path, station):
    kit.plan = assemble.plan(path.stem, "en", (), station=sink.chosen(station))
    user = NewUser(kit, kit.plan.procedure.title)
    user.work()
    state = user.course.journal.state
    assert kit.texts("said")[-1].startswith("Signed off and recorded.")
    # A beginner may come late to a soak's end; nothing else goes wrong.
    assert {deviation.kind for deviation in state.deviations} <= {DeviationKind.OVER_TIME}
    assert set(state.disposed) == {p.id for p in kit.plan.procedure.parts if p.treatment}
    # Every sentence was one that may be said, and few led nowhere.
    assert kit.texts("rejected") == []
    asked = [said for said in user.typed if said in QUESTIONS]
    assert len(asked) <= 0.2 * len(user.typed), user.typed

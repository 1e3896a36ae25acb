"""Whoever watches the bays: what lies in each, by what was said and done there, and nothing else.

Rules written anew from the description, with no code in common.  Common practice, no source:
a cleaner use never follows a less clean one in a bay that was not wiped between them, running
water goes into an empty bay, a bath and standing water lie alone, and no bay is altered
while a part lies in it for another purpose.
"""

import re
from dataclasses import dataclass, field

from assistant.procedure.model import Act, Dwell, TallyTask
from assistant.session import event as ev
from assistant.session.effect import Say
from assistant.session.track import find
from assistant.speaking.line import line

# From the least clean to the cleanest.
RANK = {"FIRST_RINSE": 0, "PREPARE": 1, "BATH": 2, "RINSE": 3, "FINAL_RINSE": 4}
WATER = {"FIRST_RINSE": "utility water", "RINSE": "utility water", "FINAL_RINSE": "treated water"}


@dataclass
class Seen:
    content: str = ""
    soil: int = 9
    drained: bool = True
    wiped: bool = True
    running: dict = field(default_factory=dict)  # component: rank


class Eye:
    """Looks at every event of a session on a placed procedure."""

    def __init__(self, led, bays, uses, running_water, pack):
        self.led, self.uses, self.running_water, self.pack = led, uses, running_water, pack
        self.bays = {name: Seen() for name in bays}
        self.looked, self.said, self.spoken = 0, {}, 0
        self.changes = 0

    def look(self):
        for effect in self.led.effects[self.spoken :]:
            for prompt in effect.prompts if isinstance(effect, Say) else ():
                if prompt.step and prompt.key.startswith("step_"):
                    self.said[prompt.step] = line(self.pack, prompt).shown
        self.spoken = len(self.led.effects)
        for event in self.led.events[self.looked :]:
            self.see(event)
        self.looked = len(self.led.events)

    def see(self, event):  # noqa: C901 - one case a fact
        match event:
            case ev.DwellStarted(step=step, component=component):
                bay = self.use(step)
                if bay is not None:
                    bay.running[component] = RANK[self.uses[step].purpose.name]
            case ev.DwellEnded(component=component):
                for bay in self.bays.values():
                    bay.running.pop(component, None)
            case ev.Tallied(step=step):
                self.use(step)
            case ev.BathEmptied(bath=bath, steps=steps) if steps:
                for bay in self.bays.values():
                    bay.content = f"old {bath}" if bay.content == bath else bay.content
            case ev.StepCompleted(step=step):
                task = find(self.led.procedure, step).task
                if step in self.uses and isinstance(task, Act):
                    self.use(step)
                elif step not in self.uses and "-bay" in step:
                    self.alter(step)

    def alter(self, step):
        """The bay is changed as it was told, and not while anything lies in it."""
        for act, name, rest in re.findall(
            r"(Drain|Tip out|Wipe|Fill) (bay \w+|the bay)( with [^.]*| for [^.]*)?\.",
            self.said[step],
        ):
            bay = self.bays[name]
            assert not bay.running, f"{step} alters {name} while a part lies in it"
            self.changes += 1
            if act in ("Drain", "Tip out"):
                assert bay.content, f"{step} drains {name}, which is empty"
                bay.content, bay.drained = "", True
            elif act == "Wipe":
                assert not bay.content, f"{step} wipes {name} under water"
                bay.soil, bay.wiped = 9, True
            else:
                bay.content = rest.removeprefix(" with ")

    def use(self, step):
        """The bay of the step, which must be as the step needs it."""
        use = self.uses.get(step)
        found = find(self.led.procedure, step)
        if use is None or not isinstance(found.task, Act | Dwell | TallyTask):
            return None
        names = [n for n in self.bays if re.search(rf"([Ii]n|Use) {n}\.", found.say)]
        if not names:
            assert not use.bath, f"{step} has no bay for its bath"
            assert not use.standing
            return None
        (name,) = names
        bay, kind, rank = self.bays[name], use.purpose.name, RANK[use.purpose.name]
        about = f"{step} ({kind}) in {name}: {bay}"
        assert all(other == rank for other in bay.running.values()), about
        if kind == "BATH":
            assert bay.content == use.bath, about
        elif kind == "PREPARE":
            assert bay.content in ("", use.bath), about
            bay.content = use.bath
        elif use.standing or WATER[kind] not in self.running_water:
            assert bay.content == WATER[kind], about
        else:
            assert not bay.content, about
        assert bay.soil >= rank, about
        if kind == "FIRST_RINSE" and not bay.content:
            # After a bath it was drained and wiped.
            assert bay.drained, about
            assert bay.wiped, about
        if use.bath:
            bay.drained = bay.wiped = False
        bay.soil = min(bay.soil, max(rank, RANK["BATH"]) if use.bath else rank)
        return bay

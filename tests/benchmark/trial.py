"""One trial: a case under a condition, heard by a recognizer as a live session would.

Sound comes in frames of 32 ms, the size in which the microphone gives it.  A command
is committed when the frame that ended its utterance has come in whole and the
recognizer has answered; where the one before is still being decoded, it waits.  The
latency runs from the sample behind the last of the speech (``level.bounds``, of the
speech alone) to that moment: frames by the sample, decoding by the clock.  The voice
activity model's own time (about 1 ms a frame) is part of the load, not of the latency.
"""

from __future__ import annotations

import time
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from assistant.hearing.frames import FRAME_SAMPLES, Audio
from assistant.hearing.segment import Silero, whole
from assistant.hearing.stream import Stream
from tests.benchmark.case import Noise, seed, sound
from tests.benchmark.level import RATE
from tests.benchmark.mixing import Scene, noise_only, scene
from tests.benchmark.world import effect

if TYPE_CHECKING:
    import numpy.typing as npt

    from assistant.grammar.automaton import Automaton
    from assistant.hearing.recognizer import Hypothesis, Recognizer, Utterance
    from assistant.hearing.segment import VoiceActivity
    from tests.benchmark.case import Case
    from tests.benchmark.mixing import Condition
    from tests.benchmark.sets import Sets
    from tests.benchmark.world import World

_EDGE_S = 0.1  # of the speech may be missing before an utterance counts as cut
_LATE_S = 1.3  # behind the speech an utterance is still open: noise holds it


class Replayed:
    """Voice activity, worked out once for a sound and told to each recognizer's stream."""

    def __init__(self, samples: npt.NDArray[np.float32]) -> None:
        model = Silero()
        padded = np.pad(samples, (0, -len(samples) % FRAME_SAMPLES))
        self._known = [model.probability(frame) for frame in padded.reshape(-1, FRAME_SAMPLES)]
        self._at = 0

    def probability(self, frame: npt.NDArray[np.float32]) -> float:
        """Of speech in the next frame; silence behind the end."""
        del frame
        self._at += 1
        return self._known[self._at - 1] if self._at <= len(self._known) else 0.0

    def reset(self) -> None:
        """From the first frame on."""
        self._at = 0


@dataclass(frozen=True, slots=True)
class Heard:
    """One utterance and what became of it.

    Attributes:
        utterance: the sound that was cut out.
        hypothesis: the recognizer's answer.
        emitted: sample at which the utterance was handed over; None in a file, which
            is heard whole.
        wall_s: decoding by the clock, seconds.
        cpu_s: decoding by the processor, seconds.
        committed_s: when the answer was there, on the sound's clock.
    """

    utterance: Utterance
    hypothesis: Hypothesis
    emitted: int | None
    wall_s: float
    cpu_s: float
    committed_s: float


@dataclass(frozen=True, slots=True)
class Row:
    """What one trial gave; all that the figures need.

    Attributes:
        part: of the benchmark.
        condition: its name.
        case: its id.
        recognizer: its name.
        group: of the case.
        human: whether a person spoke.
        said: the words.
        wanted: the meaning.
        outcome: "right", "wrong", "rejected"; of a case that wants nothing "quiet",
            "acts", "asks back" or "tells", the worst of what was accepted.
        heard: the accepted meanings; where none, the text of the best guess.
        reason: of a rejection.
        cause: of an error: "unheard", "cut", "held", "sentence" (the decision of the
            recognizer), or "".
        accepts: how many utterances were accepted.
        audio_s: seconds of sound.
        latency_s: end of speech to committed command; None where not right.
        endpoint_s: end of speech to the utterance's handing over; likewise.
        decode_ms: by the clock, of each utterance.
        cpu_ms: by the processor, of each utterance.
        score: of the last utterance.
        lead: of the last utterance over its runner-up; None without.
    """

    part: str
    condition: str
    case: str
    recognizer: str
    group: str
    human: bool
    said: str
    wanted: str
    outcome: str
    heard: str
    reason: str
    cause: str
    accepts: int
    audio_s: float
    latency_s: float | None
    endpoint_s: float | None
    decode_ms: tuple[float, ...]
    cpu_ms: tuple[float, ...]
    score: float
    lead: float | None


def staged(part: str, case: Case, condition: Condition, sets: Sets) -> Scene:
    """What is heard; the same each time."""
    draw = np.random.default_rng(seed(part, case.id, condition))
    if isinstance(case.source, Noise):
        samples = noise_only(case.source.kind, case.source.seconds, draw, sets)
        return Scene(samples, 0, len(samples))
    return scene(sound(case.source), condition, draw, sets)


class _Timed:
    """A recognizer whose time is kept."""

    def __init__(self, recognizer: Recognizer) -> None:
        self.recognizer = recognizer
        self.name, self.model_sha256 = recognizer.name, recognizer.model_sha256
        self.wall_s = self.cpu_s = 0.0

    def hear(self, utterance: Utterance) -> Hypothesis:
        """What the recognizer hears."""
        wall, cpu = time.perf_counter(), time.process_time()
        hypothesis = self.recognizer.hear(utterance)
        self.wall_s += time.perf_counter() - wall
        self.cpu_s += time.process_time() - cpu
        return hypothesis


def streamed(
    scene_: Scene, recognizer: Recognizer, automaton: Automaton, activity: VoiceActivity
) -> list[Heard]:
    """Every utterance of a scene, heard as it comes in.

    What is decoded at a pause takes its time too: what comes after it waits.
    """
    timed = _Timed(recognizer)
    stream = Stream(timed, automaton, voice_activity=activity)
    found: list[Heard] = []
    free_s = 0.0
    samples = scene_.samples
    ends = [*range(FRAME_SAMPLES, len(samples), FRAME_SAMPLES), len(samples), None]
    for end in ends:
        timed.wall_s = timed.cpu_s = 0.0
        if end is None:
            emitted, heard = len(samples), stream.flush()
        else:
            begin = (end - 1) // FRAME_SAMPLES * FRAME_SAMPLES
            emitted, heard = end, stream.push(samples[begin:end])
        if timed.wall_s:
            free_s = max(emitted / RATE, free_s) + timed.wall_s
        committed_s = max(emitted / RATE, free_s)
        for utterance, hypothesis in heard:
            found.append(
                Heard(utterance, hypothesis, emitted, timed.wall_s, timed.cpu_s, committed_s)
            )
    return found


def filed(scene_: Scene, recognizer: Recognizer) -> list[Heard]:
    """A scene heard as one file (``sinkside listen``)."""
    utterance = whole(Audio(scene_.samples))
    if utterance is None:
        return []
    timed = _Timed(recognizer)
    hypothesis = timed.hear(utterance)
    return [Heard(utterance, hypothesis, None, timed.wall_s, timed.cpu_s, timed.wall_s)]


def row(
    part: str,
    case: Case,
    condition: Condition,
    world: World,
    recognizer: str,
    scene_: Scene,
    heard: list[Heard],
) -> Row:
    """What a trial gave."""
    accepted = [one for one in heard if one.hypothesis.accepted]
    meanings = [world.meaning(one.hypothesis.tags) for one in accepted]
    outcome = judged(case.wanted, meanings)
    last = heard[-1].hypothesis if heard else None
    right = accepted[0] if outcome == "right" else None
    emitted = right.emitted if right else None
    runner_up = last.runner_up_score if last else None
    return Row(
        part=part,
        condition=str(condition),
        case=case.id,
        recognizer=recognizer,
        group=case.group,
        human=case.human,
        said=case.said,
        wanted=case.wanted,
        outcome=outcome,
        heard=" | ".join(meanings) or (last.text if last else ""),
        reason=last.reason if last else "",
        cause="" if outcome in ("right", "quiet") else cause(scene_, heard),
        accepts=len(accepted),
        audio_s=len(scene_.samples) / RATE,
        latency_s=latency_s(scene_, right.committed_s) if right and emitted else None,
        endpoint_s=latency_s(scene_, emitted / RATE) if emitted else None,
        decode_ms=tuple(round(1000 * one.wall_s, 2) for one in heard),
        cpu_ms=tuple(round(1000 * one.cpu_s, 2) for one in heard),
        score=last.score if last else 0.0,
        lead=None if last is None or runner_up is None else last.score - runner_up,
    )


def judged(wanted: str, meanings: list[str]) -> str:
    """The outcome of a trial in which these meanings were accepted."""
    if wanted:
        if not meanings:
            return "rejected"
        return "right" if meanings == [wanted] else "wrong"
    done = {effect(meaning) for meaning in meanings}
    return next((worst for worst in ("acts", "tells", "asks back") if worst in done), "quiet")


def latency_s(scene_: Scene, at_s: float) -> float:
    """From the true end of the speech to a moment, seconds."""
    return at_s - scene_.end / RATE


def cause(scene_: Scene, heard: list[Heard]) -> str:
    """What an error comes from, as far as the cutting tells."""
    if not heard:
        return "unheard"
    edge = _EDGE_S * RATE
    for one in heard:
        begin = one.utterance.start_s * RATE
        end = begin + len(one.utterance.samples)
        if begin <= scene_.start + edge and end >= scene_.end - edge:
            late = one.emitted is not None and one.emitted - scene_.end > _LATE_S * RATE
            return "held" if late else "sentence"
    return "cut"

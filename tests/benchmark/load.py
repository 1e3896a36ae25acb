"""What listening costs: the share of one core, and the peak memory, in a process of its own.

``python -m tests.benchmark.load SOUND.npy`` hears that sound as a live session does
and prints one JSON object.  Nothing else of the benchmark is loaded in that process.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from tests.benchmark.sets import Sets

_PROCEDURE = "demo-grasper"
_SECONDS = 120
_EVERY_S = 10.0  # a command, where somebody works


def measure(sets: Sets) -> dict[str, dict[str, float]]:
    """Load while only water runs, and while somebody gives a command every ten seconds."""
    from tests.benchmark.case import sound  # noqa: PLC0415 - not in the measured process
    from tests.benchmark.level import NOMINAL_DB, RATE, raised  # noqa: PLC0415
    from tests.benchmark.mixing import noise_only  # noqa: PLC0415
    from tests.benchmark.own import commands  # noqa: PLC0415

    draw = np.random.default_rng(5)
    water = noise_only("water", _SECONDS, draw, sets) * 10 ** (-10 / 20)
    working = water.copy()
    for place, case in enumerate(list(commands(1))[: int(_SECONDS / _EVERY_S)]):
        speech = raised(sound(case.source), NOMINAL_DB)  # type: ignore[arg-type] # commands are spoken, never noise
        begin = round((place * _EVERY_S + 2) * RATE)
        working[begin : begin + len(speech)] += speech[: len(working) - begin]
    found = {}
    with tempfile.TemporaryDirectory() as place_:
        for name, samples in (("listening", water), ("working", working)):
            path = Path(place_) / f"{name}.npy"
            np.save(path, samples.astype(np.float32))
            command = [sys.executable, "-m", "tests.benchmark.load", str(path)]
            printed = subprocess.run(command, check=True, capture_output=True, text=True)
            found[name] = json.loads(printed.stdout)
    return found


def _heard(path: Path) -> dict[str, float]:
    from assistant.cli.vocabulary import shipped_vocabulary  # noqa: PLC0415 - what is measured
    from assistant.hearing.choose import Choice, Vocabulary, choose  # noqa: PLC0415
    from assistant.hearing.frames import FRAME_SAMPLES  # noqa: PLC0415
    from assistant.hearing.recognizer import SAMPLE_RATE  # noqa: PLC0415
    from assistant.hearing.stream import Stream  # noqa: PLC0415

    known = shipped_vocabulary("en", _PROCEDURE)
    vocabulary = Vocabulary("en", known.grammar, known.automaton, known.pack.orthography)
    recognizer = choose(vocabulary, Choice.NEURAL).recognizer
    stream = Stream(recognizer, known.automaton)
    samples = np.load(path)
    began, utterances = time.process_time(), 0
    for at in range(0, len(samples), FRAME_SAMPLES):
        utterances += len(stream.push(samples[at : at + FRAME_SAMPLES]))
    cpu_s = time.process_time() - began
    return {
        "core_share": cpu_s / (len(samples) / SAMPLE_RATE),
        "peak_mib": _peak_mib(),
        "utterances": utterances,
        "seconds": len(samples) / SAMPLE_RATE,
    }


def _peak_mib() -> float:
    """The most memory that this process held, MiB.

    Not ``getrusage``: on Linux its peak includes the process that started this one.
    """
    lines = Path("/proc/self/status").read_text(encoding="utf-8").splitlines()
    held = next(line for line in lines if line.startswith("VmHWM:"))
    return int(held.split()[1]) / 1024


if __name__ == "__main__":
    sys.stdout.write(json.dumps(_heard(Path(sys.argv[1]))) + "\n")

"""Trials in worker processes: each worker keeps its recognizers."""

from __future__ import annotations

import multiprocessing
from concurrent.futures import ProcessPoolExecutor
from typing import TYPE_CHECKING

from tests.benchmark import plan, trial
from tests.benchmark.subjects import subject, world

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from tests.benchmark.case import Case
    from tests.benchmark.mixing import Condition
    from tests.benchmark.sets import Sets
    from tests.benchmark.trial import Row

_TOGETHER = 8  # tasks that a worker is given at once

# Part, case, condition, and the recognizers that still have to hear it.
Job = tuple[str, "Case", "Condition", tuple[str, ...]]


def rows(jobs: Sequence[Job], sets: Sets, processes: int) -> Iterator[list[Row]]:
    """The rows of all jobs, in order, some at a time."""
    groups = [list(jobs[at : at + _TOGETHER]) for at in range(0, len(jobs), _TOGETHER)]
    if processes == 1:
        for group in groups:
            yield _worked(group, sets)
        return
    # A fork would copy the threads that the recognizers' libraries have.
    context = multiprocessing.get_context("spawn")
    with ProcessPoolExecutor(processes, mp_context=context) as pool:
        yield from pool.map(_worked, groups, [sets] * len(groups))


def _worked(group: list[Job], sets: Sets) -> list[Row]:
    return [row for job in group for row in _tried(job, sets)]


def _tried(job: Job, sets: Sets) -> Iterator[Row]:
    name, case, condition, recognizers = job
    part = next(part for part in plan.PARTS if part.name == name)
    of = world(part.world, sets)
    scene = trial.staged(part.name, case, condition, sets)
    activity = trial.Replayed(scene.samples) if part.live else None
    for recognizer in recognizers:
        under_test = subject(recognizer, of, sets.vosk)
        if activity is not None:
            heard = trial.streamed(scene, under_test, of.automaton, activity)
        else:
            heard = trial.filed(scene, under_test)
        yield trial.row(part.name, case, condition, of, recognizer, scene, heard)

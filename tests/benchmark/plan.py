"""What the benchmark runs: its parts, their cases and conditions, whole or in short."""

from __future__ import annotations

from dataclasses import dataclass
from itertools import islice
from typing import TYPE_CHECKING

from tests.benchmark import near, own, prompts, recorded, talk
from tests.benchmark.mixing import Condition

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from tests.benchmark.case import Case
    from tests.benchmark.sets import Sets

SNRS_DB = (20.0, 15.0, 10.0, 5.0, 0.0)
PUBLISHED_DB = (6.0, 9.0, 12.0, 15.0, 18.0, 21.0, 24.0)
CLEAN = Condition()


@dataclass(frozen=True, slots=True)
class Part:
    """A part of the benchmark.

    Attributes:
        name: what ``--only`` knows it by.
        about: one line.
        world: name of its grammar.
        cases: of the whole run, and of a quick one.
        conditions: likewise.
        live: sound comes in as at a microphone; otherwise as a file.
    """

    name: str
    about: str
    world: str
    cases: tuple[Callable[[Sets], Iterator[Case]], Callable[[Sets], Iterator[Case]]]
    conditions: tuple[tuple[Condition, ...], tuple[Condition, ...]]
    live: bool = True


@dataclass(frozen=True, slots=True)
class Task:
    """One case under one condition, for some recognizers."""

    part: Part
    case: Case
    condition: Condition


def _noisy(
    noises: tuple[str, ...], snrs_db: tuple[float, ...], filter_: str = ""
) -> tuple[Condition, ...]:
    return tuple(Condition(noise, snr, filter_) for noise in noises for snr in snrs_db)


def _every(cases: Iterator[Case], step: int) -> Iterator[Case]:
    return islice(cases, 0, None, step)


_ALL = ("water", "kitchen", "babble")
PARTS = (
    Part(
        "orders",
        "recorded drink orders under their own grammar, published mixing rule, as files",
        "orders",
        (recorded.drinks, lambda sets: recorded.drinks(sets, 5)),
        (
            (CLEAN, *(Condition("kitchen", db, published=True) for db in PUBLISHED_DB)),
            tuple(Condition("kitchen", db, published=True) for db in (6.0, 15.0, 24.0)),
        ),
        live=False,
    ),
    Part(
        "orders-live",
        "the same, as at a microphone, active-speech ratio",
        "orders",
        (recorded.drinks, lambda sets: recorded.drinks(sets, 8)),
        (
            (CLEAN, *_noisy(_ALL, SNRS_DB), *_noisy(("water",), SNRS_DB, "mask")),
            (CLEAN, *_noisy(("water",), (10.0, 5.0))),
        ),
    ),
    Part(
        "own",
        "shipped commands without numbers, unused generated voices",
        "own",
        (lambda _: own.commands(4), lambda _: own.commands(1)),
        (
            (
                CLEAN,
                Condition(filter="mask"),
                *_noisy(_ALL, SNRS_DB, "mask"),
                *_noisy(("water",), SNRS_DB),
                *_noisy(("water",), (20.0, 10.0, 5.0), "shield"),
                *_noisy(("water",), (10.0,), "mask+shield"),
            ),
            (
                CLEAN,
                *_noisy(("water",), SNRS_DB, "mask"),
                *_noisy(("kitchen", "babble"), (10.0, 5.0), "mask"),
                *_noisy(("water",), (10.0,), "shield"),
            ),
        ),
    ),
    Part(
        "numbers",
        "drawn readings, dates, lots and containers, unused generated voices",
        "own",
        (lambda _: own.numbers(200), lambda _: own.numbers(40)),
        (
            (CLEAN, *_noisy(_ALL, (20.0, 10.0, 5.0)), *_noisy(_ALL, (10.0,), "mask")),
            (CLEAN, *_noisy(("water",), (10.0,)), *_noisy(("water",), (10.0,), "mask")),
        ),
    ),
    Part(
        "signs",
        "single numbers and spelling letters by one recorded voice",
        "signs",
        (recorded.spoken_signs, recorded.spoken_signs),
        ((CLEAN, *_noisy(_ALL, (20.0, 10.0, 5.0))), (CLEAN, *_noisy(("water",), (10.0,)))),
    ),
    Part(
        "near",
        "near misses of commands, unused generated voices",
        "own",
        (lambda _: near.near_misses(4), lambda _: _every(near.near_misses(1), 2)),
        ((CLEAN, *_noisy(("water",), (15.0,), "mask")), (CLEAN,)),
    ),
    Part(
        "talk",
        "drawn talk outside the grammar, unused generated voices",
        "own",
        (lambda _: talk.talk(150), lambda _: talk.talk(20)),
        ((CLEAN, *_noisy(("water",), (15.0,))), (CLEAN,)),
    ),
    Part(
        "talk-recorded",
        "recorded people who say nothing of the grammar",
        "own",
        (talk.recorded, lambda sets: talk.recorded(sets, 0.2)),
        ((CLEAN, *_noisy(("water",), (15.0,))), (CLEAN,)),
    ),
    Part(
        "prompts",
        "every prompt of the tool, in its own voice",
        "own",
        (lambda _: prompts.prompts(), lambda _: _every(prompts.prompts(), 6)),
        ((CLEAN, *_noisy(("water",), (15.0,))), (CLEAN,)),
    ),
    Part(
        "noise",
        "noise alone, as loud as speech",
        "own",
        (lambda sets: talk.noises(sets, 600.0), lambda sets: talk.noises(sets, 60.0)),
        ((CLEAN,), (CLEAN,)),
    ),
)


def tasks(part: Part, sets: Sets, *, quick: bool) -> list[Task]:
    """All that a part runs; what needs a recording that is not present is left out."""
    there = part.cases[quick](sets) if part.world != "orders" or sets.orders else iter(())
    cases = list(there)
    conditions = [
        condition
        for condition in part.conditions[quick]
        if condition.noise != "kitchen" or sets.kitchen
    ]
    return [Task(part, case, condition) for condition in conditions for case in cases]

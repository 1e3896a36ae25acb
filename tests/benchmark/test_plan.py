"""The plan has every condition that is asked for; what needs a recording says so."""

import pytest

from tests.benchmark.plan import PARTS, tasks
from tests.benchmark.sets import Sets, found
from tests.benchmark.voices import TALKERS, UNUSED
from tests.hearing.test_own_commands import VOICES


def conditions(name):
    return {
        str(condition) for part in PARTS if part.name == name for condition in part.conditions[0]
    }


def test_own_commands_are_heard_behind_a_mask_in_every_noise_at_every_ratio():
    wanted = {
        f"mask {noise} {db} dB"
        for noise in ("water", "kitchen", "babble")
        for db in (20, 15, 10, 5, 0)
    }
    assert wanted <= conditions("own")
    assert any(name.startswith("shield") for name in conditions("own"))


def test_recorded_orders_are_mixed_at_the_published_ratios():
    assert {f"kitchen {db} dB" for db in (6, 12, 24)} <= conditions("orders")


def test_no_voice_that_was_used_for_tuning_takes_part():
    used = {name for name, _ in VOICES} | {"en-gb-scotland+f3", "en-us+f4"}
    assert not used & {name for name, *_ in (*UNUSED, *TALKERS)}
    assert not {name for name, *_ in UNUSED} & {name for name, *_ in TALKERS}


# Whole sessions are led for the prompts; the benchmark itself does so.
QUICK = [part for part in PARTS if part.name != "prompts"]


@pytest.mark.parametrize("part", QUICK, ids=lambda part: part.name)
def test_without_recordings_the_generated_parts_are_left(part):
    there = tasks(part, Sets(), quick=True)
    recorded = {"orders", "orders-live", "signs", "talk-recorded"}
    assert bool(there) is (part.name not in recorded)
    assert all(task.condition.noise != "kitchen" for task in there)


def test_a_set_that_is_missing_is_told_as_not_present(tmp_path):
    told = found(tmp_path / "none", tmp_path, None).told()
    assert "asterisk-core-sounds-en-g722: not present" in told
    assert "recorded drink orders and kitchen noise: not present" in told

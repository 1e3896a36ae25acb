"""The project holds itself to its own rules."""

import subprocess
import sys
from collections import Counter
from pathlib import Path

import pytest

from assistant.session.table import PHASES, STAGES, diagram

TOP = Path(__file__).parents[1]
MOST_LINES = 450


@pytest.mark.parametrize(
    "command",
    [
        ["ruff", "check", "."],
        ["ruff", "format", "--check", "."],
        ["mypy"],
    ],
    ids=" ".join,
)
def test_a_checker_has_nothing_to_say(command):
    done = subprocess.run(
        [sys.executable, "-m", *command], cwd=TOP, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout + done.stderr


def test_the_core_stays_pure():
    script = "from importlinter.cli import lint_imports_command as run; run()"
    done = subprocess.run(
        [sys.executable, "-c", script], cwd=TOP, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stdout


@pytest.mark.parametrize("rows", [PHASES, STAGES], ids=["session", "step"])
def test_the_pages_diagrams_are_drawn_from_the_tables(rows):
    assert diagram(rows) in (TOP / "DEVELOPERS.md").read_text(encoding="utf-8")


def test_no_module_is_too_long_to_hold_in_the_head():
    for path in (TOP / "assistant").rglob("*.py"):
        count = len(path.read_text(encoding="utf-8").splitlines())
        assert count <= MOST_LINES, f"{path} has {count} lines"


def test_ci_runs_exactly_the_readmes_test_command():
    script = (TOP / ".ci" / "run").read_text()
    assert "README.md" in script
    lines = (TOP / "README.md").read_text(encoding="utf-8").splitlines()
    assert sum(line.endswith("-m pytest") for line in lines) == 1
    assert sum(line.endswith("sinkside demo") for line in lines) == 1


def test_no_two_modules_of_tests_have_one_name():
    """Or one would be taken for the other, once all of them run together."""
    names = Counter(path.name for path in TOP.glob("tests/**/*.py") if path.name != "conftest.py")
    assert [name for name, count in names.items() if count > 1] == []

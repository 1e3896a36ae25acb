"""``sinkside procedure``: policies and revisions at the command line."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

TOP = Path(__file__).parents[2]
GRASPER = TOP / "procedures" / "demo-grasper.yaml"
TEXT = GRASPER.read_text(encoding="utf-8")
REVISION = next(line for line in TEXT.splitlines() if line.startswith("revision: "))
SINKSIDE = [sys.executable, "-c", "from assistant.cli.main import main; main()"]


def sinkside(*arguments):
    return subprocess.run(
        [*SINKSIDE, "procedure", *map(str, arguments)],
        capture_output=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )


@pytest.fixture
def loose(tmp_path):
    """A policy that lets the bath be hotter than the sheet does."""
    path = tmp_path / "loose.yaml"
    path.write_text(
        "procedure: demo-grasper\n"
        f"{REVISION}\n"
        "notice: Invented rules, for tests.\n"
        "changes:\n"
        "  - reason: Warm water feels better.\n"
        "    author: test lead\n"
        "    approved: 2026-02-02\n"
        "    bath: detergent\n"
        "    temperature: {most: 60 °C}\n",
        encoding="utf-8",
    )
    return path


def test_a_shipped_policy_is_found_by_its_name_and_good():
    done = sinkside("check", "demo-grasper", "--policy", "demo-grasper")
    assert (done.returncode, done.stderr) == (0, "")
    assert done.stdout.rstrip().endswith("policies/demo-grasper.yaml: good")


def test_a_loosening_policy_exits_1_and_names_both_lines(loose):
    done = sinkside("check", GRASPER, "--policy", loose)
    assert done.returncode == 1
    line = next(n for n, text in enumerate(TEXT.splitlines(), start=1) if "temperature: {" in text)
    assert done.stdout.startswith(f'{loose}:9:25: "most: 60 °C" is looser')
    assert f"of {GRASPER}:{line};" in done.stdout
    told = json.loads(sinkside("check", GRASPER, "--policy", loose, "--json").stdout)
    assert (told["file"], told["line"], told["column"]) == (str(loose), 9, 25)
    assert sinkside("show", GRASPER, "--policy", loose).returncode == 3


def test_what_cannot_be_read_exits_3_and_what_cannot_be_meant_2(tmp_path):
    assert sinkside("check", GRASPER, "--policy", tmp_path / "none.yaml").returncode == 3
    assert sinkside("check", tmp_path / "none.yaml", "--policy", "demo-grasper").returncode == 3
    assert sinkside("show", GRASPER, "--policy", "no-such-policy").returncode == 2
    two = sinkside("check", "demo-grasper", "demo-short", "--policy", "demo-grasper")
    assert two.returncode == 2
    for done in (two, sinkside("check", "demo-short", "--policy", "demo-grasper")):
        assert "Traceback" not in done.stderr + done.stdout


def test_show_tells_what_comes_from_where():
    plain = sinkside("show", "demo-grasper")
    assert plain.returncode == 0
    assert "from: made by the program" in plain.stdout
    assert f"from: sheet {GRASPER}:" in plain.stdout
    assert "from: policy" not in plain.stdout
    laid = sinkside("show", "demo-grasper", "--policy", "demo-grasper").stdout
    told = [line for line in laid.splitlines() if "from: policy" in line]
    assert any("->" in line for line in told)
    assert any("step added" in line for line in told)
    assert all("2026-" in line or "invented" in line for line in told)


def test_two_revisions_are_compared_and_the_exit_code_tells(tmp_path):
    was = REVISION.removeprefix("revision: ").strip('"')
    other = tmp_path / "other.yaml"
    other.write_text(TEXT.replace(REVISION, 'revision: "99"'), encoding="utf-8")
    done = sinkside("diff", "demo-grasper", other)
    assert (done.returncode, done.stderr) == (1, "")
    assert done.stdout == f"the procedure\n  revision: {was} -> 99 (changed)\n"
    row = json.loads(sinkside("diff", GRASPER, other, "--json").stdout)
    assert row == {"where": "", "what": "revision", "old": was, "new": "99", "verdict": "changed"}
    same = sinkside("diff", "demo-grasper", GRASPER)
    assert (same.returncode, same.stdout) == (0, "no difference\n")
    silent = sinkside("diff", "demo-grasper", GRASPER, "--json")
    assert (silent.returncode, silent.stdout) == (0, "")
    assert sinkside("diff", "demo-grasper", tmp_path / "none.yaml").returncode == 3
    assert sinkside("diff", "demo-grasper", "no-such-procedure").returncode == 2

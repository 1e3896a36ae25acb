"""Wrong sheets, each of a kind of its own: what is told, where, and how soon.

The files lie in ``wrong``.  Their first lines say all that must be told, as
"#! line:column: what; remedy", with "…" for anything.  What no text file can hold, or
what is too large to keep, is made in ``monsters``.
"""

from __future__ import annotations

import codecs
import json
import os
import re
import resource
import shutil
import subprocess
import sys
import time
from pathlib import Path

import pytest
from monsters import GOOD, MADE

from assistant.procedure import layout, policy_layout, station_layout, yaml_nodes
from assistant.procedure.finding import MOST_FINDINGS, MOST_SIGNS, Findings, SheetError
from assistant.procedure.sheet import parse

HERE = Path(__file__).parent
FILES = sorted((HERE / "wrong").glob("*.yaml"))
MOST_S = 2.0
MOST_MEMORY = 300 * 1024 * 1024
SINKSIDE = [sys.executable, "-c", "from assistant.cli.main import main; main()"]


def expected(path: Path) -> list[str]:
    """What the file's first lines say must be told of it, as patterns."""
    lines = path.read_text(encoding="utf-8").split("\n")
    told = [line.removeprefix("#! ") for line in lines if line.startswith("#! ")]
    return [re.escape(line).replace("…", ".*") for line in told]


def findings(data: bytes) -> list[str]:
    try:
        parse(data, "x")
    except SheetError as error:
        return [str(finding).removeprefix("x:") for finding in error.findings]
    return []


def sinkside(
    *arguments: str | Path, before: tuple[str, ...] = ()
) -> subprocess.CompletedProcess[str]:
    """The command, ended by the system where it takes too much time or memory."""

    def limit() -> None:
        resource.setrlimit(resource.RLIMIT_CPU, (int(MOST_S), int(MOST_S)))
        resource.setrlimit(resource.RLIMIT_AS, (MOST_MEMORY, MOST_MEMORY))

    return subprocess.run(
        [*before, *SINKSIDE, *map(os.fspath, arguments)],
        preexec_fn=limit,
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=60,
    )


def test_the_kinds_are_many() -> None:
    assert (
        len({re.sub(r"^\S+|\"[^\"]*\"|\d+", "", line) for f in FILES for line in expected(f)}) > 100
    )
    assert len(FILES) >= 200


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_a_wrong_file_is_told_with_every_place_and_remedy_and_nothing_else(path: Path) -> None:
    begun = time.process_time()
    told = findings(path.read_bytes())
    assert time.process_time() - begun < MOST_S
    wanted = expected(path)
    assert len(told) == len(wanted) > 0, told
    for line, pattern in zip(told, wanted, strict=True):
        assert re.fullmatch(pattern, line), line
        assert len(line.partition("; ")[2]) >= len("delete it"), line


def test_the_command_tells_of_all_of_them_on_its_output_and_nothing_else() -> None:
    batch = 60  # so many together stay within the limits of one
    for some in (FILES[n : n + batch] for n in range(0, len(FILES), batch)):
        done = sinkside("procedure", "check", *some)
        assert (done.returncode, done.stderr) == (1, "")
        wanted = [
            f"{re.escape(os.fspath(path))}:{pattern}" for path in some for pattern in expected(path)
        ]
        told = done.stdout.splitlines()
        assert len(told) == len(wanted)
        for line, pattern in zip(told, wanted, strict=True):
            assert re.fullmatch(pattern, line), line


BLOCKS = [
    block
    for module in (layout, policy_layout, station_layout)
    for block in vars(module).values()
    if isinstance(block, layout.Layout)
]


@pytest.mark.parametrize("block", BLOCKS, ids=lambda block: block.name)
def test_every_example_that_is_proposed_can_be_written_as_it_stands(block: layout.Layout) -> None:
    for key, example in block.keys.items():
        noted = Findings("x")
        root = yaml_nodes.parse(example, noted)
        assert not noted, example
        assert isinstance(root, yaml_nodes.Mapping)
        ((name, _),) = root.pairs
        assert name == yaml_nodes.Scalar(key, plain=True, mark=name.mark)
        assert "..." not in example
        assert len(example) <= MOST_SIGNS - len("write ``")


@pytest.mark.parametrize("name", MADE)
def test_what_is_made_wrong_is_told_by_the_command_within_its_limits(
    tmp_path: Path, name: str
) -> None:
    data, place, words = MADE[name]
    path = tmp_path / "wrong sheet.yaml"
    path.write_bytes(data)
    done = sinkside("procedure", "check", path)
    assert (done.returncode, done.stderr) == (1, "")
    told = done.stdout.splitlines()
    assert all(line.startswith(f"{path}:") for line in told)
    assert told[0].startswith(f"{path}:{place}"), told[0]
    for word in words:
        assert word in told[0], told[0]
    assert len(told) <= MOST_FINDINGS + 1
    assert max(map(len, told)) < len(str(path)) + 700


ALIKE = {
    "a byte order mark": lambda text: codecs.BOM_UTF8 + text.encode(),
    "line ends of old": lambda text: text.replace("\n", "\r").encode(),
    "line ends of two signs": lambda text: text.replace("\n", "\r\n").encode(),
    "spaces that do not break": lambda text: text.replace(" °C", "\u00a0°C").encode(),
    "thin spaces": lambda text: text.replace(" °C", "\u2009°C").encode(),
    "a YAML directive": lambda text: f"%YAML 1.2\n---\n{text}...\n".encode(),
}


@pytest.mark.parametrize("name", ALIKE)
def test_what_only_looks_wrong_is_good(tmp_path: Path, name: str) -> None:
    path = tmp_path / "sheet.yaml"
    path.write_bytes(ALIKE[name](GOOD))
    done = sinkside("procedure", "check", path)
    assert (done.returncode, done.stdout, done.stderr) == (0, f"{path}: good\n", "")


def refused(path: str | Path, *before: str) -> str:
    """What is told of something that cannot be read at all."""
    done = sinkside("procedure", "check", path, before=before)
    assert (done.returncode, done.stderr) == (3, "")
    (line,) = done.stdout.splitlines()
    assert line.startswith(f"{path}:1:1: the file cannot be read: ")
    assert line.endswith("; check its path and its rights")
    return line


def test_a_missing_file_a_folder_and_a_dangling_link_are_told(tmp_path: Path) -> None:
    assert "No such file" in refused(tmp_path / "none.yaml")
    assert "a folder" in refused(tmp_path)
    link = tmp_path / "link.yaml"
    link.symlink_to("nowhere.yaml")
    assert "No such file" in refused(link)
    link.unlink()
    link.symlink_to(link)
    assert "symbolic links" in refused(link)
    assert "too long" in refused(tmp_path / f"{'a' * 300}.yaml")


def test_a_pipe_or_a_device_is_not_waited_for(tmp_path: Path) -> None:
    pipe = tmp_path / "pipe.yaml"
    os.mkfifo(pipe)
    assert "no regular file" in refused(pipe)
    assert "no regular file" in refused("/dev/zero")


@pytest.mark.skipif(not Path("/proc/self/mem").exists(), reason="a system without /proc")
def test_a_file_that_fails_while_it_is_read_is_told() -> None:
    # Its first byte is never mapped, so that reading it is an error for everybody.
    refused("/proc/self/mem")


def test_a_file_that_may_not_be_read_is_told(tmp_path: Path) -> None:
    path = tmp_path / "locked.yaml"
    path.write_text(GOOD)
    path.chmod(0)
    humble: tuple[str, ...] = ()
    if os.access(path, os.R_OK):  # a root user gives up its power to read everything
        if shutil.which("setpriv") is None:
            pytest.skip("this user may read everything")
        humble = ("setpriv", "--bounding-set=-dac_override,-dac_read_search")
    assert "Permission denied" in refused(path, *humble)


def test_a_name_that_is_no_text_is_told_of_all_the_same(tmp_path: Path) -> None:
    path = os.fsencode(tmp_path) + b"/\xff.yaml"
    Path(os.fsdecode(path)).write_bytes(b"")
    done = sinkside("procedure", "check", os.fsdecode(path))
    assert (done.returncode, done.stderr) == (1, "")
    assert "holds no procedure" in done.stdout


def test_a_name_that_no_file_can_have_is_no_procedure() -> None:
    done = sinkside("procedure", "check", "a" * 5_000)
    assert done.returncode == 2
    assert done.stderr.count("\n") == 1
    assert "there is no procedure" in done.stderr


def test_the_worst_of_several_files_gives_the_exit_code(tmp_path: Path) -> None:
    good, wrong, none = HERE / "sheets" / "small.yaml", FILES[0], tmp_path / "none.yaml"
    assert sinkside("procedure", "check", good).returncode == 0
    assert sinkside("procedure", "check", good, wrong).returncode == 1
    assert sinkside("procedure", "check", none, wrong, good).returncode == 3


def test_findings_are_given_as_objects_too(tmp_path: Path) -> None:
    path = HERE / "wrong" / "time-base-sixty.yaml"
    done = sinkside("procedure", "check", "--json", path)
    told = json.loads(done.stdout)
    assert (told["file"], told["line"], told["column"]) == (str(path), 25, 35)
    assert "5 h 0 min" in told["what"]
    assert "write" in told["remedy"]
    assert json.loads(sinkside("procedure", "check", "--json", tmp_path).stdout)["line"] == 1


@pytest.mark.parametrize("command", ["show", "card"])
def test_a_wrong_file_ends_other_commands_with_its_findings(command: str) -> None:
    path = HERE / "wrong" / "time-base-sixty.yaml"
    done = sinkside("procedure", command, path)
    assert (done.returncode, done.stdout) == (3, "")
    assert f"{path}:25:35: " in done.stderr
    assert "Traceback" not in done.stderr

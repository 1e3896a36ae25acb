# ruff: noqa: E501 - the rows of a table read best on one line
"""Wrong sheets, each of a kind of its own: what is told, where, and how soon.

The files lie in ``wrong``.  Their first lines say all that must be told, as
"#! line:column: what; remedy", with "…" for anything.  What no text file can hold, or
what is too large to keep, is made here.
"""

from __future__ import annotations

import codecs
import gzip
import io
import json
import os
import random
import re
import resource
import shutil
import subprocess
import sys
import time
import zipfile
from pathlib import Path

import pytest

from assistant.procedure.finding import MOST_FINDINGS, SheetError
from assistant.procedure.order import MOST_STEPS
from assistant.procedure.sheet import parse
from assistant.procedure.sheet_text import MOST_BYTES

HERE = Path(__file__).parent
FILES = sorted((HERE / "wrong").glob("*.yaml"))
MOST_S = 2.0
MOST_MEMORY = 300 * 1024 * 1024
SINKSIDE = [sys.executable, "-c", "from assistant.cli.main import main; main()"]

GOOD = (HERE / "sheets" / "small.yaml").read_text(encoding="utf-8")


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


ZIP = io.BytesIO()
with zipfile.ZipFile(ZIP, "w") as archive:
    archive.writestr("sheet.yaml", GOOD)
ALIASES = b"a: &a [x, x]\n" + b"".join(
    b"%c: &%c [*%c, *%c, *%c]\n" % (n, n, n - 1, n - 1, n - 1) for n in range(98, 123)
)
STEPS = "".join(f"      - {{id: s{n}, say: a, short: a}}\n" for n in range(MOST_STEPS))
FIGURES = (f"      - {{id: s{n}, say: {'.1-' * 130}, short: {'.1-' * 26}}}\n" for n in range(250))

# What is made: bytes, the first finding's place, and words of it and its remedy.
MADE = {
    "nothing": (b"", "1:1", ["holds no procedure", "write one"]),
    "line ends only": (b"\r\n\r\n", "1:1", ["holds no procedure"]),
    "a NUL": (GOOD.replace("tube", "tu\0be", 1).encode(), "16:11", ["NUL", "save the file as UTF-8"]),
    "a bell": (GOOD.replace("gown", "go\x07wn", 1).encode(), "7:36", ["U+0007", "delete it"]),
    "a zero-width space": (GOOD.replace("small set", "small\u200b set").encode(), "3:13", ["U+200B", "ZERO WIDTH", "delete it"]),
    "a text turned round": (GOOD.replace("Sharp", "\u202eSharp").encode(), "6:11", ["RIGHT-TO-LEFT OVERRIDE"]),
    "a line separator": (GOOD.replace("Sharp tips", "Sharp\u2028tips").encode(), "6:16", ["U+2028"]),
    "a character that YAML forbids": (GOOD.replace("gown", "gown\ufffe").encode(), "7:38", ["U+FFFE", "delete it"]),
    "UTF-16 with a mark": (GOOD.encode("utf-16"), "1:1", ["UTF-16", "save the file as UTF-8"]),
    "UTF-16 without a mark": (GOOD.encode("utf-16-le"), "1:2", ["NUL", "save the file as UTF-8"]),
    "UTF-32": (GOOD.encode("utf-32"), "1:1", ["UTF-16", "save the file as UTF-8"]),
    "Windows-1252": (GOOD.encode("cp1252"), "14:29", ["0xB0", '"°" of Windows-1252']),
    "UTF-16 of the other end without a mark": (GOOD.encode("utf-16-be"), "1:1", ["NUL", "save the file as UTF-8"]),
    "Latin letters of ISO 8859-1": (GOOD.replace("gown", "g\u00f6wn").encode("latin-1"), "7:35", ["0xF6", "save the file as UTF-8"]),
    "letters of Korea's old code": (GOOD.replace("small set", "\uc791\uc740").encode("euc-kr", "ignore"), "3:8", ["0xC0", "save the file as UTF-8"]),
    "a letter longer than it need be": (b"id: \xc0\xaf\n", "1:5", ["0xC0"]),
    "half a letter of UTF-16": (b"id: \xed\xa0\x80\n", "1:5", ["0xED"]),
    "an archive": (ZIP.getvalue(), "1:", ["NUL", "give a text file"]),
    "a packed file": (gzip.compress(GOOD.encode(), mtime=0), "1:2", ["0x8B", "give a text file"]),
    "a program": (Path(sys.executable).resolve().read_bytes()[:60_000], "1:", ["NUL", "give a text file"]),
    "a printed page": (b"%PDF-1.4\n%\xe2\xe3\xcf\xd3\n", "2:2", ["0xE2"]),
    "a form feed": (GOOD.replace("components:", "\x0c\ncomponents:").encode(), "15:1", ["U+000C", "delete it"]),
    "a vertical tab": (GOOD.replace("gown", "go\x0bwn").encode(), "7:36", ["U+000B", "delete it"]),
    "a next line of mainframes": (GOOD.replace("gown", "go\x85wn").encode(), "7:36", ["U+0085", "delete it"]),
    "a soft hyphen": (GOOD.replace("small set", "small\u00ad set").encode(), "3:13", ["SOFT HYPHEN"]),
    "a joiner of width zero in a key": (GOOD.replace("title", "ti\u200dtle", 1).encode(), "3:3", ["ZERO WIDTH JOINER"]),
    "an isolated text turned round": (GOOD.replace("Sharp", "\u2066Sharp").encode(), "6:11", ["LEFT-TO-RIGHT ISOLATE"]),
    "a letter without a picture": (GOOD.replace("gown", "go\u3164wn").encode(), "7:36", ["HANGUL FILLER", "delete it"]),
    "a sign without a picture": (GOOD.replace("small set", "small\u2800set").encode(), "3:13", ["BRAILLE PATTERN BLANK"]),
    "a sign of nobody": (GOOD.replace("gown", "go\ue000wn").encode(), "7:36", ["U+E000", "delete it"]),
    "a byte order mark within": (GOOD.replace("title: ", "title: \ufeff").encode(), "3:8", ["U+FEFF", "delete it"]),
    "a mistake behind a byte order mark": (codecs.BOM_UTF8 + GOOD.replace("id: small-set", "id: Small Set").encode(), "1:5", ["no id"]),
    "a mistake with line ends of two signs": (GOOD.replace("least: 90 s", "least: 90").replace("\n", "\r\n").encode(), "36:35", ["no unit"]),
    "a mistake with line ends of old": (GOOD.replace("least: 90 s", "least: 90").replace("\n", "\r").encode(), "36:35", ["no unit"]),
    "a mistake behind a letter of two units": (GOOD.replace("{of: tray lot}", "{of: \U0001d51e lot, least_signs: 99}").encode(), "63:19", ["no plain letter", '"a"']),
    "a version of thousands of figures": (b"%YAML 1." + b"9" * 5_000 + b"\n---\n" + GOOD.encode(), "1:1", ["too large", "delete it"]),
    "an escape beyond all numbers": (GOOD.replace("small set", '"\\UFFFFFFFF"').encode(), "3:9", ["too large", "delete it"]),
    "a colour of the terminal in a tag": (GOOD.replace("small set", "!%1b%5b31m set").encode(), "3:8", [r'"!\u001B[31m"', "delete it"]),
    "a tag that is no text": (GOOD.replace("small set", "!%ff set").encode(), "3:9", ["0xff", "check"]),
    "cut within a letter": (GOOD.encode()[: GOOD.encode().index("°".encode()) + 1], "14:29", ["0xC2", "save the file as UTF-8"]),
    "a picture": (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "1:1", ["0x89", "UTF-8"]),
    "noise": (random.Random(4).randbytes(20_000), "1:", ["save the file as UTF-8"]),  # noqa: S311 - no secret
    "10 MB of one line": (b"id: " + b"a" * 10_000_000, "1:1", ["larger than", "split"]),
    "10 MB of keys": (b"id: a\n" * 1_700_000, "1:1", ["larger than", "split"]),
    "a line as long as a file may be": (b"id: " + b"x y " * (MOST_BYTES // 4 - 1), "1:1", ["missing"]),
    "a key as long as a file may be": (b"x" * (MOST_BYTES - 1), "1:1", ["no block of keys"]),
    "a number as long as a file may be": (b"revision: " + b"9" * (MOST_BYTES - 10), "1:1", ["missing"]),
    "1,100 brackets": (b"[" * 1_100 + b"]" * 1_100, "1:21", ["nested deeper", "close the brackets"]),
    "60,000 brackets": (b"id: " + b"[" * 60_000, "1:24", ["nested deeper"]),
    "60,000 braces": (b"{" * 60_000, "1:21", ["nested deeper"]),
    "1,000 blocks within each other": ("".join(f"{' ' * n}a:\n" for n in range(500)).encode(), "21:21", ["nested deeper"]),
    "60,000 dashes": (b"- " * 60_000, "1:41", ["nested deeper"]),
    "an alias bomb": (ALIASES, "1:4", ["&a", "delete it"]),
    "30,000 items": (b"- a\n" * 30_000, "", ["more than 10000 parts", "split"]),
    "20,000 keys": (b"id: a\n" * 20_000, "", ["more than 10000 parts"]),
    "1,000 wrong keys": (GOOD.encode() + b"".join(b"w%d: a\n" % n for n in range(1_000)), "65:1", ["no key of the procedure"]),
    "a step too many": ((GOOD + "      - {id: more, say: a, short: a}\n" + STEPS).encode(), "", [f"more than {MOST_STEPS} steps", "split"]),
    "8,000 needs": (GOOD.replace("[tube.measure]", f"[{'a.b,' * 8_000}]").encode(), "54:17", ["no step", "a.b"]),
    "1,400 steps": (GOOD.encode() + b"".join(b"      - {id: s%d, say: a, short: a}\n" % n for n in range(1_400)), "356:9", ["more than 300 steps", "split"]),
    "6,000 wrong needs": (GOOD.encode() + b"".join(b"      - {id: s%d, say: a, short: a, needs: [%s]}\n" % (n, b",".join(b"tube.x%d" % (n + m) for m in range(20))) for n in range(250)), "65:44", ["no step", "tube.x0"]),
    "figures on figures": ((GOOD.replace('"1.10"', "1.10") + "".join(FIGURES)).encode(), "2:11", ["quotes"]),
}  # fmt: skip


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

# ruff: noqa: E501 - the rows of a table read best on one line
"""Files that no sheet should be: of another encoding, of another format, too large, too deep."""

from __future__ import annotations

import codecs
import gzip
import io
import random
import sys
import zipfile
from pathlib import Path

from assistant.procedure.order import MOST_STEPS
from assistant.procedure.sheet_text import MOST_BYTES

GOOD = (Path(__file__).parent / "sheets" / "small.yaml").read_text(encoding="utf-8")

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
    "a tag that is no text": (GOOD.replace("small set", "!%ff set").encode(), "3:9", ["0xff", "put quotes around"]),
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

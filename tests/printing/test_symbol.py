"""The printed code, read back by zxing-cpp, a decoder that has nothing to do with its encoder."""

import io

import numpy as np
import pytest
import reading
import zxingcpp
from PIL import Image

from assistant.printing import symbol
from assistant.printing.code import ProcedureCode, SessionCode

TEXTS = [
    str(ProcedureCode("demo-grasper", "1")),
    str(ProcedureCode("a", "x" * 30)),
    str(SessionCode("20260302-080000-ab12", "shaft")),
]
DARK, LIGHT, MODULE_PX = 0, 255, 8


def picture(rows):
    """Rows of dark modules as a picture."""
    modules = np.where(np.asarray(rows), DARK, LIGHT).astype(np.uint8)
    return np.kron(modules, np.ones((MODULE_PX, MODULE_PX), np.uint8))


def from_terminal(drawn, ascii_only):
    """What a dark terminal shows, as rows of dark modules."""
    rows = []
    for line in drawn.splitlines():
        if ascii_only:
            rows.append([line[index] == " " for index in range(0, len(line), 2)])
        else:
            rows.append([sign in " ▄" for sign in line])
            rows.append([sign in " ▀" for sign in line])
    return rows


@pytest.mark.parametrize("ascii_only", [True, False])
@pytest.mark.parametrize("text", TEXTS)
def test_the_code_in_the_terminal_is_read_back(text, ascii_only):
    drawn = symbol.drawn(text, ascii_only=ascii_only)
    assert drawn.isascii() is ascii_only
    (found,) = zxingcpp.read_barcodes(picture(from_terminal(drawn, ascii_only)))
    assert found.text == text
    assert found.format == zxingcpp.BarcodeFormat.QRCode


def test_a_scratch_does_not_silence_the_code():
    rows = np.array(from_terminal(symbol.drawn(TEXTS[0], ascii_only=True), ascii_only=True))
    middle = len(rows) // 2
    rows[middle - 4 : middle + 4, middle - 4 : middle + 4] = True
    (found,) = zxingcpp.read_barcodes(picture(rows))
    assert found.text == TEXTS[0]
    # ISO/IEC 18004: level Q recovers about a quarter of the codewords.
    assert found.ec_level == "Q"


def test_the_quiet_zone_is_drawn():
    # ISO/IEC 18004: four modules on every side.
    rows = np.array(from_terminal(symbol.drawn(TEXTS[0], ascii_only=True), ascii_only=True))
    inside = rows[4:-4, 4:-4]
    assert rows.sum() == inside.sum()
    assert inside[0, :7].all()  # the upper edge of the first finder


def test_a_picture_that_is_no_code_is_read_as_none():
    blank = io.BytesIO()
    Image.new("L", (200, 200), LIGHT).save(blank, "PNG")
    assert reading.codes(blank.getvalue()) == []

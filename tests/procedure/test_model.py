from __future__ import annotations

import pytest

from assistant.procedure.sheet import parse


def test_a_component_is_found_by_its_id(small: str) -> None:
    procedure = parse(small.encode(), "x.yaml")
    assert procedure.component("rod").name == "rod"
    with pytest.raises(KeyError):
        procedure.component("sheath")

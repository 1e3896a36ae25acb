from __future__ import annotations

from pathlib import Path

import pytest

HERE = Path(__file__).parent


@pytest.fixture
def small() -> str:
    return (HERE / "sheets" / "small.yaml").read_text(encoding="utf-8")


@pytest.fixture
def full() -> str:
    return (HERE / "sheets" / "full.yaml").read_text(encoding="utf-8")

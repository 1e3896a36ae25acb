"""The words of printed matter in one language: data, from ``grammars/<language>/printed.yaml``."""

from __future__ import annotations

from functools import cache
from typing import TYPE_CHECKING

import yaml

from assistant.printing.fault import PressError
from assistant.shipped import folder

if TYPE_CHECKING:
    from collections.abc import Mapping


@cache
def words(language: str) -> Mapping[str, str]:
    """The words by their keys.

    Args:
        language: BCP 47 tag; its region does not count.

    Raises:
        PressError: the language has no such file.
    """
    path = folder("grammars") / language.partition("-")[0] / "printed.yaml"
    if not path.is_file():
        raise PressError(
            f'nothing can be printed in the language "{language}": there is no {path}; '
            "write it after the example of grammars/en/printed.yaml"
        )
    # The base loader keeps every scalar as text: "no" stays a word.
    loaded = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - it makes text only
    return {str(key): str(text) for key, text in loaded.items()}

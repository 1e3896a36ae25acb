"""One language's pack: its grammar, its words, its prompts, all from data files."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.grammar import orthography as orthography_file
from assistant.shipped import folder

if TYPE_CHECKING:
    from collections.abc import Mapping
    from pathlib import Path

    from assistant.grammar.orthography import Orthography

# Rules that the procedure at hand fills.
COMPONENT_RULE = "component"
ITEM_RULE = "item"
DEVICE_RULE = "device"


class PackError(Exception):
    """A language pack cannot be used; the message says what is missing, and where."""


@dataclass(frozen=True, slots=True)
class Pack:
    """Everything that is said or heard in one language.

    Attributes:
        language: BCP 47 tag.
        commands: path of the JSGF file of the commands.
        orthography: written forms of words, number words and their values.
        signs: the sign that each spelling word stands for.
        units: the symbol of each spoken unit; "" where the step decides.
        prompts: templates by key.
        phrases: how each verb is said, as shown to the technician.
        names: how kinds of deviations and the like are called, by their keys.
        join: what stands between the members of a list, and before its last one.
        sha256: over all files of the pack, names and contents.
    """

    language: str
    commands: Path
    orthography: Orthography
    signs: Mapping[str, str]
    units: Mapping[str, str]
    prompts: Mapping[str, str]
    phrases: Mapping[str, str]
    names: Mapping[str, str]
    join: tuple[str, str]
    sha256: str


def load(language: str) -> Pack:
    """The shipped pack of a language.

    Raises:
        PackError: there is none, or one of its files cannot be read.
    """
    root = folder("grammars") / language
    if not root.is_dir():
        known = ", ".join(sorted(path.name for path in root.parent.iterdir() if path.is_dir()))
        raise PackError(f'no language pack "{language}" in {root.parent}; there is: {known}')
    words = _mapping(root / "words.yaml")
    prompts = _mapping(root / "prompts.yaml")
    try:
        orthography = orthography_file.read(root / "words.yaml")
        return Pack(
            language=language,
            commands=root / "commands.jsgf",
            orthography=orthography,
            signs=_texts(words, "signs"),
            units=_texts(words, "units"),
            prompts=_texts(prompts, "prompts"),
            phrases=_texts(prompts, "phrases"),
            names=_texts(prompts, "names"),
            join=(str(prompts["join"]), str(prompts["join_last"])),
            sha256=_sha256(root),
        )
    except (orthography_file.OrthographyError, KeyError, TypeError) as error:
        raise PackError(f"language pack {root}: {error}") from error


def _mapping(path: Path) -> Mapping[str, object]:
    import yaml  # noqa: PLC0415 - only who reads a pack pays for the library

    try:
        # The base loader keeps every scalar as text: "no" stays a word.
        data = yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)  # noqa: S506 - it makes text only
    except (OSError, UnicodeDecodeError, yaml.YAMLError) as error:
        raise PackError(f"{path} cannot be read: {error}") from error
    if not isinstance(data, dict):
        raise PackError(f"{path} must hold keys and values")
    return data


def _texts(data: Mapping[str, object], key: str) -> Mapping[str, str]:
    table = data[key]
    if not isinstance(table, dict):
        raise TypeError(f"`{key}` must hold keys and values")
    return {str(name): str(text) for name, text in table.items()}


def _sha256(root: Path) -> str:
    digest = hashlib.sha256()
    for path in sorted(root.iterdir()):
        if path.is_file():
            digest.update(path.name.encode() + b"\0" + path.read_bytes() + b"\0")
    return digest.hexdigest()

import re
from pathlib import Path

import pytest

from assistant.cli.vocabulary import shipped_vocabulary
from assistant.grammar import pack as packs
from assistant.session.command import Verb
from assistant.session.event import DeviationKind, PendingKind
from assistant.session.refusal import Refusal

PACK = packs.load("en")
SESSION = Path(packs.__file__).parents[1] / "session"


def test_every_command_has_its_phrase():
    assert set(PACK.phrases) == set(Verb)


def test_every_refusal_deviation_and_read_back_has_its_sentence():
    wanted = {f"refused_{reason}" for reason in Refusal}
    wanted |= {f"deviation_{kind}" for kind in DeviationKind}
    wanted |= {f"withdrawn_{kind}" for kind in PendingKind}
    assert wanted <= set(PACK.prompts)


def test_every_prompt_that_the_core_names_is_in_the_pack():
    source = "".join(path.read_text() for path in SESSION.glob("*.py"))
    named = set(re.findall(r'(?:Prompt|_say)\(\s*"([a-z_]+)"', source))
    assert named
    assert named <= set(PACK.prompts)


def test_every_phrase_in_quotation_marks_may_be_said_just_so():
    known = shipped_vocabulary("en")
    texts = [*PACK.prompts.values(), *PACK.phrases.values()]
    phrases = [phrase for text in texts for phrase in re.findall(r'"([^"]+)"', text)]
    for phrase in (phrase for phrase in phrases if "{" not in phrase):
        whole = known.typed(phrase) is not None
        begun = known.automaton.can_continue(phrase.lower().split())
        assert whole or begun, f'"{phrase}" cannot be said'


def test_an_unknown_language_is_answered_with_those_there_are():
    with pytest.raises(packs.PackError, match="there is: en"):
        packs.load("tlh")


def test_the_packs_hash_changes_with_any_of_its_files(tmp_path):
    (tmp_path / "a.yaml").write_text("x")
    before = packs._sha256(tmp_path)
    (tmp_path / "a.yaml").write_text("y")
    assert packs._sha256(tmp_path) != before


@pytest.mark.parametrize(
    "text", ["- a list", "prompts: [a]\nphrases: {}\njoin: x\njoin_last: y", "a: ["]
)
def test_a_broken_pack_is_told_with_its_file(tmp_path, monkeypatch, text):
    root = tmp_path / "grammars" / "en"
    root.mkdir(parents=True)
    for path in PACK.commands.parent.iterdir():
        (root / path.name).write_bytes(path.read_bytes())
    (root / "prompts.yaml").write_text(text)
    monkeypatch.setattr(packs, "folder", lambda name: tmp_path / name)
    with pytest.raises(packs.PackError, match="en"):
        packs.load("en")

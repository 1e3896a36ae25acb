from __future__ import annotations

import time

import pytest
from sheet_reading import exchanged, read, steps, told

from assistant.procedure.fields import MOST_SIGNS
from assistant.speaking.wording import spoken

SAY = "say: Look at the tube."

PLACES = [
    ("title: full-set scope", "title: full-set {}", "title"),
    ('revision: "3"', 'revision: "3{}"', "revision"),
    ("notice: Invented", "notice: Invented{}", "notice"),
    ("[Blood can", "[Blood{} can", "hazards"),
    ("[gloves,", "[gloves{},", "protective_equipment"),
    ("delayed: Soak", "delayed: Soak{}", "delayed"),
    ("detergent: demo foam", "detergent: demo foam{}", "detergent"),
    ("onward: the packing", "onward: the packing{}", "onward"),
    (SAY, "say: Look{} at it.", "say"),
    ("short: inspect the", "short: inspect{} the", "short"),
    ("[Vent it", "[Vent{} it", "cautions"),
    ("of: soil", "of: soil{}", "of"),
    ("{of: swab,", "{of: swab{},", "of"),
]


@pytest.mark.parametrize(
    ("old", "new", "key"), PLACES, ids=[f"{row[2]}-{n}" for n, row in enumerate(PLACES)]
)
def test_a_sign_without_words_is_told_wherever_something_is_said(
    full: str, old: str, new: str, key: str
) -> None:
    # "№" is no letter and has no words in grammars/en/speech.yaml.
    sheet = exchanged(full, old, new.replace("{}", "№"))
    told_so = told(sheet)
    assert any(f'"№" (numero sign) in "{key}" cannot be said' in line for line in told_so) or (
        key == "title" and "cannot be said" in told_so[0]
    )


def test_a_question_is_said_too(full: str) -> None:
    for key, text in (("ask", "Is it 5 €?"), ("if_not", "Pay 5 €.")):
        others = {"ask": "Is it so?", "if_not": "Do it."} | {key: text}
        question = f'question: {{ask: "{others["ask"]}", if_not: "{others["if_not"]}"}}'
        sheet = exchanged(full, "inspect: {of: soil and damage, magnification: 10x}", question)
        (line,) = told(sheet)
        assert f'"€" (euro sign) in "{key}" cannot be said' in line


@pytest.mark.parametrize(
    "text",
    [
        "Hold it at 30\u201340 °C for 5 min.",
        "Use ≤ 20 psi; not more.",
        "Turn it ½ round.",
        "Add 10 µL.",
        "Don't bend it: it breaks.",
    ],
)
def test_what_has_words_is_good(full: str, text: str) -> None:
    sheet = exchanged(full, SAY, f'say: "{text}"')
    assert not told(sheet)
    assert spoken(text)


@pytest.mark.parametrize(
    ("text", "plain"),
    [("ﬁll it", "fi"), ("\uff15\uff4dm wide", ""), ("\uff2cook", "L"), ("40 ºC", "o")],
)
def test_letters_that_only_look_like_letters_are_told(full: str, text: str, plain: str) -> None:
    # Compatibility letters of the Unicode Character Database; by NFKC they become plain.
    (line,) = told(exchanged(full, SAY, f"say: {text}"))
    assert (f'write "{plain}"' in line) if plain else ("cannot be said" in line or "plain" in line)


@pytest.mark.parametrize(("key", "most"), [("short: ", 80), ("name: ", 40)])
def test_a_cue_and_a_name_are_short(full: str, key: str, most: int) -> None:
    old = f"{key}inspect the tube\n" if key == "short: " else "name: optic\n"
    word = "a" * most
    assert not told(exchanged(full, old, f"{key}{word}\n"))
    (line,) = told(exchanged(full, old, f"{key}{word}a\n"))
    assert f"has {most + 1} signs" in line


def test_a_text_has_at_most_so_many_signs(full: str) -> None:
    assert not told(exchanged(full, SAY, f"say: {'a' * MOST_SIGNS}"))
    (line,) = told(exchanged(full, SAY, f"say: {'a' * (MOST_SIGNS + 1)}"))
    assert "too many to be heard" in line


def test_a_placeholder_outside_the_texts_of_a_step_is_told(full: str) -> None:
    for old, new in (("[Blood can", "['{bath} can"), ("of: swab,", "of: '{dose}',")):
        sheet = exchanged(full, old, new)
        if new.startswith("["):
            sheet = exchanged(sheet, "infect you.]", "infect you.']")
        (line,) = told(sheet)
        assert "no placeholder is filled" in line


def test_all_that_a_good_sheet_says_has_words(full: str) -> None:
    procedure = read(full)
    texts = [procedure.title, procedure.notice, f"revision {procedure.revision}"]
    for step in steps(full).values():
        texts += [step.say, step.short, *(caution.text for caution in step.cautions)]
    for text in texts:
        assert spoken(text)


def test_a_sheet_full_of_figures_is_read_soon_enough(full: str) -> None:
    # The slowest texts there are: numbers upon numbers, as many as a sheet can hold.
    figures = "".join(
        f"      - {{id: s{n}, say: {'.1-' * 130}, short: {'.1-' * 26}}}\n" for n in range(220)
    )
    begun = time.process_time()
    assert not told(full + figures)
    assert time.process_time() - begun < 4.0

"""Every prompt of every shipped procedure can be shown and spoken."""

from decimal import Decimal

import pytest

from assistant.grammar.pack import load
from assistant.procedure.model import LimitJudge, Step, TestTask
from assistant.procedure.quantity import Quantity, Unit, Window
from assistant.session.effect import Prompt, Slot, Style
from assistant.session.effects import step_prompts
from assistant.speaking.line import line
from assistant.station.opening import read, shipped

PACK = load("en")
JUDGE = LimitJudge(Window(None, Quantity(Decimal(100), Unit.MICROGRAM)))


@pytest.mark.parametrize("path", shipped(), ids=lambda path: path.stem)
def test_every_prompt_of_every_shipped_step_has_words(path):
    for component in read(path).procedure.components:
        for step in component.steps:
            for prompt in step_prompts(step):
                said = line(PACK, prompt)
                assert said.shown
                assert not any(sign.isdigit() for sign in said.spoken)


def test_a_caution_begins_with_its_own_word():
    said = line(PACK, Prompt("caution", (Slot("text", "Do not soak the handle."),)))
    assert said.spoken.split()[0].lower().strip(".") == "caution"


def test_a_read_back_number_is_shown_as_a_number_and_spoken_sign_by_sign():
    slots = (Slot("of", "bath temperature"), Slot("value", "105", Style.DIGITS), Slot("unit", "°F"))
    said = line(PACK, Prompt("read_back_reading", slots))
    assert said.shown.startswith("Bath temperature: 105 °F.")
    assert "one zero five degrees fahrenheit" in said.spoken.lower()


def test_a_lot_is_spoken_by_the_radiotelephony_alphabet():
    said = line(
        PACK, Prompt("read_back_lot", (Slot("of", "lot"), Slot("value", "A37", Style.SPELLED)))
    )
    assert "alfa three seven" in said.spoken.lower()
    assert "A37" in said.shown


def test_choices_are_listed_as_phrases():
    slot = Slot("may_say", "next|switch:insert|go_back", Style.PHRASES)
    said = line(PACK, Prompt("not_understood", (slot,)))
    assert said.shown == (
        'I did not understand. You may say "next", "switch to the insert", or "one step back".'
    )


def test_a_test_is_asked_for_in_its_unit():
    step = Step("t", "Swab it.", "swab it", task=TestTask("swab", Unit.MICROGRAM, JUDGE))
    (said,) = (line(PACK, prompt) for prompt in step_prompts(step))
    assert said.shown == 'Swab it. Then say "value" and the number digit by digit, in µg.'
    assert said.spoken.endswith("in micrograms.")


def test_a_sentence_begins_with_a_capital_unless_its_first_word_has_one_of_its_own():
    assert line(PACK, Prompt("value_recorded", (Slot("of", "lot"),))).shown == "Lot recorded."
    ph = Slot("of", "pH of the last rinse")
    assert line(PACK, Prompt("value_recorded", (ph,))).shown == "pH of the last rinse recorded."


def test_an_empty_unit_leaves_no_gap():
    slots = (Slot("of", "count"), Slot("value", "4", Style.DIGITS), Slot("unit", ""))
    assert line(PACK, Prompt("read_back_reading", slots)).shown.startswith("Count: 4. Say")


def test_what_a_label_says_is_named_and_its_codes_are_spelled():
    text = "item: A999EYE, lot: A7/3, expires_on: 2030-01-31"
    said = line(PACK, Prompt("read_back_identity", (Slot("of", text, Style.LABEL),)))
    assert said.shown.startswith("Item: A999EYE, lot: A7/3, good until: 2030-01-31.")
    assert "lot, alfa seven slash three, good until, January thirty first" in said.spoken


# The signs that a GS1 element string may have: GS1 General Specifications, figure 7.11-1.
GS1_SIGNS = "!\"%&'()*+,-./0123456789:;<=>?ABCDEFGHIJKLMNOPQRSTUVWXYZ_abcdefghijklmnopqrstuvwxyz"


@pytest.mark.parametrize("style", [Style.LABEL, Style.SPELLED, Style.PLAIN])
def test_no_sign_of_a_scanned_code_ends_a_session(style):
    for sign in [*GS1_SIGNS, "#", "$", "@", "~", "\x1d", "é", "中", "\ufffd"]:
        text = f"lot: A{sign}7" if style is Style.LABEL else f"A{sign}7"
        said = line(PACK, Prompt("read_back_identity", (Slot("of", text, style),))).spoken
        assert said.replace(",", "").replace(".", "").replace("?", "").replace("!", "")
        assert "alfa" in said.lower() or style is Style.PLAIN


def test_a_sign_without_a_word_is_said_by_its_unicode_name():
    said = line(
        PACK, Prompt("read_back_lot", (Slot("of", "lot"), Slot("value", "A_7", Style.SPELLED)))
    )
    assert "alfa low line seven" in said.spoken.lower()

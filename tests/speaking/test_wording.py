"""Written text to words: nothing else may reach a voice engine."""

from __future__ import annotations

import string

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from assistant.speaking import speech
from assistant.speaking.wording import UnspeakableError, digits, spelled, spoken

# What voice engines are known to read wrong, each with the wanted words.
KNOWN_TO_GO_WRONG = {
    "Add 5 mL.": "Add five milliliters.",
    "5–10 min": "five to ten minutes",  # noqa: RUF001
    "5-10 min": "five to ten minutes",
    "5 - 10 min": "five to ten minutes",
    "below 120 °F": "below one hundred twenty degrees Fahrenheit",
    "30 sec": "thirty seconds",
    "1:200": "one to two hundred",
    "No. 4 brush": "number four brush",
    "30 psi": "thirty pounds per square inch",
    "2 oz": "two ounces",
    "5 mg/L": "five milligrams per liter",
}

UNITS = {
    "1 °C": "one degree Celsius",
    "43°C": "forty three degrees Celsius",
    "20 ℃": "twenty degrees Celsius",
    "-5 °F": "minus five degrees Fahrenheit",
    "−5 °F": "minus five degrees Fahrenheit",  # noqa: RUF001
    "5 mL/L": "five milliliters per liter",
    "1 fl oz/gal": "one fluid ounce per gallon",
    "7.8125 mL/L": "seven point eight one two five milliliters per liter",
    "15 L": "fifteen liters",
    "2 mm": "two millimeters",
    "60 x 50 cm": "sixty x fifty centimeters",
    "60 × 50 cm": "sixty by fifty centimeters",  # noqa: RUF001
    "100 kPa": "one hundred kilopascals",
    "300 mmHg": "three hundred millimeters of mercury",
    "1 s": "one second",
    "2 h 5 min": "two hours five minutes",
    "6.4 µg/cm²": "six point four micrograms per square centimeter",
    "6.4 μg/cm²": "six point four micrograms per square centimeter",
    "200 RLU": "two hundred relative light units",
    "5 Fr": "five French",
    "0.55 %": "zero point five five percent",
    "1.0 mL": "one point zero milliliters",
    "1,500 ppm": "one thousand five hundred parts per million",
    "a 2-mm brush": "a two millimeter brush",
    "an 8-ounce bottle": "an eight ounce bottle",
    "43 °C–50 °C": "forty three degrees Celsius to fifty degrees Celsius",  # noqa: RUF001
    "½ gal": "one half gallon",
    "1 1/2 fl oz": "one and one half fluid ounces",
    "the dose in mL/L": "the dose in milliliters per liter",
    "one zero five °F": "one zero five degrees Fahrenheit",
    "one five min": "one five minutes",
    "one °C": "one degree Celsius",
}

SIGNS = {
    "< 10": "less than ten",
    "≤43 °C": "at most forty three degrees Celsius",
    "> 3.0": "more than three point zero",
    "≥ 2 %": "at least two percent",
    "±2 °C": "plus or minus two degrees Celsius",
    "-5–-2 °C": "minus five to minus two degrees Celsius",  # noqa: RUF001
    "+5": "plus five",
    "A & B": "A and B",
    "#4": "number four",
    "7/16": "seven over sixteen",
}

NUMBERS_THAT_ARE_NO_MEASURES = {
    "at 09:05": "at nine oh five",
    "at 14:00": "at fourteen hundred",
    "at 14:30:01": "at fourteen thirty and one second",
    "2026-11-30": "November thirtieth, twenty twenty six",
    "2026-13-30": "two zero two six one three three zero",
    "the 21st": "the twenty first",
    "revision 1.10": "revision one point one zero",
    "version 1.10.2": "version one point ten point two",
    "part A-12": "part A one two",
    "code A7k2": "code A seven K two",
    "step-2": "step two",
    "007": "zero zero seven",
    "1" * 16: " ".join(["one"] * 16),
}

ENGINE_TRAPS = {
    "[[test]] soak": "test, soak",
    "-v en": "v en",
    "- rinse": "rinse",
    "-5": "minus five",
    "Rinse\nBrush\n\nDry": "Rinse. Brush. Dry",
    "Rinse.\nBrush": "Rinse. Brush",
    "a\tb": "a b",
    "a < b": "a less than b",
    "<b>": "less than b more than",
    'Say "next".': "Say next.",
    "Don’t open it…": "Don't open it",  # noqa: RUF001
    "Soak (insert); brush — then rinse.": "Soak, insert, brush, then rinse.",
    "Ready?!": "Ready?",
    "do NOT open": "do NOT open",
    "naïve café": "naïve café",
    "take-apart": "take apart",
    "PPE, e.g., gloves and/or IFU": "P P E, for example, gloves and or I F U",
    "": "",
    "...": "",
}


@pytest.mark.parametrize(
    ("text", "words"),
    [
        pair
        for table in (
            KNOWN_TO_GO_WRONG,
            UNITS,
            SIGNS,
            NUMBERS_THAT_ARE_NO_MEASURES,
            ENGINE_TRAPS,
        )
        for pair in table.items()
    ],
)
def test_text_is_said_as_a_colleague_would_say_it(text, words):
    assert spoken(text) == words


@pytest.mark.parametrize(
    ("text", "symbol", "position"),
    [
        ("Soak ☠ now", "☠", 5),
        ("wash/rinse", "/", 4),
        ("5 m²", "²", 3),
        ("50 €", "€", 3),
        ("a_b", "_", 1),
        ("٣", "٣", 0),
        ("\x07", "\x07", 0),
    ],
)
def test_a_sign_without_words_is_named_with_its_place(text, symbol, position):
    with pytest.raises(UnspeakableError, match="cannot be said") as caught:
        spoken(text)
    assert (caught.value.symbol, caught.value.text, caught.value.position) == (
        symbol,
        text,
        position,
    )


PLAIN = st.text(alphabet=string.ascii_letters + "äéñøß" + " ,.?!'")


def only_words(text: str) -> bool:
    return all(sign.isalpha() or sign in " ',.?!" for sign in text)


@given(PLAIN)
def test_plain_words_are_always_said(text):
    assert only_words(spoken(text))


@given(st.lists(st.text(alphabet=string.ascii_lowercase, min_size=5, max_size=9), max_size=8))
def test_plain_words_are_said_unchanged_and_in_order(words):
    assert spoken(" ".join(words)).split() == words


@given(st.text(alphabet=st.characters() | st.sampled_from("0123456789.,:-–/%°µ²<≤±[]() \n")))  # noqa: RUF001
@example("1/0")
@example("1,234,56")
@example("½/½")
@example("0" * 400)
def test_whatever_is_written_only_words_leave_or_a_sign_is_named(text):
    try:
        words = spoken(text)
    except UnspeakableError as error:
        found = error.text[error.position]
        words = "" if found == error.symbol else found
    assert only_words(words)
    assert words[:1] not in set(",.?!")


def sample(unit: str) -> str:
    return f"Use 7 {unit} of it"


def test_every_unit_of_the_table_is_said_in_words_after_a_number():
    units = speech.load("en").units
    assert len(units) > 40
    for unit, (_, several) in units.items():
        assert spoken(sample(unit)) == f"Use seven {several} of it"


def value(words: str) -> int:
    """A whole number below a million back from its English words, written independently."""
    small = "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen"
    small += " fifteen sixteen seventeen eighteen nineteen"
    tens = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
    total = part = 0
    for word in words.split():
        if word == "hundred":
            part *= 100
        elif word == "thousand":
            total, part = part * 1000, 0
        else:
            part += 10 * tens.index(word) + 20 if word in tens else small.split().index(word)
    return total + part


@given(st.integers(0, 999_999))
def test_number_words_mean_the_number_that_was_written(number):
    assert value(spoken(str(number))) == number


def test_teens_and_tens_are_told_apart_digit_by_digit():
    # Read-back digit by digit: NATO/ICAO practice; 13 and 30 sound alike in noise.
    assert [digits(str(number)) for number in (13, 30, 105)] == [
        "one three",
        "three zero",
        "one zero five",
    ]


@pytest.mark.parametrize(
    ("number", "words"),
    [
        ("98.6", "nine eight point six"),
        ("-4", "minus four"),
        ("\u22124.0", "minus four point zero"),
        ("0.05", "zero point zero five"),
    ],
)
def test_a_number_is_read_back_digit_by_digit(number, words):
    assert digits(number) == words


@pytest.mark.parametrize("number", ["1O5", "5 mL", "1.2.3", "4-5"])
def test_what_is_no_number_is_not_read_back_as_one(number):
    with pytest.raises(UnspeakableError):
        digits(number)


def test_lots_are_spelled_with_the_radiotelephony_alphabet():
    # ICAO Annex 10, Volume II, 5.2.1.3; ITU Radio Regulations, Appendix 14.
    alphabet = (
        "alfa bravo charlie delta echo foxtrot golf hotel india juliett kilo lima mike november "
        "oscar papa quebec romeo sierra tango uniform victor whiskey x ray yankee zulu"
    )
    assert spelled(string.ascii_uppercase) == alphabet
    assert spelled("a7-K 2") == "alfa seven dash kilo two"


def test_a_lot_with_a_sign_that_cannot_be_spelled_is_refused():
    with pytest.raises(UnspeakableError, match="sign 3"):
        spelled("A7*")


def test_a_language_without_speech_data_is_told_in_a_sentence():
    with pytest.raises(speech.SpeechDataError, match=r"speech\.yaml cannot be read"):
        spoken("hello", "xx")


def test_speech_data_that_lacks_something_names_the_file(tmp_path, monkeypatch):
    (tmp_path / "yy").mkdir()
    (tmp_path / "yy" / "speech.yaml").write_text("units: {mL: one}\n", encoding="utf-8")
    (tmp_path / "yy" / "words.yaml").write_text("signs: {}\n", encoding="utf-8")
    monkeypatch.setattr(speech, "folder", lambda _: tmp_path)
    with pytest.raises(speech.SpeechDataError, match=r"yy.speech\.yaml does not say everything"):
        speech.load("yy")


@pytest.mark.parametrize("text", ["- just\n- a list\n", "{", "\xff"])
def test_speech_data_that_is_no_table_names_the_file(text, tmp_path, monkeypatch):
    (tmp_path / "yy").mkdir()
    (tmp_path / "yy" / "speech.yaml").write_text(text, encoding="latin-1")
    monkeypatch.setattr(speech, "folder", lambda _: tmp_path)
    with pytest.raises(speech.SpeechDataError, match=r"speech\.yaml"):
        speech.load("yy")

import pytest

from assistant.hearing.recognizer import ModelMissingError
from assistant.hearing.vocabulary import UnsayableWordsError, known_forms

KNOWN = {"next", "x", "ray", "alpha", "say", "again"}


def forms(words, spellings=None):
    return known_forms(words, spellings or {}, KNOWN.__contains__, "the model")


def test_a_known_word_stands_for_itself():
    assert forms(["next", "say"]) == {"next": "next", "say": "say"}


def test_a_word_the_model_lacks_is_written_as_one_it_has():
    spellings = {"alfa": ("alpha",), "xray": ("x-ray", "x ray"), "next": ("nekst",)}
    assert forms(["alfa", "xray", "next"], spellings) == {
        "alfa": "alpha",
        "xray": "x ray",
        "next": "next",
    }


def test_a_compound_is_written_as_its_two_parts():
    assert forms(["sayagain", "alphanext"]) == {"sayagain": "say again", "alphanext": "alpha next"}
    with pytest.raises(UnsayableWordsError):
        forms(["xray"])  # a part of one letter is no word


def test_every_unknown_word_is_named_with_the_share_that_is_known():
    with pytest.raises(UnsayableWordsError) as caught:
        forms(["zorbex", "next", "rinsd"], {"zorbex": ("zorb ex",)})
    assert caught.value.words == ("rinsd", "zorbex")
    assert 'knows 1 of the grammar\'s 3 words and can never hear "rinsd", "zorbex"' in str(
        caught.value
    )
    assert "check their spelling" in str(caught.value)


def test_a_model_that_knows_no_word_is_for_another_language():
    with pytest.raises(ModelMissingError, match=r"knows 0 of .* another language"):
        forms(["다음", "단계"])

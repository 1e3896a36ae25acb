"""Code texts: what they say, and what is none of them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from assistant.printing.code import (
    CodeError,
    ProcedureCode,
    SessionCode,
    is_ours,
    procedure_of,
    session_of,
)

SESSION = "20260302-080000-ab12"
REVISION = st.text(st.characters(exclude_categories=["Cs"]), min_size=1, max_size=30)


def test_a_cards_code_says_which_procedure_and_revision():
    code = ProcedureCode("demo-grasper", "1")
    assert str(code) == "sinkside:procedure:demo-grasper:1"
    assert procedure_of("sinkside:procedure:demo-grasper:1") == code


def test_a_labels_code_leads_to_the_session_and_the_part():
    code = SessionCode(SESSION, "shaft")
    assert str(code) == f"sinkside:session:{SESSION}:shaft"
    assert session_of(str(code)) == code


@pytest.mark.parametrize(
    ("revision", "written"),
    [
        ("1.10", "1.10"),
        # RFC 3986, section 2.1: a space is %20; section 2.3: what is unreserved stays.
        ("2 b", "2%20b"),
        ("a:b/c", "a%3Ab%2Fc"),
        ("-._~", "-._~"),
        # RFC 3986, section 2.5: LATIN CAPITAL LETTER A WITH GRAVE is written %C3%80.
        ("\u00c0", "%C3%80"),
    ],
)
def test_a_revision_is_written_in_signs_that_any_scanner_types(revision, written):
    text = str(ProcedureCode("demo", revision))
    assert text == f"sinkside:procedure:demo:{written}"
    assert procedure_of(text).revision == revision


@given(REVISION)
def test_any_revision_is_read_back_as_it_was(revision):
    text = str(ProcedureCode("demo", revision))
    assert text.isascii()
    assert " " not in text
    assert procedure_of(text) == ProcedureCode("demo", revision)


# ISO/IEC 15424: ]Q1 is a QR Code, model 2.
@pytest.mark.parametrize("around", ["{}", "]Q1{}", "{}\r\n", " {}\t"])
def test_a_scanners_prefix_and_line_end_do_not_count(around):
    text = f"sinkside:session:{SESSION}:shaft"
    assert is_ours(around.format(text))
    assert session_of(around.format(text)) == SessionCode(SESSION, "shaft")


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ("", "none of our codes"),
        ("(01)09521234543213", "none of our codes"),
        ("https://sinkside:session", "none of our codes"),
        (f"sinkside:session:{SESSION}:shaft", "the code of a part's label"),
        ("sinkside", "damaged"),
        ("sinkside:procedure", "damaged"),
        ("sinkside:procedure:demo", "damaged"),
        ("sinkside:procedure:demo:", "damaged"),
        ("sinkside:procedure::1", "damaged"),
        ("sinkside:procedure:demo:1:2", "damaged"),
        ("sinkside:procedure:demo:%zz", "damaged"),
        ("sinkside:procedure:demo:%FF", "damaged"),
        ("sinkside:procedure:../demo:1", "damaged"),
        ("sinkside:device:demo:1", "damaged"),
    ],
)
def test_a_text_that_is_no_cards_code_is_refused_with_a_remedy(text, what):
    with pytest.raises(CodeError, match=what) as caught:
        procedure_of(text)
    assert "scan" in caught.value.remedy


def test_a_cards_code_is_no_labels_code():
    with pytest.raises(CodeError, match="the code of a procedure's card"):
        session_of("sinkside:procedure:demo:1")


def test_signs_that_another_keyboard_made_of_the_colons_are_called_so():
    # A scanner set to a US keyboard types ":" as shift and the key that is "Ö" in Germany.
    with pytest.raises(CodeError, match="none of our codes"):
        procedure_of("sinksideÖprocedureÖdemoÖ1")
    with pytest.raises(CodeError, match="another keyboard"):
        procedure_of("sinkside:procedureÖdemoÖ1")


def test_an_id_that_could_not_be_read_back_is_never_written():
    with pytest.raises(CodeError, match="cannot stand in a code"):
        str(SessionCode("a:b", "shaft"))


@given(st.text(max_size=80) | st.text(max_size=40).map("sinkside:procedure:{}".format))
def test_any_text_is_read_or_refused(text):
    try:
        found = procedure_of(text)
    except CodeError as error:
        told = str(error)
    else:
        told = str(found)
        assert procedure_of(told) == found
    assert told.isprintable()

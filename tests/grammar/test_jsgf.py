"""JSGF: W3C Note "JSpeech Grammar Format", 5 June 2000 (called "the Note" below)."""

from pathlib import Path

import pytest

from assistant.grammar import automaton, jsgf

HEAD = "#JSGF V1.0;\ngrammar demo;\n"


def said(text, loops=2):
    return set(automaton.build(jsgf.parse(text)).sentences(loops))


def test_the_window_commands_of_the_note_are_understood():
    # The Note, section 5.1, "Simple Command and Control": its rules, our comments.
    grammar = jsgf.parse("""#JSGF V1.0;
        grammar com.acme.commands;
        // a comment
        public <basicCmd> = <startPolite> <command> <endPolite>;
        <command> = <action> <object>;
        <action> = /10/ open |/2/ close |/1/ delete |/1/ move;
        <object> = [the | a] (window | file | menu);
        <startPolite> = (please | kindly | could you | oh mighty computer) *;
        <endPolite> = [ please | thanks | thank you ]; /* the end */""")
    words = automaton.build(grammar)
    for sentence in ("open a window", "oh mighty computer please open a menu", "move file thanks"):
        assert words.parse(sentence.split()) is not None
    for other in ("open", "thanks open a menu", "open a window please thanks"):
        assert words.parse(other.split()) is None


def test_a_tag_belongs_to_the_item_just_before_it():
    # The Note, section 4.6: a tag is attached to the preceding rule expansion.
    words = automaton.build(jsgf.parse(HEAD + "public <a> = please (open {OPEN} | close {CLOSE});"))
    parse = words.parse(["please", "open"])
    assert parse is not None
    assert parse.tags == (("OPEN", "open"),)


def test_an_escaped_brace_is_part_of_its_tag():
    # The Note, section 4.6.1: "\\}" and "\\\\" inside tags.
    words = automaton.build(jsgf.parse(HEAD + r"public <a> = open {a \{b\} \\c};"))
    parse = words.parse(["open"])
    assert parse is not None
    assert parse.tags == ((r"a {b} \c", "open"),)


def test_sequence_binds_closer_than_alternatives():
    # The Note, section 4.7, precedence.
    assert said(HEAD + "public <a> = b c | d;") == {"b c", "d"}


def test_star_plus_and_brackets_repeat_as_the_note_says():
    # The Note, sections 4.4.2 and 4.5.
    assert {"x", "x b", "x b b"} <= said(HEAD + "public <a> = x b*;", 3)
    assert "x" not in said(HEAD + "public <a> = x b+;")
    assert said(HEAD + "public <a> = x [b];") == {"x", "x b"}


def test_null_is_silent_and_void_blocks_its_alternative():
    # The Note, section 4.9.
    assert said(HEAD + "public <a> = b <NULL> c | d <VOID>;") == {"b c"}


def test_an_alternative_of_weight_zero_is_never_spoken():
    # The Note, section 4.3.3: weights are relative likelihoods; zero is never.
    assert said(HEAD + "public <a> = /0/ b | /2.5/ c | /1e-3/ d;") == {"c", "d"}


def test_quoted_words_are_one_token():
    # The Note, section 2.3.
    words = automaton.build(jsgf.parse(HEAD + 'public <a> = the "New York" "+" sign;'))
    assert words.words == {"the", "New York", "+", "sign"}


@pytest.mark.parametrize(
    ("text", "place", "words"),
    [
        ("hello", "1:1", "#JSGF V1.0;"),
        ("", "1:1", "#JSGF V1.0;"),
        ("#JSGF V2.0;\ngrammar g;\npublic <a> = b;", "1:1", "only version 1.0"),
        (HEAD + "public <a> = b\n<c> = d;", "4:5", "not closed with `;`"),
        (HEAD + "public <a> = b", "3:15", "close it with `;`"),
        (HEAD + "public <a> = <q>;", "3:14", "<q> is not defined"),
        (HEAD + "public <a> = x <a>;", "3:16", "leads back to itself"),
        (HEAD + "public <a> = <b>;\n<b> = [x] <a>;", "4:11", "`*` or `+`"),
        (HEAD + "public <a> = ;", "3:14", "<NULL>"),
        (HEAD + "public <a> = (b;", "3:16", "missing"),
        (HEAD + 'public <a> = "b;', "3:14", "quotation is not closed"),
        (HEAD + "public <a> = b {x;", "3:16", "tag is not closed"),
        (HEAD + "public <a> = /x/ b;", "3:14", "no weight"),
        (HEAD + "public <a> = b;\n<a> = c;", "4:1", "second time"),
        (HEAD + "import <n.x>;\npublic <a> = b;", "3:8", "cannot be imported"),
    ],
)
def test_a_broken_grammar_is_told_where_and_what_to_write(text, place, words):
    with pytest.raises(jsgf.JsgfError) as caught:
        jsgf.parse(text, "demo.jsgf")
    assert str(caught.value).startswith(f"demo.jsgf:{place}: ")
    assert words in str(caught.value)


def test_a_grammar_without_a_public_rule_is_refused():
    with pytest.raises(jsgf.JsgfError, match="no rule is public"):
        jsgf.parse(HEAD + "<a> = b;")


def test_imports_are_read_beside_the_file_and_rules_of_one_name_stay_apart(tmp_path):
    (tmp_path / "n.jsgf").write_text(
        "#JSGF V1.0;\ngrammar n;\npublic <two> = <u> more;\n<u> = imported;"
    )
    top = tmp_path / "top.jsgf"
    top.write_text(
        "#JSGF V1.0;\ngrammar top;\nimport <n.*>;\npublic <a> = <u> <two> <n.two>;\n<u> = own;"
    )
    grammar = jsgf.load(top)
    expected = {"own imported more imported more"}
    assert set(automaton.build(grammar).sentences()) == expected
    assert said(grammar.flat()) == expected


def test_an_import_that_is_no_public_rule_names_those_that_are(tmp_path):
    (tmp_path / "n.jsgf").write_text("#JSGF V1.0;\ngrammar n;\npublic <x> = b;\n<y> = c;")
    top = tmp_path / "top.jsgf"
    top.write_text("#JSGF V1.0;\ngrammar top;\nimport <n.y>;\npublic <a> = <y>;")
    with pytest.raises(jsgf.JsgfError, match=r"top\.jsgf:3:8: .*it has <n\.x>"):
        jsgf.load(top)


def test_a_missing_file_is_told_where_it_was_imported(tmp_path):
    top = tmp_path / "top.jsgf"
    top.write_text("#JSGF V1.0;\ngrammar top;\nimport <gone.y>;\npublic <a> = <y>;")
    with pytest.raises(jsgf.JsgfError, match=r"top\.jsgf:3:8: .*gone\.jsgf cannot be read"):
        jsgf.load(top)
    with pytest.raises(jsgf.JsgfError, match="cannot be read"):
        jsgf.load(tmp_path / "none.jsgf")


def test_fills_take_the_place_of_a_rule_and_an_unknown_one_is_refused(tmp_path):
    top = tmp_path / "top.jsgf"
    top.write_text(HEAD + "public <a> = wash <part> | next;\n<part> = <VOID>;")
    assert set(automaton.build(jsgf.load(top)).sentences()) == {"next"}
    filled = jsgf.load(top, {"part": ["long shaft", "tray"]})
    assert set(automaton.build(filled).sentences()) == {"next", "wash long shaft", "wash tray"}
    with pytest.raises(jsgf.JsgfError, match="<nothing> is to be filled"):
        jsgf.load(top, {"nothing": ["x"]})


def test_the_shipped_grammar_flat_says_the_same(request):
    path = Path(request.config.rootpath) / "grammars" / "en" / "commands.jsgf"
    grammar = jsgf.load(path, {"component": ["handle", "cable"]})
    nested, flat = automaton.build(grammar), automaton.build(jsgf.parse(grammar.flat()))
    assert "import" not in grammar.flat()
    assert nested.words == flat.words
    for sentence in ("switch to the cable", "value one oh five point two percent"):
        parse, plain = nested.parse(sentence.split()), flat.parse(sentence.split())
        assert parse is not None
        assert parse.tags
        assert plain == automaton.Parse(sentence, ())

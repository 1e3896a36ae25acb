from __future__ import annotations

import pytest

from assistant.procedure.finding import Finding, Findings, Mark
from assistant.procedure.yaml_nodes import MOST_DEPTH, Mapping, Scalar, Sequence, parse


def at(line: int, column: int) -> Mark:
    return Mark(line, column, "x.yaml")


def told(text: str) -> list[Finding]:
    findings = Findings("x.yaml")
    assert parse(text, findings) is None
    return findings.sorted()


def test_every_scalar_is_text_with_its_place_and_its_quotes() -> None:
    findings = Findings("x.yaml")
    node = parse("a: no\nb: ['1:30', 1.10]\n", findings)
    assert node == Mapping(
        (
            (Scalar("a", plain=True, mark=at(1, 1)), Scalar("no", plain=True, mark=at(1, 4))),
            (
                Scalar("b", plain=True, mark=at(2, 1)),
                Sequence(
                    (
                        Scalar("1:30", plain=False, mark=at(2, 5)),
                        Scalar("1.10", plain=True, mark=at(2, 13)),
                    ),
                    at(2, 4),
                ),
            ),
        ),
        at(1, 1),
    )
    assert not findings


@pytest.mark.parametrize("text", ["", "\n\n", "# only\n# comments\n", "---\n", "---\n...\n", "''"])
def test_a_file_without_a_document_is_one_sentence(text: str) -> None:
    (finding,) = told(text)
    assert "holds no procedure" in finding.what


def test_a_second_document_is_told_where_it_begins() -> None:
    (finding,) = told("a: b\n---\nc: d\n")
    assert finding.line == 2
    assert "second document" in finding.what


def test_anchors_aliases_and_tags_are_all_told() -> None:
    found = told("a: &x 1\nb: *x\nc: !!python/name:os.system d\ne: !local f\n")
    assert [finding.line for finding in found] == [1, 2, 3, 4]
    for finding, part in zip(found, ["&x", "*x", "python/name", "!local"], strict=True):
        assert part in finding.what


def test_nesting_is_limited() -> None:
    (finding,) = told("[" * (MOST_DEPTH + 1) + "]" * (MOST_DEPTH + 1))
    assert "deeper than" in finding.what
    findings = Findings("x.yaml")
    assert parse("[" * MOST_DEPTH + "]" * MOST_DEPTH, findings) is not None


@pytest.mark.parametrize(
    ("text", "place", "remedy"),
    [
        ("a: b: c\n", (1, 5), "quotes"),
        ("a:\n\tb: c\n", (2, 1), "tabs"),
        ("a: 'b\n", (1, 4), "close the quotes"),
        ("a: [b\n", (1, 4), "close"),
        ("a: {b: c?, d: e}\n", (1, 9), "question mark"),
        ("a: b\n c\nd\n", (3, 1), '": "'),
        ("a: b\n  c: d\n", (2, 4), "indentation"),
        ("a: [b\nc: d\n", (2, 2), "close the bracket"),
        ("a: *b* c\n", (1, 6), "quotes"),
        ('a: "\\q"\n', (1, 6), "single quotes"),
        ("- a\nb: c\n", (2, 1), "same column"),
        ("%YAML 3.0\n---\na: b\n", (1, 1), "delete the line"),
    ],
)
def test_broken_yaml_is_told_with_its_place_and_a_remedy(
    text: str, place: tuple[int, int], remedy: str
) -> None:
    (finding,) = told(text)
    assert (finding.line, finding.column) == place
    assert remedy in finding.remedy


def test_a_character_that_yaml_forbids_is_told_with_its_place() -> None:
    (finding,) = told("a: b\nc: \ufffe\n")
    assert (finding.line, finding.column) == (2, 4)


def test_what_is_left_open_is_told_with_the_line_where_it_begins() -> None:
    (finding,) = told("a: 1\nb: [c\nd: e\n")
    assert "in what begins on line 2" in finding.what


@pytest.mark.parametrize(
    ("text", "cut"),
    [
        ("a: cap #3\n", "cap"),
        ("a:\n  b c  #3 of d\n", "b c"),
        ("a: b # 3\n", ""),
        ("a: b  # three\n", ""),
        ("a: b ###\n", ""),
        ("a: b#3\n", ""),
        ("a: 'cap #3'\n", ""),
        ("a: 'cap' #3\n", ""),
        ("# a\n#b\na: b\n#c\n", ""),
    ],
)
def test_a_text_that_a_number_sign_cuts_is_told(text: str, cut: str) -> None:
    # YAML 1.1, chapter 6.6: " #" begins a comment.  Nobody means one in "cap #3".
    findings = Findings("x.yaml")
    parse(text, findings)
    assert [f'"{cut}" ends before a "#"' in f.what for f in findings.sorted()] == [True] * bool(cut)

"""The words a model knows, held against the words a grammar needs."""

from __future__ import annotations

from typing import TYPE_CHECKING

from assistant.hearing.recognizer import ModelMissingError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

# Letters of the shorter part of a compound; "a" and "in" begin too much.
_PART = 3


class UnsayableWordsError(ModelMissingError):
    """The model does not know words of the grammar, so they could never be heard.

    Attributes:
        words: the unknown words, in alphabetical order.
    """

    def __init__(self, words: tuple[str, ...], of: int, model: str) -> None:
        self.words = words
        named = ", ".join(f'"{word}"' for word in words)
        if len(words) == of:
            remedy = "the model is for another language, or spells words in another way"
        else:
            remedy = (
                "check their spelling, say it in other words in the grammar, or use another model"
            )
        super().__init__(
            f"{model}: knows {of - len(words)} of the grammar's {of} words and can never hear "
            f"{named}: {remedy}"
        )


def known_forms(
    words: Iterable[str],
    spellings: Mapping[str, Sequence[str]],
    knows: Callable[[str], bool],
    model: str,
) -> dict[str, str]:
    """For every word a way to write it that the model knows; the word itself if it can be.

    Args:
        words: of the grammar; one that no dictionary has may be two that it has
            ("handpiece").
        spellings: for a word, other ways to write the same sound; a form may be
            several words ("x ray").
        knows: whether the model's vocabulary has a single word.
        model: what the message calls the model.

    Raises:
        UnsayableWordsError: naming every word that the model knows in no form.
    """
    forms: dict[str, str] = {}
    unknown: list[str] = []
    for word in sorted(set(words)):
        known = (
            form
            for form in (word, *spellings.get(word, ()), *_compounds(word))
            if form.split() and all(knows(part) for part in form.split())
        )
        form = next(known, None)
        if form is None:
            unknown.append(word)
        else:
            forms[word] = form
    if unknown:
        raise UnsayableWordsError(tuple(unknown), len(forms) + len(unknown), model)
    return forms


def _compounds(word: str) -> Iterator[str]:
    """The word as two words, the most even parts first: "hand piece"."""
    middle = len(word) / 2
    for place in sorted(range(_PART, len(word) - _PART + 1), key=lambda n: abs(n - middle)):
        yield f"{word[:place]} {word[place:]}"

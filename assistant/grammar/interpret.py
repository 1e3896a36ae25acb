"""From a sentence of the grammar to the command that it gives.

The outermost tag is the verb; inner tags carry its value and unit.  Limits are
not judged here: a number that no step would accept is a number all the same.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from assistant.grammar.automaton import Automaton, build
from assistant.grammar.digits import DigitWriter
from assistant.grammar.jsgf import load as load_grammar
from assistant.grammar.pack import COMPONENT_RULE, DEVICE_RULE, ITEM_RULE, Pack
from assistant.grammar.written import WrittenForms
from assistant.procedure.model import CountTask
from assistant.session.command import Command, Verb

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping, Sequence

    from assistant.grammar.automaton import Parse
    from assistant.grammar.expansion import Grammar
    from assistant.procedure.model import Procedure

_VERBS = {str(verb): verb for verb in Verb}
_SEARCHED = ("value", "component", "item", "reason", "problem", "body", "what")
_NUMBERS = (Verb.READING, Verb.TAP_WATER)
_CODES = (Verb.LOT, Verb.CONTAINER)
_ITEMS = (Verb.MISSING, Verb.DAMAGED)


@dataclass(frozen=True, slots=True)
class Interpreter:
    """What may be said in one language about one procedure, and what it means.

    Attributes:
        pack: the language pack.
        grammar: its commands, with the procedure's component names filled in.
        automaton: the grammar's automaton.
        components: component id by spoken name.
        items: id of a counted item by spoken name.
        devices: procedure id by spoken name.
    """

    pack: Pack
    grammar: Grammar
    automaton: Automaton
    components: Mapping[str, str]
    items: Mapping[str, str]
    devices: Mapping[str, str]

    def command(self, tags: Sequence[tuple[str, str]]) -> Command | None:
        """The command that a sentence's tags give; None where they name no verb."""
        verb = next((_VERBS[tag] for tag, _ in reversed(tags) if tag in _VERBS), None)
        if verb is None:
            return None
        # "lot" and "reading" are verbs, so a value's tag never hides a verb's.
        words = dict(tags)
        value = next((words[tag] for tag in _SEARCHED if tag in words), "")
        unit = self.pack.units.get(words.get("unit", ""), "")
        return Command(verb, self._value(verb, value), unit)

    def typed(self, text: str) -> Parse | None:
        """The sentence that typed words give, digits and letters included."""
        forms = WrittenForms(self.automaton, self.pack.orthography)
        tokens = text.lower().split()
        for line in (" ".join(tokens), " ".join(self._spelled(token) for token in tokens)):
            for words in forms.readings(line):
                return self.automaton.parse(words)
        return None

    def _spelled(self, token: str) -> str:
        """A code such as "a37" as its spelling words; any other token as it is."""
        if token in self.automaton.words:
            return token
        words = {sign.lower(): word for word, sign in self.pack.signs.items()}
        return " ".join(words.get(sign, sign) for sign in token)

    def _value(self, verb: Verb, words: str) -> str:
        if verb in _NUMBERS:
            return number(words.split(), DigitWriter(self.pack.orthography))
        if verb in _CODES:
            return self._signs(words)
        if verb is Verb.EXPIRY:
            return "".join(str(self.pack.orthography.numbers[word]) for word in words.split())
        if verb in _ITEMS:
            return self.items[words]
        if verb is Verb.SWITCH:
            return self.components[words]
        return self.devices[words] if verb is Verb.DEVICE else words

    def _signs(self, words: str) -> str:
        """The letters and digits of a spelled lot; a sign may have several words ("x ray")."""
        signs = {**self.pack.signs, **{w: str(n) for w, n in self.pack.orthography.numbers.items()}}
        text, rest = "", words
        while rest:
            phrase = max((p for p in signs if f"{rest} ".startswith(f"{p} ")), key=len)
            text += signs[phrase]
            rest = rest[len(phrase) + 1 :]
        return text


def interpreter(pack: Pack, procedures: Iterable[Procedure]) -> Interpreter:
    """The interpreter for one procedure, or for several at once (for samples).

    Raises:
        JsgfError: the pack's grammar is broken.
    """
    procedures = tuple(procedures)
    components = {
        name.lower(): component.id
        for procedure in procedures
        for component in procedure.components
        for name in (component.name, *component.also)
    }
    items = {
        item.name.lower(): item.id
        for procedure in procedures
        for component in procedure.components
        for step in component.steps
        if isinstance(step.task, CountTask)
        for item in step.task.items
    }
    devices = {
        " ".join(name.lower().replace("-", " ").split()): procedure.id
        for procedure in procedures
        for name in (procedure.title, *procedure.also)
    }
    fills = {COMPONENT_RULE: components, ITEM_RULE: items, DEVICE_RULE: devices}
    grammar = load_grammar(pack.commands, {rule: sorted(names) for rule, names in fills.items()})
    return Interpreter(pack, grammar, build(grammar), components, items, devices)


def number(words: Sequence[str], writer: DigitWriter) -> str:
    """The plain decimal text of a spoken number: "one oh five" is "105".

    Args:
        words: number words of the grammar.
        writer: the language's number words.
    """
    text = "".join(writer.canonical(words))
    whole, point, fraction = text.partition(".")
    return (whole.lstrip("0") or "0") + point + fraction

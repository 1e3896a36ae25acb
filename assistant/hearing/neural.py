"""The English recognizer: a small speech model, decoded under the grammar.

Only texts of the grammar are searched, and beside them the model writes freely what
it hears.  A sentence may act when the grammar explains the sound nearly as well as
the free text does; other speech is explained much better by free text.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np

from assistant.grammar.written import WrittenForms
from assistant.hearing import tokens
from assistant.hearing.beam import Search, search
from assistant.hearing.recognizer import SAMPLE_RATE, Hypothesis, ModelMissingError
from assistant.hearing.speech_model import REMEDY, CachedDecoder, SpeechModel, model_folder
from assistant.hearing.tokens import TokenFileError, TokenGrammar

if TYPE_CHECKING:
    from collections.abc import Sequence
    from pathlib import Path as FilePath

    import numpy.typing as npt

    from assistant.grammar.automaton import Automaton, Parse
    from assistant.grammar.orthography import Orthography
    from assistant.hearing.beam import Found, Path
    from assistant.hearing.recognizer import Utterance

LONGEST_S = 8.0  # the decoder fails above 384 states, about 9.2 s
SHORTEST_S = 0.1  # less is a click
_LEAD_S, _TAIL_S = 0.2, 0.3  # silence put around the sound, seconds
_FRAME = 320  # samples, 20 ms
_QUIET = 1e-3  # a frame 30 dB below the loudest is not speech
_SILENCE_S = 1.5  # of silence, in which the model's own expectations are measured
_COUNTED = 15  # letters from which a sentence's length is compared with the free text's
_WEIGHED = 12  # texts of one search that are weighed against silence
_MOST_PRIORS = 20_000  # texts kept; some 5 MB
_NO_SENTENCE = -999.0  # score where the grammar has nothing to offer; finite for records
_SILENCE = 1e-4  # full scale 1.0: below this nothing was said


class UnwritableWordError(ValueError):
    """A word of the grammar that the model cannot write; the message names it."""


@dataclass(frozen=True, slots=True)
class Thresholds:
    """When a sentence may act, and how it is searched for.

    Chosen on 336 commands by six synthesized voices, 100 recorded drink orders, 63
    sentences of other talk and near misses by two voices, and 50 recorded stretches of
    talk.  Noise falls below the limit by letter, since free text fits noise no better
    than a command does; other speech falls below the limit by score, which a longer
    sentence may undercut further.  A small lead between two values ("sixteen",
    "sixty") means that the value must be said again.  What still gets through are
    near misses of the one short word: "text", "nest" and "necks" for "next".

    Attributes:
        least_score: nats; how much worse than free text the shortest sentence may be.
        least_share: nats a letter; how much more a longer sentence may be worse.
        least_per_letter: nats a letter; how unlikely its letters may be on average.
        least_lead: nats; how far the runner-up must lie behind.
        least_value_lead: nats; likewise, where both give the same command with
            another value: a wrong value costs more than being asked again.
        least_open_lead: nats; likewise, where the runner-up goes on where the best
            one ends: such models stop too early rather than too late.
        least_cover: letters for each letter of the free text; a sentence with fewer
            has left out what was said at its end ("lot number seven sierra" of "...
            sierra six").  Short sentences vary too much to be judged by it.
        prior_share: how much of a text's likelihood in silence is taken off its
            likelihood in the sound.  The model expects some texts more than others
            before it hears anything; at the sink every sentence of the grammar is
            as likely as the next, so what it expects must not decide.
        reward: nats for each letter of a text that the speech is long enough for.
            Such models like to stop too early; a text that leaves speech unexplained
            must not win by being short.
        letters_per_s: how many letters a second of speech is long enough for.
        beams: paths kept in the search.
        look_again: nats; below this score a wider search is made.
    """

    least_score: float = -6.0
    least_share: float = -0.35
    least_per_letter: float = -1.4
    least_lead: float = 0.4
    least_value_lead: float = 1.5
    least_open_lead: float = 3.5
    least_cover: float = 0.72
    prior_share: float = 0.3
    reward: float = 0.6
    letters_per_s: float = 13.0
    beams: int = 6
    look_again: float = -10.0


@dataclass(frozen=True, slots=True)
class _Sentence:
    """All spellings of one meaning.

    Attributes:
        parse: words and tags of its likeliest spelling.
        score: nats, spellings summed, relative to free decoding.
        letters: how long its likeliest spelling is to say.
        per_letter: nats, log-likelihood of the likeliest spelling for each letter.
        cover: its letters for each letter of the free text.
    """

    parse: Parse
    score: float
    letters: float
    per_letter: float
    cover: float


@dataclass(slots=True)
class NeuralRecognizer:
    """Hears English under a grammar (``hearing.recognizer.Recognizer``).

    Attributes:
        automaton: of the grammar.
        orthography: how its words may be written.
        model: the networks.
        thresholds: when a sentence may act.
        name: of the recognizer.
        model_sha256: hex, over the model's files.
    """

    automaton: Automaton
    orthography: Orthography
    model: SpeechModel
    thresholds: Thresholds = field(default_factory=Thresholds)
    name: str = "neural"
    model_sha256: str = field(init=False)
    _grammar: TokenGrammar = field(init=False, repr=False)
    _silence: npt.NDArray[np.float32] = field(init=False, repr=False)
    _priors: dict[tuple[int, ...], float] = field(init=False, repr=False, default_factory=dict)

    def __post_init__(self) -> None:
        self.model_sha256 = self.model.sha256
        self._silence = self.model.encode(np.zeros(int(_SILENCE_S * SAMPLE_RATE), np.float32))
        try:
            texts = tokens.read(self.model.tokens)
        except TokenFileError as error:
            raise ModelMissingError(f"tokenizer.bin is damaged: {error}; {REMEDY}") from error
        self._grammar = TokenGrammar(texts, WrittenForms(self.automaton, self.orthography))
        unwritable = self._grammar.unwritable()
        if unwritable:
            words = ", ".join(sorted(unwritable))
            raise UnwritableWordError(
                f"the English model cannot write {words}; "
                "give the word another spelling under `spellings` in words.yaml"
            )

    @classmethod
    def load(
        cls,
        automaton: Automaton,
        orthography: Orthography,
        folder: FilePath | None = None,
        *,
        threads: int = 1,
    ) -> NeuralRecognizer:
        """A recognizer with the model in a folder, by default the one in the wheel.

        Raises:
            ModelMissingError: the wheel or a file is missing or damaged.
            UnwritableWordError: the grammar has a word that the model cannot write.
        """
        model = SpeechModel.read(folder or model_folder(), threads)
        return cls(automaton, orthography, model)

    def hear(self, utterance: Utterance) -> Hypothesis:
        """The best sentence of the grammar, or a rejection; never raises on sound."""
        began = time.perf_counter()
        heard = self._heard(np.asarray(utterance.samples, np.float32).reshape(-1))
        return replace(heard, decode_ms=(time.perf_counter() - began) * 1000)

    def _heard(self, samples: npt.NDArray[np.float32]) -> Hypothesis:
        seconds = len(samples) / SAMPLE_RATE
        if seconds < SHORTEST_S or not np.isfinite(samples).all():
            return _rejected("no speech: the sound is empty or no longer than a click")
        if seconds > LONGEST_S:
            return _rejected(f"too long: {seconds:.1f} s; one command is at most {LONGEST_S:.0f} s")
        if float(np.abs(samples).max()) < _SILENCE:
            return _rejected("no speech: silence")
        limits = Search(
            beams=self.thresholds.beams,
            # Free text about noise can go round in circles; speech has fewer tokens.
            most_tokens=int(8 + 6 * seconds),
            reward=self.thresholds.reward,
            enough=self.thresholds.letters_per_s * _speech_s(samples),
        )
        padding = int(_LEAD_S * SAMPLE_RATE), int(_TAIL_S * SAMPLE_RATE)
        decoder = CachedDecoder(self.model, self.model.encode(np.pad(samples, padding)))
        heard = self._judged(search(decoder, self._grammar, limits))
        if heard.score < self.thresholds.look_again:
            # So far behind, the right sentence may have been given up too early.
            wide = replace(limits, beams=3 * limits.beams)
            wider = self._judged(search(decoder, self._grammar, wide))
            return max(heard, wider, key=lambda hypothesis: hypothesis.score)
        return heard

    def _judged(self, found: Found) -> Hypothesis:
        sentences = self._sentences(found)
        if not sentences:
            return _rejected("nothing in the grammar sounds like this")
        best = sentences[0]
        second = sentences[1] if len(sentences) > 1 else None
        reason = self._reason(best, second)
        return Hypothesis(
            text=best.parse.text,
            tags=best.parse.tags,
            score=best.score,
            accepted=not reason,
            runner_up=second.parse.text if second else "",
            runner_up_score=second.score if second else None,
            reason=reason,
        )

    def _sentences(self, found: Found) -> Sequence[_Sentence]:
        """What was found, one for each meaning, best first."""
        paths = found.paths[:_WEIGHED]
        self._learn([path.ids for path in (*paths, found.free)])
        free = self._evidence(found.free)
        meanings: dict[object, _Sentence] = {}
        written = self._grammar.written
        for path in paths:  # best first, so the first spelling gives the words
            words = written.readings(self._grammar.text(path.ids))[0]
            parse = self.automaton.parse(words)
            if parse is None:
                raise AssertionError(f"{words} is a reading but no sentence")
            meaning = written.canonical(words), tuple(tag for tag, _ in parse.tags)
            score = self._evidence(path) - free
            known = meanings.get(meaning)
            if known is None:
                per_letter = path.score / max(path.length, 1.0)
                cover = path.length / max(found.free.length, 1.0)
                meanings[meaning] = _Sentence(parse, score, path.length, per_letter, cover)
            else:
                summed = float(np.logaddexp(known.score, score))
                meanings[meaning] = replace(known, score=summed)
        return sorted(meanings.values(), key=lambda sentence: -sentence.score)

    def _evidence(self, path: Path) -> float:
        """How much better the sound explains a text than silence does, nats."""
        prior = self.thresholds.prior_share * self._priors[path.ids]
        return path.score - prior

    def _learn(self, texts: Sequence[tuple[int, ...]]) -> None:
        """Keep the log-likelihood that each text has when nothing is said."""
        new = [text for text in dict.fromkeys(texts) if text not in self._priors]
        if len(self._priors) + len(new) > _MOST_PRIORS:
            self._priors.clear()
            new = list(dict.fromkeys(texts))
        # One at a time: the model's 8-bit steps are scaled over all that is weighed
        # together, and the same sound must always be given the same answer.
        for text in new:
            self._priors[text] = self.model.likelihood(self._silence, text)

    def _reason(self, best: _Sentence, second: _Sentence | None) -> str:
        """Why the sentence may not act; "" where it may."""
        allowed = self.thresholds.least_score + self.thresholds.least_share * best.letters
        if best.score < allowed:
            return "sounds like other speech than a command"
        if best.per_letter < self.thresholds.least_per_letter:
            return "too unclear to be a command"
        if best.letters >= _COUNTED and best.cover < self.thresholds.least_cover:
            return "more was said than was understood"
        lead = best.score - second.score if second else np.inf
        if second and lead < self._wanted_lead(best, second) and not _same_values(best, second):
            return f"could as well be: {second.parse.text}"
        return ""

    def _wanted_lead(self, one: _Sentence, other: _Sentence) -> float:
        """The lead that two sentences must have, more where they are one command."""
        if other.parse.text.startswith(f"{one.parse.text} "):
            return self.thresholds.least_open_lead
        if [tag for tag, _ in one.parse.tags] == [tag for tag, _ in other.parse.tags]:
            return self.thresholds.least_value_lead
        return self.thresholds.least_lead


def _same_values(one: _Sentence, other: _Sentence) -> bool:
    """True where two sentences differ only in words outside their values ("the")."""
    first, second = one.parse.tags, other.parse.tags
    names = [tag for tag, _ in first] == [tag for tag, _ in second]
    return names and len(first) > 1 and first[:-1] == second[:-1]


def _rejected(reason: str) -> Hypothesis:
    return Hypothesis(text="", tags=(), score=_NO_SENTENCE, accepted=False, reason=reason)


def _speech_s(samples: npt.NDArray[np.float32]) -> float:
    """How long somebody speaks in these samples, pauses left out, seconds."""
    whole = len(samples) // _FRAME * _FRAME
    power = (samples[:whole].reshape(-1, _FRAME) ** 2).mean(axis=1)
    return float((power > power.max() * _QUIET).sum()) * _FRAME / SAMPLE_RATE

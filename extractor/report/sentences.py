"""How a row becomes a plain sentence that says no more than the row.

    joint, open_joint, tentative, slight  ->  "The joint may be open (slight)."
    pipe, root_intrusion, absent          ->  "No roots seen."

The words are in sentences.toml (conditions, work) and in the lexicon (labels of everything).
"""

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from importlib import resources

import tomli
from pydantic import BaseModel, ConfigDict

from extractor.lexicon.match import plural_of
from extractor.record import Action, Observation, RunStart
from extractor.report.amounts import o_clock
from extractor.report.safe_text import clean

Label = Callable[[str], str]


class ConditionWords(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    noun: str = ""
    none: str = ""
    be: str = ""
    on: dict[str, str] = {}
    mass: bool = False
    short: str = ""
    group: str = "damage"
    trouble: bool = True


class ActionWords(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    done: str
    bare: str


class Sentences(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)

    limits: tuple[str, ...]
    condition: dict[str, ConditionWords]
    action: dict[str, ActionWords]


@lru_cache(maxsize=1)
def shipped_sentences() -> Sentences:
    text = (resources.files("extractor.report") / "sentences.toml").read_text(encoding="utf-8")
    return Sentences.model_validate(tomli.loads(text))


@dataclass(frozen=True)
class Words:
    """The client's words for ids: `label` gives the lexicon's plain label of any id."""

    label: Label
    sentences: Sentences

    def name(self, id: str) -> str:
        return clean(self.label(id))

    def condition(self, id: str) -> ConditionWords:
        known = self.sentences.condition.get(id)
        return known or ConditionWords(noun=self.name(id), mass=True, short=self.name(id))

    def is_trouble(self, row: Observation) -> bool:
        """Whether the row tells of something that might have to be put right, stated or doubted, cleared or not."""
        if row.condition is None or row.polarity == "absent":
            return False
        return self.condition(row.condition).trouble

    def group(self, row: Observation) -> str:
        """damage, bore, water, state, or feature (nothing said of it): chooses the shape in the drawing."""
        return self.condition(row.condition).group if row.condition else "feature"

    def short(self, row: Observation) -> str:
        """One or two words for the drawing; "?" marks doubt, "no" absence."""
        thing = self.name(row.component or "pipe")
        if row.condition is None:
            word = thing
        elif self.condition(row.condition).trouble:
            word = self.condition(row.condition).short
        else:
            word = f"{thing} {'not ' * (row.polarity == 'absent')}{self.condition(row.condition).short}"
        if row.polarity == "absent" and (row.condition is None or self.condition(row.condition).trouble):
            word = f"no {word}"
        return f"{word}?" if row.certainty == "tentative" else word


def finding_sentence(row: Observation, words: Words) -> str:
    """What was seen, as one sentence, the speaker's doubt kept. Place and time are told elsewhere."""
    doubt = row.certainty == "tentative"
    if row.polarity == "absent":
        text = _absence(row, words) + (", though the speaker was not sure" if doubt else "")
    elif row.condition is None:
        text = f"{'There may be' if doubt else 'There is'} {_counted(row.component or 'pipe', row.count, words)}"
        if row.count and row.count > 1:
            text = text.replace("There is", "There are", 1)
    else:
        text = _presence(row, words, doubt)
    around = o_clock(row.clock)
    detail = f" ({clean(row.detail)})" if row.detail else ""
    return f"{text}{' ' + around if around else ''}{detail}."


def work_sentence(action: Action, words: Words, reach: str) -> str:
    """What was done: "Jetting: distribution box, as far as 3.5 m; partly successful."."""
    known = words.sentences.action.get(action.action)
    if action.target:
        pattern = known.done if known else words.name(action.action).capitalize() + ": {target}"
        text = pattern.replace("{target}", words.name(action.target))
    else:
        text = (known.bare if known else words.name(action.action).capitalize()) + " (on what, was not said)"
    result = "" if action.result == "done" else f"; {result_words(action)}"
    return f"{text}{', as far as ' + reach if reach else ''}{result}."


def result_words(action: Action) -> str:
    if action.result is None:
        return "result not said"
    return {"done": "done", "partial": "partly successful", "failed": "did not succeed"}[action.result]


def opening_name(start: RunStart, words: Words) -> str:
    """Where the camera went in: "distribution box (outlet, second)"."""
    if start.structure is None:
        return "opening (not named)"
    told = ", ".join(part for part in (start.port, clean(start.label or "")) if part)
    return words.name(start.structure) + (f" ({told})" if told else "")


def thing_name(id: str, label: str | None, words: Words) -> str:
    return words.name(id) + (f" ({clean(label)})" if label else "")


def _presence(row: Observation, words: Words, doubt: bool) -> str:
    condition = words.condition(row.condition or "")
    component = row.component or (row.structure if row.run is None else None) or "pipe"
    several = bool(row.count and row.count > 1)
    subject = f"The {row.count} {_plural(words.name(component))}" if several else f"The {words.name(component)}"
    gone = row.outcome == "cleared"
    being = condition.be or condition.on.get(component, "")
    if being:
        verb = _verb(
            ("is", "was", "may be", "may have been"), ("are", "were", "may be", "may have been"), doubt, gone, several
        )
        extent = f" ({row.extent})" if row.extent else ""
        return f"{subject} {verb} {being}{extent}"
    verb = _verb(
        ("has", "had", "may have", "may have had"), ("have", "had", "may have", "may have had"), doubt, gone, several
    )
    return f"{subject} {verb} {_with_article(condition, row.extent)}"


def _verb(one: tuple[str, ...], many: tuple[str, ...], doubt: bool, gone: bool, several: bool) -> str:
    return (many if several else one)[2 * doubt + gone]


def _absence(row: Observation, words: Words) -> str:
    where = f" at the {words.name(row.component)}" if row.component and row.component != "pipe" else ""
    if row.condition is None:
        return f"No {words.name(row.component or 'pipe')} seen"
    condition = words.condition(row.condition)
    if condition.be:
        thing = row.component or (row.structure if row.run is None else None) or "pipe"
        return f"The {words.name(thing)} is not {condition.be}"
    extent = f"{row.extent} " if row.extent else ""
    return f"No {extent}{condition.none or condition.noun} seen{where}"


def _with_article(condition: ConditionWords, extent: str | None) -> str:
    noun = f"{extent} {condition.noun}" if extent else condition.noun
    return noun if condition.mass else f"{_article(noun)} {noun}"


def _counted(id: str, count: int | None, words: Words) -> str:
    name = words.name(id)
    if count and count > 1:
        return f"{count} {_plural(name)}"
    return f"{_article(name)} {name}"


def _plural(name: str) -> str:
    return name if name.endswith("s") else plural_of(name)


def _article(noun: str) -> str:
    return "an" if noun[:1].lower() in "aeiou" else "a"

"""extract(): every stage in order, on one screen; the only file that knows them all.

A pure function: no clock, no global state; the same bytes in give the same bytes out.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from extractor.language.changes import add_material_changes
from extractor.language.clauses import cut_clauses
from extractor.language.clear_stretches import add_clear_stretches
from extractor.language.context import read_contexts
from extractor.language.corrections import correct
from extractor.language.deeds import add_deeds
from extractor.language.endings import add_endings
from extractor.language.ground import add_ground
from extractor.language.homographs import drop_verbs
from extractor.language.measures import MeasureGrammar, habit_and_measures, measure_grammar
from extractor.language.mishearings import mend, sound_index
from extractor.language.passage import Passage, WordClasses, word_classes
from extractor.language.predicates import Predicates, add_predicates, predicates
from extractor.language.references import ShortNames, resolve_short_names, short_names
from extractor.language.remains import add_remains
from extractor.language.sounds import SoundIndex
from extractor.language.spellings import Spellings, spellings
from extractor.language.stuck_things import add_stuck_things
from extractor.language.tokens import tokenise
from extractor.language.unnoted import add_unnoted
from extractor.language.verdicts import find_verdicts
from extractor.language.waters import add_waters
from extractor.language.ways import add_ways
from extractor.lexicon.load import Lexicon
from extractor.lexicon.match import PhraseTable, find_tags, phrase_table
from extractor.reading import Narration
from extractor.record import Record
from extractor.survey.conclusions import read_conclusions
from extractor.survey.confidence import ask_about, rate_rows, shipped_weights
from extractor.survey.findings import read_findings
from extractor.survey.merge import merge
from extractor.survey.outcomes import settle_outcomes
from extractor.survey.places import place_things
from extractor.survey.queries import find_queries, in_order
from extractor.survey.remembered import move_remembered
from extractor.survey.repeats import at_further_places, graded_again, repeat_findings
from extractor.survey.roles import role_of_measures
from extractor.survey.runs import close_runs, is_run_end, name_what_stopped, resolve_ends
from extractor.survey.scenes import read_scenes
from extractor.survey.stages import Reading
from extractor.survey.unread import spans_of, unread_tokens
from extractor.survey.work import read_actions
from extractor.survey.writing import write_record


@dataclass(frozen=True)
class Tools:
    """What is made of a lexicon once: its phrases and its number grammar."""

    table: PhraseTable
    grammar: MeasureGrammar
    names: ShortNames
    predicates: Predicates
    sounds: SoundIndex
    classes: WordClasses
    spellings: Spellings


@lru_cache(maxsize=4)
def prepare(lexicon: Lexicon) -> Tools:
    """The lexicon made ready; kept, since it costs more than reading a narration."""
    return Tools(
        phrase_table(lexicon),
        measure_grammar(lexicon),
        short_names(lexicon),
        predicates(lexicon),
        sound_index(lexicon),
        word_classes(lexicon),
        spellings(lexicon),
    )


def read(narration: Narration, lexicon: Lexicon) -> Reading:
    """Every stage's result for one narration."""
    tools = prepare(lexicon)
    classes = tools.classes
    speech = tokenise(narration, classes["hesitation"], tools.spellings, classes["knows_indeed"])
    habit, measures = habit_and_measures(speech, tools.grammar)
    heard = Passage(speech, find_tags(speech, tools.table), measures, tools.classes)
    mended = add_material_changes(resolve_short_names(drop_verbs(mend(heard, tools.sounds)), tools.names))
    mended = add_unnoted(add_clear_stretches(mended))
    mended = add_ways(
        add_endings(add_ground(add_waters(add_deeds(add_stuck_things(add_predicates(mended, tools.predicates))))))
    )
    passage = add_deeds(correct(add_remains(mended)))  # again: "ran the bathroom tap, I mean the kitchen tap"
    clauses = cut_clauses(passage)
    contexts = read_contexts(passage)
    starts, scenes, openings = read_scenes(passage, clauses)
    roles = role_of_measures(passage, clauses, scenes)
    absent = {tag for tag, context in contexts.items() if context.polarity == "absent"}
    places, further = place_things(passage, clauses, scenes, roles, absent)
    runs = close_runs(passage, clauses, scenes, starts, roles, places, openings)
    rows = read_findings(passage, clauses, scenes, contexts, places, openings)
    rows = repeat_findings(passage, scenes, roles, [*rows, *at_further_places(rows, further)])
    rows = graded_again(passage, clauses, scenes, contexts, roles, rows)
    rows = move_remembered(passage, clauses, scenes, roles, rows)
    resolve_ends(rows, runs)
    verdicts = find_verdicts(passage)
    actions = read_actions(passage, clauses, scenes, roles, openings, verdicts)
    rows = settle_outcomes(passage, clauses, scenes, rows, roles, actions)
    rows = [row for row in merge(rows) if not is_run_end(row, runs)]
    name_what_stopped(rows, runs)
    conclusions = read_conclusions(passage, clauses, verdicts, rows, absent)
    unread = spans_of(unread_tokens(passage, clauses))
    queries = find_queries(passage, clauses, scenes, rows, runs, roles, conclusions, unread, tools.sounds)
    rated = rate_rows(passage, clauses, scenes, roles, rows, runs, unread)
    queries = in_order([*queries, *ask_about(rated, clauses, queries, shipped_weights().ask_below)])
    heard, mended, passage = map(replace, (heard, mended, passage))  # without what was looked up in them: much memory
    return Reading(
        narration, speech, heard, mended, passage, clauses, contexts, starts, scenes, openings, roles, places, runs,
        rows,
        actions, conclusions, queries, habit, rated, unread,
    )  # fmt: skip


def extract(narrations: Narration | Sequence[Narration], lexicon: Lexicon) -> Record:
    """The record of one visit, told in one narration or several."""
    several = (narrations,) if isinstance(narrations, Narration) else tuple(narrations)
    return write_record([read(narration, lexicon) for narration in several], lexicon)

"""A visit of our own, read by hand: fixtures/review/ferry-house.txt as a record with a query of every reason.

The review is tested on this, so that a change in what the extractor reads does not change what is tested here.
"""

from pathlib import Path
from typing import Any

from extractor.job.folder import Job, create_job
from extractor.narration.choose import read_bytes
from extractor.record import (
    Action,
    Answer,
    Conclusion,
    Evidence,
    Measurement,
    Mending,
    Observation,
    Query,
    Record,
    Run,
    RunStart,
    Source,
    SpokenCorrection,
)

PATH = Path(__file__).parents[2] / "fixtures" / "review" / "ferry-house.txt"
NAME = "Fährhaus – été.txt"
NARRATION = read_bytes(PATH.read_bytes(), NAME)


def words(phrase: str, nth: int = 0) -> dict[str, Any]:
    """`quote` and `evidence` of the nth time the phrase was said."""
    first = -1
    for _ in range(nth + 1):
        first = NARRATION.text.index(phrase, first + 1)
    last = first + len(phrase)
    inside = [word for word in NARRATION.words if word.first_char >= first and word.last_char <= last]
    piece = Evidence(first_char=first, last_char=last, start_s=inside[0].start_s, end_s=inside[-1].end_s)
    return {"quote": phrase, "evidence": (piece,)}


def made_record(**changed: Any) -> Record:
    """Two runs, ten rows, eight queries."""
    fields: dict[str, Any] = {
        "runs": (
            Run(
                id="R1",
                start=RunStart(structure="septic_tank", port="inlet"),
                direction="upstream",
                end_m=8.5,
                end_reason="reached",
                end_at="bath",
                **words("camera in the inlet heading upstream"),
            ),
            Run(
                id="R2",
                start=RunStart(structure="septic_tank", port="outlet"),
                direction="downstream",
                end_m=3.7,
                end_reason="reached",
                end_at="distribution_box",
                **words("out the outlet going downstream"),
            ),
        ),
        "observations": (
            _seen(
                "O1", component="junction", condition="sound", from_m=1.4, said="one point four junction on the left"
            ),
            _seen(
                "O2",
                component="joint",
                condition="displaced_joint",
                from_m=3.2,
                certainty="tentative",
                said="three point two there's a step in the joint might be eight mil hard to tell",
            ),
            _seen(
                "O3", condition="crack", said="then a crack at the crown didn't catch the counter there", clock=(12, 12)
            ),
            _seen(
                "O4",
                component="joint",
                condition="root_intrusion",
                from_m=6.1,
                extent="severe",
                outcome="cleared",
                said="six point one heavy routes in the joint",
            ),
            _seen(
                "O5",
                condition="crack",
                from_m=7.0,
                clock=(2, 2),
                certainty="tentative",
                said="seven point oh crack at three o'clock no sorry two o'clock could be a scratch",
            ),
            _seen("O6", condition="grease", from_m=0.0, to_m=8.5, polarity="absent", said="no grease"),
            _seen("O7", condition="crack", from_m=0.0, to_m=8.5, polarity="absent", said="no cracks on the whole line"),
            _seen("O8", run="R2", condition="settled_deposit", from_m=2.2, said="two point two bit of sultan"),
            _seen(
                "O9", run="R2", component="joint", condition="open_joint", from_m=1.9, said="one point nine open joint"
            ),
            _seen("O10", run="R2", condition="settled_deposit", from_m=2.8, said="two point eight more sultan"),
        ),
        "measurements": (
            Measurement(
                id="M1",
                low=0.4,
                high=0.4,
                unit="m",
                role="depth",
                structure="septic_tank",
                **words("sludge is four hundred"),
            ),
        ),
        "actions": (
            Action(
                id="A1",
                action="jetting",
                target="joint",
                run="R1",
                result="done",
                **words("cut those out with the jetter"),
            ),
        ),
        "corrections": (
            SpokenCorrection(
                id="K1", withdrawn="three o'clock", kept="two o'clock", **words("three o'clock no sorry two o'clock")
            ),
        ),
        "conclusions": (
            Conclusion(
                id="C1",
                kind="main_issue",
                condition="root_intrusion",
                **words("main trouble was roots in the inlet line"),
            ),
            Conclusion(id="C2", kind="recommendation", **words("i'd put a patch on that joint")),
        ),
        "queries": QUERIES,
        "mendings": (Mending(heard="routes", read_as="roots", certain=True, evidence=words("routes")["evidence"]),),
        "unread": (*words("the fellow with the dog says it floods in winter")["evidence"],),
        "sources": (Source(name=NAME, sha256=NARRATION.sha256, text=NARRATION.text, duration_s=133.0),),
        "lexicon": "1" * 64,
        "program": "rodnote test",
    }
    return Record(**{**fields, **changed})


def made_job(folder: Path, **changed: Any) -> Job:
    """The visit as a job on disk."""
    return create_job(folder, [(NAME, PATH.read_bytes())], made_record(**changed))


def _seen(id: str, *, said: str, run: str = "R1", **fields: Any) -> Observation:
    return Observation(id=id, run=run, **fields, **words(said))


QUERIES = (
    Query(
        id="Q1",
        about="sludge of 0.4 m",
        reason="unit",
        question="“four hundred” has no unit. Four hundred what?",
        answers=(Answer(label="400 mm", sets={}), Answer(label="400 %: leave it out", sets=None)),
        row="M1",
        **words("sludge is four hundred"),
    ),
    Query(
        id="Q2",
        about="possible step in the joint",
        reason="doubt",
        question="The speaker was not sure. Is there a displaced joint at 3.2 m?",
        answers=(
            Answer(label="yes, a displaced joint", sets={"certainty": "stated"}),
            Answer(label="keep it as doubtful", sets={}),
            Answer(label="no, leave it out", sets=None),
        ),
        row="O2",
        **words("three point two there's a step in the joint might be eight mil hard to tell"),
    ),
    Query(
        id="Q3",
        about="crack with no distance",
        reason="no_distance",
        question="At what distance is the crack?",
        answers=(
            Answer(label="not known: say so in the report", sets={}),
            Answer(label="leave the row out", sets=None),
        ),
        row="O3",
        **words("then a crack at the crown didn't catch the counter there"),
    ),
    Query(
        id="Q4",
        about="possible crack",
        reason="doubt",
        question="The speaker was not sure. Is there a crack at 7 m?",
        answers=(
            Answer(label="keep it as doubtful", sets={}),
            Answer(label="yes, a crack", sets={"certainty": "stated"}),
            Answer(label="no, leave it out", sets=None),
        ),
        row="O5",
        **words("could be a scratch"),
    ),
    Query(
        id="Q5",
        about="crack is denied where it was found",
        reason="conflict",
        question="The words deny cracks over a stretch in which one was noted. Which stands?",
        answers=(Answer(label="what was found stands: drop the denial", sets=None), Answer(label="keep both", sets={})),
        row="O7",
        **words("no cracks on the whole line"),
    ),
    Query(
        id="Q6",
        about="2.2 m, then 1.9 m",
        reason="counter",
        question="The counter went from 2.2 m back to 1.9 m. Is 1.9 m right?",
        answers=(Answer(label="1.9 m is right", sets={}), Answer(label="2.9 m", sets={"from_m": 2.9})),
        row="O9",
        **words("one point nine open joint"),
    ),
    Query(
        id="Q7",
        about="sultan",
        reason="unclear_word",
        question="“sultan” makes no sense here. What was seen?",
        answers=(
            Answer(label="settled deposit (silt)", sets={"condition": "settled_deposit"}),
            Answer(label="leave it out", sets=None),
        ),
        row="O8",
        **words("sultan"),
    ),
    Query(
        id="Q8",
        about="sultan",
        reason="unclear_word",
        question="“sultan” makes no sense here. What was seen?",
        answers=(
            Answer(label="settled deposit (silt)", sets={"condition": "settled_deposit"}),
            Answer(label="leave it out", sets=None),
        ),
        row="O10",
        **words("sultan", 1),
    ),
    Query(
        id="Q9",
        about="that joint",
        reason="which_one",
        question="“that joint”: which one is to be patched?",
        answers=(Answer(label="the joint with the roots", sets={}), Answer(label="leave it open", sets={})),
        row="C2",
        **words("i'd put a patch on that joint"),
    ),
)

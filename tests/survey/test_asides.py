"""Talk with trade words in it makes no finding: things about the job, hearsay, general remarks, other places.

The sentences are our own.
"""

import pytest

from tests.understanding.spoken import record_of

IN_A_RUN = (
    "camera's in the gully going downstream two point one a joint {} four point two a bend and "
    "six metres that's the main"
)
AT_A_TANK = (
    "lid's off the septic tank walls are all good {} so camera in the outlet going downstream "
    "four point two a bend and six "
    "metres that's the box"
)
ASIDES = [
    "mind that ladder mate it's rotten",
    "my back's broken from lifting that lid",
    "the gate's broken so come round the side",
    "the reel's jammed give it a tug",
    "i've a hole in my glove now",
    "she reckons the neighbours have had rats for years",
    "the landlord swears there were roots in it",
    "nice and dry today for a change",
    "it's running late but we'll get there",
    "had the same thing at number six a big root ball",
    "we had a collapse at the last place that took three days",
    "it was blocked last christmas they said",
    "i'd have thought there'd be grease in here with the cafe",
    "if there were roots i'd see them by now",
    "the drive's cracked to bits where the lorries turn",
    "there's a tree root sticking up out of the lawn beside the fence",
    "they had it jetted last year and there was a heap of grease came out then",
    "i snapped a spanner yesterday getting the gate open",
]


@pytest.mark.parametrize("frame", [IN_A_RUN, AT_A_TANK], ids=["in a run", "at a tank"])
@pytest.mark.parametrize("aside", ASIDES)
def test_an_aside_is_no_finding(frame: str, aside: str) -> None:
    def rows(text: str) -> list[tuple[str | None, str | None, str | None]]:
        return [(row.component, row.condition, row.run) for row in record_of(text).observations]

    assert rows(frame.format(aside)) == rows(frame.format("").replace("  ", " "))

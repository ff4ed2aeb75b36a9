"""Ground that gets into a pipe is soil ingress, however it is told; ground that lies there is a deposit.

The ways of saying it are common practice, no source; the sentences are our own.
"""

import pytest

from tests.understanding.spoken import record_of

RUN = "camera in the gully going downstream two point one a joint four point two {} then six point three there's a bend"


@pytest.mark.parametrize(
    ("words", "conditions"),
    [
        ("there's a bit of dirt trickling in", ["soil_ingress"]),
        ("the joint's open and soil's falling in", ["open_joint", "soil_ingress"]),
        ("clay pushing in through the gap", ["soil_ingress"]),
        ("it's letting sand in", ["soil_ingress"]),
        ("it's washing dirt in through the joint", ["soil_ingress"]),
        ("there's a bit of dirt lying in the bottom", ["settled_deposit"]),
        ("the dirt all washed out of there", ["settled_deposit"]),
    ],
)
def test_ground(words: str, conditions: list[str]) -> None:
    rows = [row for row in record_of(RUN.format(words)).observations if row.from_m == 4.2]
    assert sorted({row.condition for row in rows if row.condition}) == conditions

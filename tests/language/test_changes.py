"""Changes of pipe material, told by a verb or only by the two materials."""

import pytest

from tests.understanding.spoken import lines_of

RUN = "camera's in the gully heading downstream"


@pytest.mark.parametrize(
    ("say", "changes"),
    [
        ("at 4.2 it changes from clay to pvc", ["row 1 material_change - at 4.2"]),
        ("at 4.2 it goes out of the concrete into plastic", ["row 1 material_change - at 4.2"]),
        ("at 4.2 it goes into cast iron", ["row 1 material_change - at 4.2"]),
        ("at 4.2 the pipe changes from concrete to clay", ["row 1 material_change - at 4.2"]),
        ("twelve feet it turns from cast iron to plastic", ["row 1 material_change - at 3.658"]),
        (
            "at 4.2 it goes from clay to pvc then at 5.5 back to clay",
            ["row 1 material_change - at 4.2", "row 1 material_change - at 5.5"],
        ),
        ("it's clay pipe with a joint at 4.2", []),
        ("clay or pvc hard to say a joint at 4.2", []),
        ("hundred mil pvc here a joint at 4.2", []),
    ],
)
def test_a_change_of_material_is_a_feature_at_its_distance(say: str, changes: list[str]) -> None:
    assert [line for line in lines_of(f"{RUN} {say}") if "material_change" in line] == changes

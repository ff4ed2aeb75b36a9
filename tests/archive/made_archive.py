"""A small archive of our own making: four visits that can be read, one job among them, and files that can't be."""

from pathlib import Path

from extractor.job.folder import create_job
from extractor.lexicon.load import Lexicon
from extractor.narration.choose import read_bytes
from extractor.pipeline import extract

WASH = b"""[0:00] camera going in the inlet of the septic tank heading upstream it's hundred mil pvc
[0:10] one point two junction on the left that's fine
[0:20] it changes to clay at four metres
[0:30] five point five heavy roots in the joint
[0:40] nine point one and that's the toilet so that's the end of that one
"""
SHED = b"""[0:00] camera going in the inspection opening heading downstream it's earthenware
[0:10] two point oh there's a crack at twelve o'clock
[0:20] three point three roots in the joint light
[0:30] four point four that's the main
"""
YARD = b"""[0:00] camera in at the gully going downstream no roots and no cracks to three metres
[0:20] three point six wipes hung up on the joint hooked that out by hand so that's cleared
"""


def made_archive(folder: Path, lexicon: Lexicon) -> Path:
    """Fill `folder` and return it."""
    (folder / "2024").mkdir(parents=True)
    (folder / "2024" / "2024-03-05 wash block.txt").write_bytes(WASH)
    (folder / "2024" / "2024-04-11 shed.txt").write_bytes(SHED)
    (folder / "yard.txt").write_bytes(YARD)
    create_job(folder / "job", [("wash.txt", WASH)], extract(read_bytes(WASH, "wash.txt"), lexicon))
    (folder / "job" / "visit.toml").write_text("date = 2023-11-30\n", encoding="utf-8")
    (folder / "sound.txt").write_bytes(b"RIFF\x00\x00\x00\x00WAVE")
    (folder / "silent.srt").write_bytes(b"")
    (folder / "broken").mkdir()
    (folder / "broken" / "job.json").write_text("{", encoding="utf-8")
    return folder


READ = ["2024/2024-03-05 wash block.txt", "2024/2024-04-11 shed.txt", "job", "yard.txt"]
NOT_READ = ["broken", "silent.srt", "sound.txt"]

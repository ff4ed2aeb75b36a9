"""Stills from a video made here: each frame has the grey of its second, so that the right one can be told."""

import io
import wave
from pathlib import Path

import pytest
from docx import Document
from docx.oxml.ns import qn

av = pytest.importorskip("av", reason="PyAV is an optional part: pip install rodnote[stills]")

from extractor.errors import ReportError  # noqa: E402
from extractor.report.document import document_blocks  # noqa: E402
from extractor.report.docx import docx_bytes  # noqa: E402
from extractor.report.html import html_bytes  # noqa: E402
from extractor.report.pdf import pdf_bytes  # noqa: E402
from extractor.report.stills import Still, is_video, take_stills, wanted_stills  # noqa: E402
from tests.report.made_records import view_of, visit_record  # noqa: E402

SECONDS = 30
GREY_A_SECOND = 8


@pytest.fixture(scope="module")
def video(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """30 s, 5 frames a second, one keyframe in 10 s; the picture of second n is grey 8 n."""
    path = tmp_path_factory.mktemp("video") / "visit.mp4"
    with av.open(str(path), "w") as container:
        stream = container.add_stream("mpeg4", rate=5)
        stream.width, stream.height, stream.pix_fmt = 64, 48, "yuv420p"
        stream.codec_context.gop_size = 50
        for number in range(SECONDS * 5):
            frame = av.VideoFrame(64, 48, "gray")
            frame.planes[0].update(bytes([number // 5 * GREY_A_SECOND]) * frame.planes[0].buffer_size)
            for packet in stream.encode(frame.reformat(format="yuv420p")):
                container.mux(packet)
        for packet in stream.encode():
            container.mux(packet)
    return path


def _grey(jpeg: bytes) -> float:
    with av.open(io.BytesIO(jpeg), format="mjpeg") as container:
        frame = next(container.decode(video=0)).reformat(format="gray")
        plane = frame.planes[0]
        return bytes(plane)[plane.line_size * (frame.height // 2) + frame.width // 2]


def _still(at_s: float) -> Still:
    row = next(view_of(visit_record()).all_rows())
    return Still(row, at_s)


@pytest.mark.parametrize("at_s", [0.0, 0.5, 4.1, 9.9, 10.0, 17.3, 29.5])
def test_the_picture_is_of_its_second(video: Path, at_s: float) -> None:
    (picture,) = take_stills(video, [_still(at_s)]).values()
    assert _grey(picture.jpeg) == pytest.approx(int(at_s) * GREY_A_SECOND, abs=3)


def test_a_time_after_the_end_has_no_picture(video: Path) -> None:
    assert take_stills(video, [_still(45.0)]) == {}


def test_every_finding_with_a_time_wants_one_that_much_earlier() -> None:
    view = view_of(visit_record())
    plain, earlier = wanted_stills(view, 0, 0.0), wanted_stills(view, 0, 1.5)
    assert {still.row.observation.id for still in plain} == {"o2", "o4", "o6", "o7", "o9"}
    assert [one.at_s - 1.5 for one in plain] == pytest.approx([other.at_s for other in earlier])
    assert wanted_stills(view, 1, 0.0) == ()
    assert all(still.at_s >= 0 for still in wanted_stills(view, 0, 60.0))


def test_the_pictures_stand_beside_their_rows(video: Path) -> None:
    view = view_of(visit_record())
    stills = take_stills(video, wanted_stills(view, 0, 0.0))
    assert set(stills) == {row.number for row in view.all_rows() if row.observation.id in ("o2", "o9")}  # within 30 s
    page = html_bytes(view, document_blocks(view, stills)).decode()
    assert page.count('<img src="data:image/jpeg;base64,') == 2
    assert "Picture from the recording at the words of row 1.3" in page


def test_a_word_processor_and_the_pdf_take_the_pictures(video: Path) -> None:
    view = view_of(visit_record())
    blocks = document_blocks(view, take_stills(video, wanted_stills(view, 0, 0.0)))
    document = Document(io.BytesIO(docx_bytes(view, blocks)))
    told = [picture.get("descr") or "" for picture in document.element.body.iter(qn("wp:docPr"))]
    assert sum(text.startswith("Picture from the recording at the words of row") for text in told) == 2
    plain = pdf_bytes(view, document_blocks(view))
    assert pdf_bytes(view, blocks).count(b"/DCTDecode") == plain.count(b"/DCTDecode") + 2


def test_the_same_video_gives_the_same_bytes(video: Path) -> None:
    assert take_stills(video, [_still(4.0)]) == take_stills(video, [_still(4.0)])


@pytest.mark.parametrize("data", [b"", b"no video at all", b"\0" * 5000])
def test_what_is_no_video_is_told(tmp_path: Path, data: bytes) -> None:
    path = tmp_path / "broken.mp4"
    path.write_bytes(data)
    with pytest.raises(ReportError, match=r"broken\.mp4"):
        take_stills(path, [_still(1.0)])


def test_a_recording_without_pictures_is_told(tmp_path: Path) -> None:
    path = tmp_path / "sound.mp4"
    with wave.open(str(path), "wb") as file:
        file.setparams((1, 2, 8000, 0, "NONE", ""))
        file.writeframes(b"\0\0" * 8000)
    with pytest.raises(ReportError, match="holds no picture"):
        take_stills(path, [_still(0.0)])


def test_videos_are_known_by_their_ending() -> None:
    assert is_video(Path("VISIT.MP4")) and not is_video(Path("visit.wav"))

"""Each reader's question and the page that answers it, on the demo and on a wall of which hardly anything is known."""

from __future__ import annotations

from pathlib import Path

import pytest

from commission_tui.handover.cards.content_specification import canvas_picture, templates
from commission_tui.handover.content.document_inputs import Context
from commission_tui.handover.typeset import typst_document
from commission_tui.handover.typeset.typst_document import ALONE
from commission_tui.logbook.actions.scope_actions import change_setting
from commission_tui.logbook.entries import models as e
from commission_tui.logbook.entries.entry_parts import Accuracy
from commission_tui.logbook.entries.ids_and_clock import IdSource
from commission_tui.logbook.job import OpenJob
from commission_tui.logbook.logbook import Logbook
from commission_tui.wall.model.wall_file import parse_wall
from commission_tui.wall.model.wall_model import Wall
from tests.cases import case
from tests.handover.content.test_only_known import ASKED_TITLES, BARE, INVENTED, texts
from tests.handover.helping import (
    Clock,
    document_data,
    export_alone,
    make_job,
    pdf_text,
    rows_of,
    squeezed,
    under,
)

ANSWERS = {
    "client": {
        "Is it accepted?": "ACCEPTED WITH EXCEPTIONS",
        "How bright is it?": "575 cd/m² (limit: 540 to 660 cd/m², met)",
        "How even?": "the darkest point is 92 % as bright as the brightest",
        "Is there a step between cabinets?": "Luminance of every cabinet: largest step between "
        "neighbours (R3C8, R4C8) 0.85 % (limit: at most 3 %, met)",
        "Whom do I ring?": "Service desk, service, day and night, 01632 960 080",
        "How long is the warranty?": "Warranty ends on: 12 Jun 2031",
        "What is not as agreed?": "Cameras see a clean wall: not met. Tarnside Integration, until",
    },
    "card": {
        "How do I switch it on?": "Touch panel, page 1, WALL ON",
        "Where is the breaker?": "LP1, stage left, beside the dimmer room: LP1-1-L1 (16 A)",
        "Which input is the laptop?": "Stage laptop: HDMI 1.",
        "How bright at a concert?": "Light desk, cue group 1 20 % 121 ±",
        "It is dark: what now?": "Do not open the wall, do not reset a breaker more than once",
    },
    "electrician": {
        "What protects the circuit?": "L1 230 V, 16 A 30 mA",
        "What does it draw?": "8.8 A 8.3 A",
        "Who measured it?": "Ines Okafor, 9 Jun 2026",
        "How good is its insulation?": "182 MΩ",
        "Where is its panel?": "LP1, stage left, beside the dimmer room",
    },
    "sheet": {
        "How large is the canvas?": "2400 × 1200 px, square pixels",
        "How small may text be?": "Capital letters at least",
        "At what rate?": "60 Hz, progressive",
    },
    "rigger": {
        "What hangs on the point?": "2083 mm 5 kN 2.2 kN 2.31 kN",
        "Whose certificate?": "Kaspar Lind, Eldwick Rigging",
        "Until when does it hold?": "Holds until: 5 Jun 2027",
        "May I rely on it?": "approves no suspension",
    },
}
UNKNOWN = {
    "client": ("not known: it was not measured", "Warranty not known", "Ring not known"),
    "card": ("Switching on and off Not known", "Call Not known", "Panel not known: A1 (16 A)."),
    "electrician": ("A1 not known L1 230 V, 16 A not known not read not stated", "nobody"),
    "sheet": ("Frame rate not stated", "White of the wall not stated"),
    "rigger": ("Not known: the design names no suspension point", "Not known: none was recorded"),
}
"""What stands in the place of each answer where nobody stated or measured it."""


@pytest.fixture
def bare(tmp_path: Path) -> OpenJob:
    book = Logbook(tmp_path / "book.db", Clock(), IdSource(lambda bits: 1 << bits - 1))
    return book.create(by="I. O.", name="Bare", client="C", integrator="F", wall_text=BARE)


def test_every_reader_has_answers() -> None:
    assert ANSWERS.keys() == UNKNOWN.keys() == ALONE.keys()


@pytest.mark.outside
def test_each_page_answers_its_reader(demo_job: OpenJob, tmp_path: Path) -> None:
    """The words are read by poppler's pdftotext; each stands on one side."""
    document = Context(demo_job)
    for part in ALONE:
        read = pdf_text(typst_document.export_alone(document, part), tmp_path)
        text = squeezed(read)
        with case(part):
            assert read.count("\f") == 1
            assert [
                asked for asked, said in ANSWERS[part].items() if squeezed(said) not in text
            ] == []


@pytest.mark.outside
@pytest.mark.parametrize("part", ALONE)
def test_what_nobody_said_is_not_known(bare: OpenJob, part: str, tmp_path: Path) -> None:
    """The words are read by poppler's pdftotext."""
    text = pdf_text(export_alone(bare, part), tmp_path)
    assert [said for said in UNKNOWN[part] if squeezed(said) not in squeezed(text)] == []
    document = document_data(bare)
    said = [*texts(document["cover"]["facts"])]
    for form in ("circuit-supplies", "circuit-loads"):
        said += texts(under(document, "Electrician's page", form)["rows"])
    # A line that says what nobody settled names it, and states nothing of it.
    stated = [words for words in said if not ASKED_TITLES.search(words)]
    assert [words for words in stated if INVENTED.search(words)] == []


def test_a_residual_current_that_nobody_knows_of_is_not_printed(tmp_path: Path) -> None:
    """The wall file has the usual 30 mA, but says that the devices are not known."""
    text = BARE.replace("breaker_a = 16", "breaker_a = 16\nresidual_ma = 30")
    text += '\n[room]\nnot_known = ["residual-current devices"]\n'
    book = Logbook(tmp_path / "book.db", Clock(), IdSource(lambda bits: 1 << bits - 1))
    job = book.create(by="I. O.", name="Bare", client="C", integrator="F", wall_text=text)
    supplies, loads = (
        rows_of(under(document_data(job), "Electrician's page", form))
        for form in ("circuit-supplies", "circuit-loads")
    )
    assert supplies[0]["Residual current"] == "not known"
    assert loads[0]["Insulation"] == "not read"


def holed_wall() -> Wall:
    """Return two rows of three cabinets, without the upper one in the middle."""
    text = BARE.replace('type = "A"\n\n[processor]', 'type = "A"\nabsent = ["R1C2"]\n\n[processor]')
    text = text.replace(
        'block = "R1C1:R2C3"\npattern = "rows, serpentine, from top left"',
        'order = ["R1C1", "R2C1", "R2C2", "R2C3", "R1C3"]',
    )
    text = text.replace('cabinets = ["R1C1:R2C3"]', 'cabinets = ["R1C1", "R2C1:R2C3", "R1C3"]')
    return parse_wall(text, "test")


def test_the_canvas_is_drawn_with_its_odd_shape() -> None:
    """What is lit is three areas, and the area for text lies in the one that runs through."""
    drawn = canvas_picture(holed_wall())
    assert str(drawn.safe) == "x 29 to 546, y 202 to 373"
    assert [(a.x, a.y, a.width, a.height) for a in drawn.lit] == [
        (0, 0, 192, 192),
        (384, 0, 192, 192),
        (0, 192, 576, 192),
    ]
    assert (drawn.width, drawn.height) == (576, 384)


def test_templates_that_cross_a_hole_in_the_wall_are_called_that() -> None:
    crossing = {name: size for name, size, _ in templates(holed_wall()).rows}
    assert crossing == {
        "Whole canvas, crosses canvas without LEDs": "576 × 384",
        "16:9 picture in the middle, crosses canvas without LEDs": "576 × 324",
        "House left half, crosses canvas without LEDs": "288 × 384",
        "House right half, crosses canvas without LEDs": "288 × 384",
        "Largest area with LEDs throughout": "576 × 192",
        "Area for text, 5 % in from the edge": "518 × 172",
    }


def test_what_a_change_left_no_longer_good_is_said_beside_the_figure(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    accuracy = {unit: Accuracy(percent=1.0) for unit in ("A", "ms", "kN")}
    job.record(e.Instrument(key="all", name="Meter", serial="M-1", accuracy=accuracy))
    for circuit in ("LP1-1-L1", "LP1-2-L2"):
        job.read("circuit-currents", "current_a", circuit, 8.25, confirmed=True)
        job.read("residual-device-times", "trip_ms", circuit, 21.0, confirmed=True)
    job.read("suspension-loads", "load_kn", "H1", 2.31, confirmed=True)
    change_setting(job, "circuit wiring", "moved to another breaker", place="LP1-1-L1")
    change_setting(job, "suspension", "a point trimmed")
    document = document_data(job)
    for form, title, kept, doubtful in (
        ("circuit-loads", "Measured", "8.3 A", "8.3 A, no longer good"),
        ("circuit-supplies", "Trips in", "21 ms", "21 ms, no longer good"),
    ):
        one, other, *_ = rows_of(under(document, "Electrician's page", form))
        with case(form):
            assert (one[title], other[title]) == (doubtful, kept)
    point = rows_of(under(document, "Rigger's page", "point-loads"))[0]
    assert point["Measured"] == "2.31 kN, no longer good"


def test_who_learnt_it_is_of_the_visit_that_counted_them(tmp_path: Path) -> None:
    job = make_job(tmp_path)
    job.read("training", "names", "wall", "Edda Moss, Tam Reyl")
    job.read("training", "people_able", "switching on and off", 2.0)
    job.record(e.VisitBegun(name="30 days"))
    job.read("training", "people_able", "switching on and off", 1.0)
    document = document_data(job)
    assert [row[1] for row in under(document, "People and training", "training")["rows"]] == ["1"]
    assert under(document, "People and training", "words") == []

"""Papers as PDF: asked for, made by the task, fetched by those who may."""

from __future__ import annotations

import io
import re
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.template.loader import render_to_string
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from academy.audit.models import Entry
from academy.craft.exercise.engine import Field, Level
from academy.craft.measure import Choice, Kind, Spot
from academy.exercises import services, tasks
from academy.exercises.errors import PaperError
from academy.exercises.form_numbers import form_number
from academy.exercises.models import PaperPrint
from academy.exercises.queries.keys import KeyLine, KeyView, key_views
from academy.exercises.queries.printed import PrintedLine, PrintedQuestion, paper_pages
from academy.exercises.services import PartWanted, Wanted
from academy.exercises.services.prints import EVERYBODY
from academy.people.models import Cohort, Person, Role
from academy.web.models import Job, JobState
from academy.web.pdf import PdfError
from tests.site.exercises.conftest import DILUTE, QUANTITIES, WHITE, SetPaper
from tests.site.factories import CohortPlaceFactory


@pytest.fixture
def quiet_queue(monkeypatch: pytest.MonkeyPatch) -> None:
    """The worker has not come to it yet."""
    monkeypatch.setattr("academy.web.tasks._deliver", lambda *_: None)


@pytest.fixture
def media(settings: object, tmp_path: Path) -> Path:
    settings.MEDIA_ROOT = tmp_path  # type: ignore[attr-defined]
    return tmp_path


def pages(row: PaperPrint) -> list[str]:
    with row.file.open("rb") as kept:
        return [page.extract_text() for page in PdfReader(io.BytesIO(kept.read())).pages]


def test_each_apprentice_gets_a_paper_with_own_numbers_and_page_count(
    press: None,
    media: Path,
    make_member: Callable[..., Person],
    cohort: Cohort,
    set_paper: SetPaper,
    educator: Person,
) -> None:
    for name in ("Anouk Febvre", "Wren Hollis", "Zofia Żeleńska"):
        CohortPlaceFactory(cohort=cohort, person=make_member(Role.APPRENTICE, name=name))
    paper = set_paper(parts=[DILUTE])
    row = services.ask_print(paper=paper, by=educator, what="papers")
    texts = pages(row)
    assert (row.state, row.pages, len(texts)) == (JobState.DONE, 3, 3)
    assert [text.split("Name\n")[1].split("\n")[0] for text in texts] == [
        "Anouk Febvre",
        "Wren Hollis",
        "Zofia Żeleńska",
    ]
    people = Person.objects.in_bulk(row.people)
    for text, person in zip(texts, (people[pk] for pk in row.people), strict=True):
        assert person.name in text
        assert form_number(paper, person) in text
        assert "page 1 of 1" in text
        assert "Larkmere Academy of Hair Colour" in text


def test_papers_key_and_guide_come_apart(
    press: None, media: Path, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(parts=[DILUTE], same_numbers=True)
    papers, key, guide = (
        " ".join(pages(services.ask_print(paper=paper, by=educator, what=what)))
        for what in ("papers", "key", "guide")
    )
    stock = paper.questions.get().question
    right = stock.field("stock").printed(stock.key["stock"])
    sentence = " ".join(stock.mistakes[0].sentence.split()[:4])
    assert [right in text for text in (papers, key, guide)] == [False, True, True]
    assert [sentence in text for text in (papers, key, guide)] == [False, False, True]
    assert "Key, not for the table" in key
    for word in ("± 1 g", "any equal ratio", "Follow-through", "Mixed units."):
        assert word in guide


def test_the_key_of_many_questions_is_one_page(
    press: None, media: Path, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    parts = [replace(part, count=2) for part in (DILUTE, QUANTITIES, WHITE)]
    row = services.ask_print(paper=set_paper(parts=parts), by=educator, what="key")
    assert len(pages(row)) == 1


def test_batches_are_joined_in_order_and_their_parts_are_gone(
    press: None,
    media: Path,
    monkeypatch: pytest.MonkeyPatch,
    make_member: Callable[..., Person],
    cohort: Cohort,
    set_paper: SetPaper,
    educator: Person,
) -> None:
    monkeypatch.setattr(tasks, "AT_ONCE", 2)
    names = [f"Learner {n}" for n in range(5)]
    for name in names:
        CohortPlaceFactory(cohort=cohort, person=make_member(Role.APPRENTICE, name=name))
    row = services.ask_print(paper=set_paper(), by=educator, what="papers")
    texts = pages(row)
    assert [name in text for name, text in zip(names, texts, strict=True)] == [True] * 5
    assert (row.pages, row.done, row.share) == (5, 5, 100)
    assert list((media / "papers" / "parts").iterdir()) == []


def test_a_batch_that_comes_twice_is_laid_once_and_the_page_shows_how_far_it_is(
    media: Path,
    monkeypatch: pytest.MonkeyPatch,
    make_member: Callable[..., Person],
    cohort: Cohort,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    monkeypatch.setattr(tasks, "AT_ONCE", 2)
    monkeypatch.setattr("academy.web.tasks._deliver", lambda *_: None)
    monkeypatch.setattr(tasks, "render_pdfs", lambda pages, **_: (b"%PDF-", len(pages)))
    for n in range(5):
        CohortPlaceFactory(cohort=cohort, person=make_member(Role.APPRENTICE, name=f"L {n}"))
    paper = set_paper()
    row = services.ask_print(paper=paper, by=educator, what="papers")
    for _ in range(2):
        tasks.make_print(row.pk)
    row.refresh_from_db()
    assert (row.done, row.total, row.pages, row.share) == (2, 5, 2, 40)
    assert Job.objects.count() == 2
    url = reverse("exercises:paper-print", kwargs={"academy": "larkmere", "token": paper.token})
    page = signed_in(educator).get(url).text
    assert "being made, 2 of 5" in page
    assert '<rect class="b1" width="40" height="4"/>' in page


def test_a_print_never_mixes_a_paper_with_what_it_was_changed_to(
    press: None,
    media: Path,
    monkeypatch: pytest.MonkeyPatch,
    make_member: Callable[..., Person],
    cohort: Cohort,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    monkeypatch.setattr(tasks, "AT_ONCE", 2)
    monkeypatch.setattr("academy.web.tasks._deliver", lambda *_: None)
    for n in range(3):
        CohortPlaceFactory(cohort=cohort, person=make_member(Role.APPRENTICE, name=f"L {n}"))
    paper = set_paper()
    half, ready = (
        services.ask_print(paper=paper, by=educator, what=what) for what in ("papers", "guide")
    )
    for row, start in ((half, 0), (ready, 0), (ready, 2), (ready, 3)):
        tasks.make_print(row.pk, start)
    wanted = Wanted(cohort=cohort, title="Changed", parts=[QUANTITIES], seed=7)
    services.edit_paper(paper=paper, by=educator, wanted=wanted, edition=1)
    tasks.make_print(half.pk, 2)
    for row in (half, ready):
        row.refresh_from_db()
        assert row.trouble.startswith("The paper was changed since")
    assert (half.state, half.done, bool(half.file)) == (JobState.FAILED, 2, False)
    assert ready.state == JobState.DONE
    url = reverse("exercises:paper-print", kwargs={"academy": "larkmere", "token": paper.token})
    assert signed_in(educator).get(url).text.count("The paper was changed since") == 2


def test_who_joined_late_gets_numbers_with_the_print_and_keeps_them(
    press: None,
    media: Path,
    learner: Person,
    make_member: Callable[..., Person],
    cohort: Cohort,
    set_paper: SetPaper,
    educator: Person,
) -> None:
    paper = set_paper()
    late = make_member(Role.APPRENTICE, name="Ysolde Late")
    CohortPlaceFactory(cohort=cohort, person=late)
    services.ask_print(paper=paper, by=educator, what="papers")
    row = services.ask_print(paper=paper, by=educator, what="papers")
    assert row.people == [learner.pk, late.pk]
    own = paper.questions.get(apprentice=late)
    assert own.question.givens[0].value in pages(row)[1]


def test_everybody_gets_the_same_numbers_on_a_paper_with_their_name(
    press: None, media: Path, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(same_numbers=True)
    papers, key = (
        services.ask_print(paper=paper, by=educator, what=what) for what in ("papers", "key")
    )
    assert (papers.people, key.people) == ([learner.pk], [EVERYBODY])
    assert learner.name in pages(papers)[0]
    assert "everybody" in pages(key)[0]


def test_the_key_gives_a_point_as_it_is_read_off_the_grid(
    learner: Person, set_paper: SetPaper
) -> None:
    paper = set_paper(parts=[PartWanted("eye-corners", Level.WORKING, 1)])
    question = paper.questions.get().question
    [key], [form] = (paper_pages(paper, what=what) for what in ("key", "papers"))
    for field in question.fields:
        spot = question.key[field.key]
        assert isinstance(spot, Spot)
        found = re.search(rf"{field.label}</td>.*?\((\w+ [^)]*)\)", key)
        assert found
        typed = field.read(found[1]).value
        assert isinstance(typed, Spot)
        # Whole millimetres: at most half of one each way, a little more where the head slopes.
        assert spot.distance_mm(typed) < 2
        assert found[1] not in form


def test_nothing_is_printed_while_questions_are_still_being_drawn(
    quiet_queue: None, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper()
    paper.drawing = Job.objects.create(key="drawing", task="x", asked_at=timezone.now())
    paper.save()
    with pytest.raises(PaperError, match="still being drawn"):
        services.ask_print(paper=paper, by=educator, what="papers")


def line_on_paper(field: Field) -> str:
    line = KeyLine(field, right="", sum="", slips=())
    return render_to_string("print/parts/line.html", {"line": PrintedLine(line, letter="B")})


def test_every_kind_of_answer_has_its_form_on_paper() -> None:
    choices = tuple(Choice(key, f"Step {key}") for key in "abc")
    choice = line_on_paper(Field("x", "Which", Kind.CHOICE, choices=choices))
    assert choice.count('class="box"') == 3
    several = line_on_paper(Field("x", "Which", Kind.SEVERAL, choices=choices))
    assert several.count('class="box"') == 4
    assert "none of these" in several
    order = line_on_paper(Field("x", "In order", Kind.ORDER, choices=choices))
    assert [f"<b>{letter}</b> Step" in order for letter in "ABC"] == [True] * 3
    assert order.count('class="slot"') == 3
    assert "letter <b>B</b>" in line_on_paper(Field("x", "Point", Kind.SPOT))
    none = line_on_paper(Field("x", "Next check", Kind.CLOCK, or_none=True))
    assert "h:min" in none
    assert none.count('class="box"') == 1


def test_a_point_is_put_on_heads_with_a_grid(learner: Person, set_paper: SetPaper) -> None:
    question = set_paper(parts=[DILUTE]).questions.get().question
    spot = Field("point", "Corner", Kind.SPOT)
    line = KeyLine(spot, right="", sum="", slips=())
    heads = PrintedQuestion(KeyView(1, question, (line,), ())).heads
    assert [title for title, _ in heads] == [
        "Left side",
        "Top, front upwards",
        "Right side",
        "Front",
        "Back",
    ]
    assert all("\u221240</text>" in head for _, head in heads)
    assert PrintedQuestion(key_views([question])[0]).heads == []


def test_a_long_paper_counts_its_pages(
    press: None, media: Path, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(parts=[DILUTE, QUANTITIES, WHITE, WHITE], same_numbers=True)
    row = services.ask_print(paper=paper, by=educator, what="papers")
    texts = pages(row)
    assert row.pages == len(texts) > 1
    assert [f"page {n} of {len(texts)}" in text for n, text in enumerate(texts, 1)] == [True] * len(
        texts
    )


def test_a_file_is_fetched_by_educators_only_and_lies_under_a_random_name(
    press: None,
    media: Path,
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    row = services.ask_print(paper=set_paper(), by=educator, what="papers")
    url = reverse("exercises:print-download", kwargs={"academy": "larkmere", "token": row.token})
    answer = signed_in(educator).get(url)
    assert answer.content.startswith(b"%PDF-")
    assert answer["Content-Disposition"] == 'attachment; filename="developer-and-bowl-papers.pdf"'
    assert signed_in(learner).get(url).status_code == 403
    assert row.token not in str(row.file.name)
    assert Client().get(f"/media/{row.file.name}").status_code != 200


def test_asking_again_while_it_is_made_gives_the_same_print(
    quiet_queue: None, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper()
    first, second = (services.ask_print(paper=paper, by=educator, what="papers") for _ in range(2))
    assert first == second
    assert first.state == JobState.WAITING
    assert Job.objects.count() == 1
    assert Entry.objects.filter(action="exercises.paper.papers_printed").count() == 1


def test_the_page_waits_and_asks_again_by_itself(
    quiet_queue: None,
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    paper = set_paper()
    url = reverse("exercises:paper-print", kwargs={"academy": "larkmere", "token": paper.token})
    client = signed_in(educator)
    client.post(url, {"what": "guide"})
    page = client.get(url).text
    assert "waiting for the worker" in page
    assert "Look again" in page
    assert "Marking guide" in page
    part = client.get(url, headers={"HX-Request": "true"}).text
    assert part.lstrip().startswith('<div id="prints"')
    assert 'hx-trigger="every 2s"' in part


def test_missing_libraries_are_said_in_a_sentence(
    monkeypatch: pytest.MonkeyPatch,
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
    signed_in: Callable[[Person], Client],
) -> None:
    def no_press(*_: object, **__: object) -> None:
        raise PdfError("PDFs need libraries that are not on this machine.")

    monkeypatch.setattr(tasks, "render_pdfs", no_press)
    paper = set_paper()
    services.ask_print(paper=paper, by=educator, what="papers")
    url = reverse("exercises:paper-print", kwargs={"academy": "larkmere", "token": paper.token})
    assert "PDFs need libraries that are not on this machine." in signed_in(educator).get(url).text


def test_a_print_is_made_once_however_often_the_queue_delivers_it(
    monkeypatch: pytest.MonkeyPatch,
    media: Path,
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
) -> None:
    made: list[int] = []

    def render(pages: list[str], **_: object) -> tuple[bytes, int]:
        made.append(len(pages))
        return b"%PDF-", 1

    monkeypatch.setattr(tasks, "render_pdfs", render)
    row = services.ask_print(paper=set_paper(), by=educator, what="papers")
    tasks.make_print(row.pk)
    assert made == [1]


def test_a_paper_that_nobody_has_is_not_printed(
    cohort: Cohort, set_paper: SetPaper, educator: Person
) -> None:
    row = services.ask_print(paper=set_paper(), by=educator, what="papers")
    assert row.state == JobState.FAILED
    assert row.trouble.startswith("Nobody has a place in the cohort yet")


def test_only_educators_print(learner: Person, set_paper: SetPaper, assessor: Person) -> None:
    with pytest.raises(PaperError):
        services.ask_print(paper=set_paper(), by=assessor, what="key")


def test_old_files_are_deleted(
    monkeypatch: pytest.MonkeyPatch,
    media: Path,
    learner: Person,
    set_paper: SetPaper,
    educator: Person,
) -> None:
    monkeypatch.setattr(tasks, "render_pdfs", lambda *_, **__: (b"%PDF-", 1))
    paper = set_paper()
    old, new = (
        services.ask_print(paper=paper, by=educator, what=what) for what in ("key", "papers")
    )
    PaperPrint.objects.filter(pk=old.pk).update(asked_at=timezone.now() - timedelta(days=31))
    tasks.forget_prints()
    assert list(PaperPrint.objects.all()) == [new]
    assert [file.is_file() for file in (media / "papers").iterdir()] == [True]


def test_the_web_process_never_loads_the_press() -> None:
    code = (
        "import django, sys; django.setup(); import academy.urls, academy.wsgi;"
        "from django.urls import get_resolver; get_resolver().url_patterns;"
        "sys.exit('weasyprint' in sys.modules)"
    )
    done = subprocess.run(
        [sys.executable, "-c", code], cwd=settings.ROOT, capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr


def test_times_and_parts_have_their_form_beside_the_blank(
    learner: Person, set_paper: SetPaper
) -> None:
    [page] = paper_pages(set_paper(parts=[WHITE]), what="papers")
    for label, form in (("First check", "h:min"), ("Colour to developer", "parts")):
        blank = page.split(f"<span>{label}</span>")[1]
        assert blank.startswith(
            f'<span class="line-to-fill"></span><span class="cell">{form}</span>'
        )

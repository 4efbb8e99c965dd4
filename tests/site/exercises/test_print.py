"""Papers as PDF: asked for, made by the task, fetched by those who may."""

from __future__ import annotations

import io
import subprocess
import sys
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pytest
from django.conf import settings
from django.test import Client
from django.urls import reverse
from django.utils import timezone
from pypdf import PdfReader

from academy.audit.models import Entry
from academy.exercises import services, tasks
from academy.exercises.errors import PaperError
from academy.exercises.models import PaperPrint
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
    for text, name in zip(texts, ("Anouk Febvre", "Wren Hollis", "Zofia Żeleńska"), strict=True):
        assert name in text
        assert "page 1 of 1" in text
        assert "5190-7734" in text
        assert "Larkmere Academy of Hair Colour" in text


def test_the_key_comes_apart_after_the_papers(
    press: None, media: Path, learner: Person, set_paper: SetPaper, educator: Person
) -> None:
    paper = set_paper(parts=[DILUTE])
    plain, keyed = (
        pages(services.ask_print(paper=paper, by=educator, with_key=key)) for key in (False, True)
    )
    assert (len(plain), len(keyed)) == (1, 2)
    assert plain == keyed[:1]
    assert "Key, not for the table" in keyed[1]
    assert "mixed units" in keyed[1]
    assert "mixed units" not in keyed[0]


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
    assert answer["Content-Disposition"] == 'attachment; filename="developer-and-bowl.pdf"'
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
    assert Entry.objects.filter(action="exercises.paper.printed").count() == 1


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
    client.post(url, {"key": "yes"})
    page = client.get(url).text
    assert "waiting for the worker" in page
    assert "Look again" in page
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
    [page] = tasks.paper_pages(set_paper(parts=[WHITE]), what="papers")
    for label, form in (("First check", "h:min"), ("Colour to developer", "parts")):
        blank = page.split(f"<span>{label}</span>")[1]
        assert blank.startswith(
            f'<span class="line-to-fill"></span><span class="cell">{form}</span>'
        )

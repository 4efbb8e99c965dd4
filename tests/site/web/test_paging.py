from __future__ import annotations

from django.template.loader import render_to_string
from django.test import RequestFactory

from academy.web.paging import page_of


def test_a_list_comes_in_pages_of_forty() -> None:
    page = page_of(RequestFactory().get("/", {"page": "2"}), list(range(95)))
    assert list(page) == list(range(40, 80))


def test_a_page_that_does_not_exist_gives_the_nearest() -> None:
    rows = list(range(95))
    assert page_of(RequestFactory().get("/", {"page": "99"}), rows).number == 3
    assert page_of(RequestFactory().get("/", {"page": "x"}), rows).number == 1


def test_the_links_keep_the_other_words_of_the_search() -> None:
    page = page_of(RequestFactory().get("/", {"page": "2", "q": "top & nape"}), list(range(95)))
    html = render_to_string("parts/paging.html", {"page": page, "what": "people"})
    assert "?q=top+%26+nape&amp;page=3" in html
    assert "41 to 80 of 95 people" in html


def test_one_page_needs_no_links() -> None:
    page = page_of(RequestFactory().get("/"), [1, 2])
    assert not render_to_string("parts/paging.html", {"page": page, "what": "people"}).strip()

"""Long lists in pages of forty."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django.core.paginator import Page, Paginator

if TYPE_CHECKING:
    from collections.abc import Sequence

    from django.db.models import QuerySet
    from django.http import HttpRequest


def page_of(
    request: HttpRequest, queryset: QuerySet[Any] | Sequence[Any], per: int = 40
) -> Page[Any]:
    """The page that `?page=` names; a page that does not exist gives the nearest one that does.

    `page.others` keeps the other search words of the address, for parts/paging.html.
    """
    page = Paginator(queryset, per).get_page(request.GET.get("page"))
    words = request.GET.copy()
    words.pop("page", None)
    page.others = words.urlencode()  # type: ignore[attr-defined]
    return page

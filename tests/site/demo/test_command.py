"""`manage.py load_demo` loads once, and only where nobody real works."""

from __future__ import annotations

from io import StringIO
from typing import TYPE_CHECKING

import pytest
from django.core.management import CommandError, call_command

from academy.people.demo import PASSWORD
from academy.people.models import Academy, Person
from tests.site.factories import AcademyFactory

if TYPE_CHECKING:
    from pytest_django import Settings


def test_a_second_time_changes_nothing(demo_academy: Academy) -> None:
    before = Person.objects.count()
    said = StringIO()
    call_command("load_demo", stdout=said)
    assert said.getvalue() == "The demo academy is there already. Nothing was changed.\n"
    assert Person.objects.count() == before


def test_it_is_refused_where_the_demo_is_switched_off(settings: Settings) -> None:
    settings.BLOCKWORK_DEMO = False
    with pytest.raises(CommandError, match="switched off"):
        call_command("load_demo")


def test_it_is_refused_beside_another_academy(demo_academy: Academy) -> None:
    Academy.objects.filter(pk=demo_academy.pk).update(slug="renamed")
    AcademyFactory(slug="elsewhere")
    with pytest.raises(CommandError, match="another academy"):
        call_command("load_demo")


def test_everybody_signs_in_with_the_password_that_is_printed(demo_academy: Academy) -> None:
    for person in Person.objects.filter(email__endswith="@larkmere.example"):
        assert person.check_password(PASSWORD)

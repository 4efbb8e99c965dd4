"""Prints made before papers and keys came apart."""

from __future__ import annotations

from pathlib import Path

from tests.site.test_migrations import in_a_site_of_its_own

SCRIPT = """
import django
django.setup()
from datetime import date
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.core.management import call_command
from django.db import connection
from django.db.migrations.executor import MigrationExecutor
call_command("migrate", verbosity=0)
call_command("migrate", "awards", "zero", verbosity=0)
call_command("migrate", "exercises", "0001", verbosity=0)
apps = MigrationExecutor(connection).loader.project_state([("exercises", "0001_initial")]).apps
get = apps.get_model
academy = get("people", "Academy").objects.create(slug="larkmere", name="Larkmere")
person = get("people", "Person").objects.create(name="Maren Tolvey", email="m@larkmere.example")
cohort = get("people", "Cohort").objects.create(
    academy=academy, name="Plover", starts_on=date(2026, 1, 5)
)
paper = get("exercises", "Paper").objects.create(
    academy=academy, cohort=cohort, title="Old", seed=1, set_by=person, token="p"
)
names = []
for with_key in (True, False):
    row = get("exercises", "PaperPrint").objects.create(
        paper=paper, asked_by=person, with_key=with_key, token=str(with_key)
    )
    row.file.save("", ContentFile(b"%PDF-"))
    names.append(row.file.name)
call_command("migrate", verbosity=0)
from academy.exercises.models import PaperPrint
print([(row.token, row.what) for row in PaperPrint.objects.all()])
print([default_storage.exists(name) for name in names])
"""


def test_a_print_that_held_its_key_is_deleted_and_does_not_pass_for_papers(tmp_path: Path) -> None:
    left, files = in_a_site_of_its_own(SCRIPT, BLOCKWORK_DATA=str(tmp_path), DATABASE_URL="")
    assert left == "[('False', 'papers')]"
    assert files == "[False, True]"

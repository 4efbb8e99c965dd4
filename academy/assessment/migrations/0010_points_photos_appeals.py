import django.db.models.deletion
import django.utils.timezone
from django.db import migrations, models

import academy.assessment.models.photos
import academy.web.tokens


def one_point_each(apps, schema_editor):
    """A draft held one point; now it holds a list of them."""
    drafts = apps.get_model("assessment", "FeedbackDraft")
    for draft in drafts.objects.all():
        draft.points = [draft.points] if draft.points else []
        draft.save(update_fields=["points"])


def first_point_only(apps, schema_editor):
    drafts = apps.get_model("assessment", "FeedbackDraft")
    for draft in drafts.objects.all():
        draft.points = draft.points[0] if draft.points else {}
        draft.save(update_fields=["points"])


class Migration(migrations.Migration):
    dependencies = [
        ("assessment", "0009_fault_marks_are_sent_once"),
    ]

    operations = [
        migrations.RenameField("feedbackdraft", "boxes", "points"),
        migrations.RunPython(one_point_each, first_point_only),
        migrations.AlterField(
            model_name="feedbackdraft",
            name="points",
            field=models.JSONField(default=list),
        ),
        migrations.CreateModel(
            name="ReferencePhoto",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "token",
                    academy.web.tokens.TokenField(
                        default=academy.web.tokens.new_token,
                        editable=False,
                        max_length=22,
                        unique=True,
                    ),
                ),
                (
                    "allowed",
                    models.CharField(
                        choices=[("no_face", "no face in it"), ("consent", "consent is on record")],
                        max_length=7,
                    ),
                ),
                ("file", models.FileField(upload_to=academy.assessment.models.photos.photo_name)),
                ("sha256", models.CharField(max_length=64)),
                ("width", models.PositiveSmallIntegerField()),
                ("height", models.PositiveSmallIntegerField()),
                ("client_key", models.CharField(max_length=22)),
                ("added_at", models.DateTimeField(default=django.utils.timezone.now)),
                ("shows", models.CharField(max_length=120)),
                (
                    "reference",
                    models.ForeignKey(
                        on_delete=django.db.models.deletion.CASCADE,
                        related_name="photos",
                        to="assessment.referencehead",
                    ),
                ),
            ],
            options={
                "ordering": ["added_at", "pk"],
                "abstract": False,
                "constraints": [
                    models.UniqueConstraint(
                        fields=("reference", "client_key"),
                        name="assessment_referencephoto_sent_once",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("allowed", ""), _negated=True),
                        name="assessment_referencephoto_allowed",
                    ),
                    models.CheckConstraint(
                        condition=models.Q(("shows", ""), _negated=True),
                        name="assessment_referencephoto_shows",
                    ),
                ],
            },
        ),
        migrations.CreateModel(
            name="AppealWithdrawal",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("reason", models.CharField(blank=True, max_length=400)),
                ("at", models.DateTimeField(default=django.utils.timezone.now)),
                (
                    "appeal",
                    models.OneToOneField(
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="withdrawal",
                        to="assessment.appeal",
                    ),
                ),
                (
                    "calls_off",
                    models.OneToOneField(
                        blank=True,
                        null=True,
                        on_delete=django.db.models.deletion.PROTECT,
                        related_name="called_off",
                        to="assessment.secondasked",
                    ),
                ),
            ],
            options={
                "abstract": False,
            },
        ),
    ]

from django.db import migrations, models


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
        ("assessment", "0008_touch_keys"),
    ]

    operations = [
        migrations.RenameField("feedbackdraft", "boxes", "points"),
        migrations.RunPython(one_point_each, first_point_only),
        migrations.AlterField(
            model_name="feedbackdraft",
            name="points",
            field=models.JSONField(default=list),
        ),
    ]

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("assessment", "0010_points_photos_appeals"),
    ]

    operations = [
        migrations.AddConstraint(
            model_name="verification",
            constraint=models.UniqueConstraint(
                condition=models.Q(("result", "overturned")),
                fields=("sign_off",),
                name="assessment_verification_overturned_once",
            ),
        ),
    ]

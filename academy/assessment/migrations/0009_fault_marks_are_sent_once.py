from django.db import migrations, models

import academy.web.tokens

ZONES = ["fringe", "top", "crown", "side_left", "side_right", "occipital", "nape"]


class Migration(migrations.Migration):
    dependencies = [
        ("assessment", "0008_touch_keys"),
    ]

    operations = [
        # A mark's token named it in addresses below its head's; now the device may choose it.
        migrations.RenameField(model_name="faultmark", old_name="token", new_name="client_key"),
        migrations.AlterField(
            model_name="faultmark",
            name="client_key",
            field=models.CharField(
                default=academy.web.tokens.new_token, editable=False, max_length=22
            ),
        ),
        migrations.AddConstraint(
            model_name="faultmark",
            constraint=models.UniqueConstraint(
                fields=("assessment", "client_key"), name="assessment_faultmark_sent_once"
            ),
        ),
        migrations.AlterField(
            model_name="referencefault",
            name="common",
            field=models.SlugField(
                blank=True, help_text="A fault common to every sheet.", max_length=24
            ),
        ),
        migrations.AddConstraint(
            model_name="referencefault",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    ("azimuth_deg__gte", -180),
                    ("azimuth_deg__lte", 180),
                    ("elevation_deg__gte", -90),
                    ("elevation_deg__lte", 90),
                ),
                name="assessment_referencefault_on_the_head",
            ),
        ),
        migrations.AddConstraint(
            model_name="referencefault",
            constraint=models.CheckConstraint(
                condition=models.Q(("zone__in", ZONES)),
                name="assessment_referencefault_zone_known",
            ),
        ),
    ]

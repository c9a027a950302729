"""Notices keep which errata each letter listed as corrected before."""

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [("catalogue", "0030_nameless_histories")]
    operations = [
        migrations.AddField(
            model_name="notice",
            name="listed",
            field=models.JSONField(
                default=dict,
                help_text="Keys of errata that each letter lists as corrected before, as it is sent.",
            ),
        ),
    ]

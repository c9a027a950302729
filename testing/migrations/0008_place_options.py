"""The options that a tester chose with the place."""

from django.db import migrations, models


class Migration(migrations.Migration):
    """Places keep the options of their garment; older ones have none and are asked everything."""

    dependencies = (("testing", "0007_photo_pieces"),)

    operations = (
        migrations.AddField(
            model_name="placement",
            name="options",
            field=models.JSONField(
                blank=True, default=dict, help_text="Choice by option, given when the place was taken."
            ),
        ),
    )

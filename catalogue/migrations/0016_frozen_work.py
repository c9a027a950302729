"""What was worked out from frozen records gets a table of its own."""

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [("catalogue", "0015_duplicate_errata")]

    operations = [
        migrations.CreateModel(
            name="FrozenWork",
            fields=[
                ("key", models.CharField(max_length=64, primary_key=True, serialize=False)),
                (
                    "program",
                    models.CharField(db_index=True, help_text="Fingerprint of what made it.", max_length=64),
                ),
                ("kind", models.CharField(max_length=20)),
                ("text", models.TextField()),
                ("made_at", models.DateTimeField(auto_now_add=True, db_index=True)),
            ],
        ),
    ]

from django.db import migrations, models


class Migration(migrations.Migration):
    dependencies = [
        ("catalogue", "0002_stopped_notices"),
    ]

    operations = [
        migrations.AddField(
            model_name="studio",
            name="public_url",
            field=models.CharField(
                blank=True, default="", help_text="Printed in documents and e-mails.", max_length=200
            ),
        ),
    ]

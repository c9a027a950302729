"""Applications get a token of their own; who had letters before keeps the links in them."""

from django.db import migrations, models
from django.db.models import F

import catalogue.models.link_tokens


def keep_links(apps, schema_editor):
    """Letters from before have links with the address."""
    apps.get_model('testing', 'Application').objects.update(token=F('email'))


class Migration(migrations.Migration):

    dependencies = [
        ('testing', '0002_chores'),
    ]

    operations = [
        migrations.AddField(
            model_name='application',
            name='token',
            field=models.CharField(default='', max_length=254),
        ),
        migrations.RunPython(keep_links, migrations.RunPython.noop),
        migrations.AlterField(
            model_name='application',
            name='token',
            field=models.CharField(default=catalogue.models.link_tokens.new_token, help_text="Part of the applicant's links; the address where older e-mails have links with that.", max_length=254),
        ),
    ]

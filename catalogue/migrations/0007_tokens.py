"""Holders get a token of their own; who had letters before keeps the links in them."""

from django.db import migrations, models

import catalogue.models.link_tokens


class Migration(migrations.Migration):

    dependencies = [
        ('catalogue', '0006_chores'),
    ]

    operations = [
        # Rows that are there keep an empty one: their letters have links with the key alone.
        migrations.AddField(
            model_name='holder',
            name='token',
            field=models.CharField(default='', max_length=16),
        ),
        migrations.AlterField(
            model_name='holder',
            name='token',
            field=models.CharField(default=catalogue.models.link_tokens.new_token, help_text="Part of the holder's links; empty where older e-mails have links without one.", max_length=16),
        ),
    ]

from django.db import migrations, models


class Migration(migrations.Migration):

    dependencies = [
        ('catalogue', '0023_practice_choice'),
    ]

    operations = [
        migrations.AddField(
            model_name='technicaledit',
            name='unread',
            field=models.PositiveIntegerField(help_text='How many cells the editor had not ticked as read; null before it was kept.', null=True),
        ),
    ]

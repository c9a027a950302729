"""Histories of errata name nobody: what they told of who met a mistake, or of words, is taken out."""

import re

from django.db import migrations, models

MET = re.compile(r"^(Met again(?: in [^:]*)?): .*$", re.DOTALL)
# What a change can be of, with what it was and became where both are a choice, a day or nothing.
FIELDS = (
    "what it says", "what it should say", "why", "sizes", "severity", "how it came to light", "found by",
    "day to settle it by",
)
CHANGED = re.compile(
    rf"(?:^Changed: |; )({'|'.join(FIELDS)})(, from [^“”;]+ to [^“”;]+?)?(?=; |\.?$|, from (?:nothing to )?“)"
)


def without_names(says):
    """What an event says, without who met a mistake and without words that were changed."""
    if says.startswith("Changed: ") and "“" in says:
        parts = [name + (became or "") for name, became in CHANGED.findall(says)]
        return f"Changed: {'; '.join(parts)}." if parts else "Changed."
    return MET.sub(r"\1.", says)


def take_names_out(apps, schema_editor):
    """Write the events anew that name somebody, or quote them."""
    events = apps.get_model("catalogue", "ErratumEvent").objects.using(schema_editor.connection.alias)
    for event in events.filter(models.Q(says__startswith="Met again") | models.Q(says__startswith="Changed: ")):
        says = without_names(event.says)
        if says != event.says:
            event.says = says
            event.save(update_fields=["says"])


class Migration(migrations.Migration):

    dependencies = [
        ('catalogue', '0029_broken_guards'),
    ]

    operations = [
        migrations.AddField(
            model_name='notice',
            name='joined',
            field=models.JSONField(default=list, help_text='Keys that drafts had which were put into this one.'),
        ),
        migrations.AlterField(
            model_name='notice',
            name='words',
            field=models.TextField(blank=True, help_text='What the studio says below the list.', max_length=2000),
        ),
        migrations.RunPython(take_names_out, migrations.RunPython.noop),
    ]

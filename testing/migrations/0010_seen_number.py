from django.db import migrations


class Migration(migrations.Migration):
    dependencies = [("testing", "0009_changed_counts")]

    operations = [migrations.RenameField(model_name="reading", old_name="seen_mm", new_name="seen")]

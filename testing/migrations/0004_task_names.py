"""Tasks that wait in the queue are found under the names that their functions have now."""

from django.db import migrations

MOVED = {
    "testing.assessing.refresh_assessment": "testing.assessment.assessing.refresh_assessment",
}


def rename_tasks(apps, schema_editor):
    tasks = apps.get_model("django_tasks_database", "DBTaskResult")
    for old, new in MOVED.items():
        tasks.objects.filter(task_path=old).update(task_path=new)


def rename_back(apps, schema_editor):
    tasks = apps.get_model("django_tasks_database", "DBTaskResult")
    for old, new in MOVED.items():
        tasks.objects.filter(task_path=new).update(task_path=old)


class Migration(migrations.Migration):
    dependencies = [("testing", "0003_tokens"), ("django_tasks_database", "0001_initial")]

    operations = [migrations.RunPython(rename_tasks, rename_back)]

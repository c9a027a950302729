"""Tasks that wait in the queue are found under the names that their functions have now."""

from django.db import migrations

MOVED = {
    "catalogue.letters.send_letters": "catalogue.studio.letters.send_letters",
    "catalogue.notice_sending.send_batch": "catalogue.holders.sending.send_batch",
    "catalogue.publishing.make_editions_of": "catalogue.publishing.publishing.make_editions_of",
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
    dependencies = [("catalogue", "0009_unswept"), ("django_tasks_database", "0001_initial")]

    operations = [migrations.RunPython(rename_tasks, rename_back)]

"""The composition root as an app: it puts the others together and is imported by none of them."""

from django.apps import AppConfig


class SiteConfig(AppConfig):
    """Settings, root addresses, home page and the commands of the whole studio."""

    name = "catalogue.site"
    label = "site"
    verbose_name = "Studio"

    def ready(self) -> None:
        """Have the times of tasks written down, wherever they run, and a deployment checked."""
        from django_tasks.signals import task_finished

        from catalogue.site import checks  # noqa: F401 makes them known
        from catalogue.site.timings import write_down_task

        task_finished.connect(write_down_task)

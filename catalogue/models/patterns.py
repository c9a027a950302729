"""A pattern and its words."""

from django.db import models

from catalogue.models.people import Person
from grading.fields import TypedField
from grading.models import Sheet


class Pattern(models.Model):
    """The design and all that belongs to it."""

    slug = models.SlugField(max_length=200, unique=True, help_text="From the title, kept for ever.")
    title = models.CharField(max_length=200)
    header = TypedField(
        default=dict, help_text="As typed: the summary, who wears it, its hazards, notions and abbreviations."
    )
    keys = TypedField(default=list, help_text="The file's top-level keys, in file order.")
    sheet = models.OneToOneField(Sheet, on_delete=models.PROTECT, related_name="+")
    is_free = models.BooleanField(default=False, help_text="Anyone may download the released PDFs.")
    shows_chart = models.BooleanField(default=False, help_text="The public page shows one small chart.")
    rights = models.JSONField(
        default=dict, help_text="What its next version prints of rights and finished items, as sentences."
    )
    retired_at = models.DateTimeField(null=True, help_text="No longer offered; its corrections stay.")
    created_at = models.DateTimeField(auto_now_add=True)
    changed_at = models.DateTimeField(auto_now=True)

    class Meta:
        ordering = ("title",)

    def __str__(self) -> str:
        return self.title


class Section(models.Model):
    """A part of the written instructions."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="sections")
    position = models.PositiveIntegerField()
    title = models.CharField(max_length=200)
    when = TypedField(null=True, help_text="The options it is printed for; null for always.")

    class Meta:
        ordering = ("position",)

    def __str__(self) -> str:
        return self.title


class Step(models.Model):
    """One step of a section: Markdown with references to the sheet."""

    section = models.ForeignKey(Section, on_delete=models.CASCADE, related_name="steps")
    position = models.PositiveIntegerField()
    text = models.TextField(max_length=20_000)

    class Meta:
        ordering = ("position",)

    def __str__(self) -> str:
        return self.text[:60]


class PatternEdit(models.Model):
    """One edit of a pattern: the entries it touched, as typed before and after, so that it can be undone."""

    pattern = models.ForeignKey(Pattern, on_delete=models.CASCADE, related_name="edits")
    revision = models.PositiveIntegerField(help_text="The sheet's revision that this edit made.")
    by = models.ForeignKey(Person, on_delete=models.SET_NULL, null=True, related_name="+")
    made_at = models.DateTimeField(auto_now_add=True)
    before = TypedField(default=dict, help_text="The patch that takes it back.")
    after = TypedField(default=dict, help_text="The patch that it was.")
    undone = models.BooleanField(default=False, help_text="Taken back, or itself a taking back.")
    says = models.CharField(max_length=1000, help_text="What it touched and changed, in one sentence.")

    class Meta:
        ordering = ("-revision",)
        constraints = (
            models.UniqueConstraint(fields=("pattern", "revision"), name="catalogue_edit_once_per_revision"),
        )

    def __str__(self) -> str:
        return self.says

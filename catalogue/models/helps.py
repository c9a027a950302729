"""The studio's helps: how a technique is done, kept once and used in many patterns."""

import secrets

from django.db import models
from django.urls import reverse

from catalogue.models.people import Person
from catalogue.models.photos import ListedPicture
from catalogue.models.versions import Version

# Letters and digits that nobody takes for one another; eight of them can't be guessed.
CODE_LETTERS = "abcdefghjkmnpqrstuvwxyz23456789"
CODE_LENGTH = 8

CRAFTS = {"": "any craft", "crochet": "crochet", "knitting": "knitting", "tunisian": "Tunisian crochet"}
HANDS = {"": "either hand", "right": "right-handed", "left": "left-handed"}
LINK_STATES = {
    "": "not checked yet",
    "works": "works",
    "moved": "has moved",
    "dead": "does not work",
}


def new_code() -> str:
    """A short code for the address of a help, as printed in PDFs."""
    return "".join(secrets.choice(CODE_LETTERS) for _ in range(CODE_LENGTH))


class Help(models.Model):
    """How a technique is done: words, pictures in their order, and a link to a video wherever it is kept."""

    name = models.CharField(max_length=80, unique=True, help_text="As steps name it: {help long_tail}.")
    code = models.CharField(max_length=CODE_LENGTH, unique=True, default=new_code, editable=False)
    title = models.CharField(max_length=120)
    craft = models.CharField(max_length=10, blank=True, choices=list(CRAFTS.items()))
    hand = models.CharField(max_length=5, blank=True, choices=list(HANDS.items()))
    level = models.CharField(max_length=20, blank=True)
    text = models.TextField(max_length=4000)
    terms = models.JSONField(default=list, help_text="Abbreviations and stitches that it explains.")
    link = models.CharField(max_length=500, blank=True)
    link_from_s = models.PositiveIntegerField(null=True, blank=True)
    link_to_s = models.PositiveIntegerField(null=True, blank=True)
    link_state = models.CharField(max_length=5, blank=True, choices=list(LINK_STATES.items()))
    link_answer = models.CharField(max_length=300, blank=True, help_text="What came of the last check.")
    link_checked_at = models.DateTimeField(null=True, blank=True)

    class Meta:
        ordering = ("title", "pk")

    def __str__(self) -> str:
        return self.title

    def get_absolute_url(self) -> str:
        """The short address that PDFs print."""
        return reverse("help_page", args=[self.code])


class HelpPicture(ListedPicture):
    """One picture of a help."""

    help = models.ForeignKey(Help, on_delete=models.CASCADE, related_name="pictures")


class HelpLinkChange(models.Model):
    """A link that was changed: printed short addresses lead to the new one from then on."""

    help = models.ForeignKey(Help, on_delete=models.CASCADE, related_name="link_changes")
    changed_at = models.DateTimeField(auto_now_add=True)
    by = models.ForeignKey(Person, null=True, on_delete=models.SET_NULL, related_name="+")
    old = models.CharField(max_length=500, blank=True)
    new = models.CharField(max_length=500, blank=True)

    class Meta:
        ordering = ("-changed_at", "-pk")

    def __str__(self) -> str:
        return f"{self.help}: {self.old} → {self.new}"


class FrozenHelp(models.Model):
    """A help that a version was frozen with: its short address is printed, so it stays."""

    version = models.ForeignKey(Version, on_delete=models.CASCADE, related_name="frozen_helps")
    help = models.ForeignKey(Help, on_delete=models.PROTECT, related_name="frozen_in")

    class Meta:
        constraints = (
            models.UniqueConstraint(fields=("version", "help"), name="catalogue_frozen_help_once"),
        )

    def __str__(self) -> str:
        return f"{self.help} in {self.version}"

"""What the designer chose in a proposal."""

from django.http import QueryDict

from testing.models import TestCall


class ProposalForm:
    """A size and a mark for each applicant, as sent; what does not belong to the call is left out."""

    def __init__(self, sent: QueryDict, *, call: TestCall) -> None:
        """Take what was sent."""
        self.sent = sent
        self.sizes = {quota.size for quota in call.quotas.all()}
        self.people = set(call.applications.values_list("pk", flat=True))

    def typed(self) -> dict[int, str]:
        """What was chosen for each who stood in the list: a size, or none for the waiting list."""
        sizes = {pk: self.sent.get(f"size-{pk}") for pk in self.people}
        return {pk: size for pk, size in sizes.items() if size is not None and size in {"", *self.sizes}}

    def chosen(self) -> dict[int, str]:
        """The sizes to offer, by application."""
        return {pk: size for pk, size in self.typed().items() if size}

    def kept(self) -> dict[int, str]:
        """What a new proposal keeps."""
        return {pk: size for pk, size in self.typed().items() if f"keep-{pk}" in self.sent}

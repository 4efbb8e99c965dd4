"""Forms of the people pages. What a text must be is checked by the services, once."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from django import forms
from django.utils import timezone
from django.utils.translation import gettext_lazy as _

from academy.people import queries
from academy.people.models import Cohort, Person, Role
from academy.people.rules import LONGEST_EMAIL, LONGEST_NAME
from academy.web.forms import BlockworkForm, DayField

if TYPE_CHECKING:
    from django.http import HttpRequest, QueryDict

    from academy.people.models import Academy

LONGEST_LIST = 200_000


def posted(request: HttpRequest) -> QueryDict | None:
    """What a form is bound to: the post, even an empty one, or nothing on a look."""
    return request.POST if request.method == "POST" else None


class CohortChoice(forms.ModelChoiceField):  # type: ignore[type-arg]
    """One of an academy's open cohorts, named by its token."""

    def __init__(self, **options: Any) -> None:
        options.setdefault("queryset", Cohort.objects.none())
        super().__init__(to_field_name="token", **options)

    def offer(self, academy: Academy) -> None:
        self.queryset = Cohort.objects.filter(academy=academy).open().order_by("name")


class InviteForm(BlockworkForm):
    deed = _("can be sent")

    email = forms.EmailField(label=_("E-mail address"), max_length=LONGEST_EMAIL)
    name = forms.CharField(label=_("First and last name"), max_length=LONGEST_NAME)
    role = forms.ChoiceField(
        label=_("Role"), choices=[("", _("Choose a role")), *Role.choices], initial=""
    )
    cohort = CohortChoice(
        label=_("Cohort"), required=False, help_text=_("For apprentices."), empty_label=_("None")
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["cohort"].offer(academy)  # type: ignore[attr-defined]


class InviteManyForm(BlockworkForm):
    """A list as text; a file, when one is chosen, takes the place of the text."""

    deed = _("can be read")

    lines = forms.CharField(
        label=_("The list"),
        required=False,
        strip=False,
        max_length=LONGEST_LIST,
        widget=forms.Textarea(attrs={"rows": 10, "spellcheck": "false", "class": "num"}),
        help_text=_(
            "One person a line: e-mail, name, role, cohort. For example: "
            "name@example.org, First Last, apprentice, Plover. "
            "In another order, begin with a line that names the columns: "
            "e-mail, name, role, cohort or group."
        ),
    )
    file = forms.FileField(
        label=_("Or a file"),
        required=False,
        help_text=_("A spreadsheet saved as CSV. It takes the place of the text above."),
    )

    def clean_file(self) -> str:
        """The text of the file, or nothing."""
        file = self.cleaned_data.get("file")
        if not file:
            return ""
        if file.size > LONGEST_LIST:
            raise forms.ValidationError(_("Too big. A list of 500 people fits in 200 kB."))
        data = file.read()
        code = "utf-16" if data[:2] in (b"\xff\xfe", b"\xfe\xff") else "utf-8-sig"
        try:
            return str(data.decode(code))
        except UnicodeDecodeError as error:
            raise forms.ValidationError(
                _("The letters cannot be read. Save the file again as “CSV UTF-8”.")
            ) from error

    def clean(self) -> dict[str, Any]:
        cleaned = super().clean() or self.cleaned_data
        text = cleaned.get("file") or cleaned.get("lines") or ""
        if not text.strip() and not self.errors:
            self.add_error("lines", _("Nothing here yet. Paste the list, or choose a file."))
        cleaned["text"] = text
        return cleaned


class JoinForm(BlockworkForm):
    """For somebody who has an account: the notice only, and that only when it is new to them."""

    deed = _("lets you in")

    notice_read = forms.BooleanField(label=_("I have read the privacy notice"))


class ComeInForm(JoinForm):
    """For somebody who is new here."""

    name = forms.CharField(
        label=_("First and last name"),
        max_length=LONGEST_NAME,
        help_text=_("As it is to stand on your certificates."),
    )
    password = forms.CharField(
        label=_("Password"),
        strip=False,
        max_length=128,
        widget=forms.PasswordInput(attrs={"autocomplete": "new-password"}, render_value=False),
        help_text=_("At least 10 characters. Three or four plain words do well."),
    )

    field_order = ["name", "password", "notice_read"]


class CohortForm(BlockworkForm):
    name = forms.CharField(label=_("Name"), max_length=80)
    starts_on = DayField(label=_("First day"))
    educators = forms.ModelMultipleChoiceField(
        label=_("Educators"),
        queryset=Person.objects.none(),
        to_field_name="token",
        required=False,
        widget=forms.CheckboxSelectMultiple,
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.fields["educators"].queryset = queries.educators_of(academy)  # type: ignore[attr-defined]


class LastDayForm(BlockworkForm):
    """The last day of a role or a cohort."""

    last_day = DayField(label=_("Last day"), help_text=_("The day itself still counts."))

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"last_day": timezone.localdate()})
        super().__init__(*args, **kwargs)


class PlaceForm(BlockworkForm):
    """Put an apprentice without a place into this cohort."""

    person = forms.ModelChoiceField(
        label=_("Apprentice"),
        queryset=Person.objects.none(),
        to_field_name="token",
        empty_label=_("Choose somebody"),
    )
    since = DayField(label=_("From"))

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        kwargs.setdefault("initial", {"since": timezone.localdate()})
        super().__init__(*args, **kwargs)
        self.fields["person"].queryset = queries.apprentices_without_place(academy)  # type: ignore[attr-defined]


class MoveForm(BlockworkForm):
    """Put this apprentice into another cohort, or into their first."""

    cohort = CohortChoice(label=_("Another cohort"), empty_label=_("Choose a cohort"))
    since = DayField(label=_("From"))

    def __init__(
        self, *args: Any, academy: Academy, now_in: Cohort | None = None, **kwargs: Any
    ) -> None:
        kwargs.setdefault("initial", {"since": timezone.localdate()})
        super().__init__(*args, **kwargs)
        choice = self.fields["cohort"]
        choice.offer(academy)  # type: ignore[attr-defined]
        if now_in:
            choice.queryset = choice.queryset.exclude(pk=now_in.pk)  # type: ignore[attr-defined]


class RoleForm(BlockworkForm):
    role = forms.ChoiceField(label=_("One more role"))

    def __init__(self, *args: Any, held: tuple[Role, ...] = (), **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        free = [(role.value, role.label) for role in Role if role not in held]
        self.fields["role"].choices = [("", _("Choose a role")), *free]  # type: ignore[attr-defined]


class GuardianForm(BlockworkForm):
    name = forms.CharField(label=_("Name of the guardian"), max_length=LONGEST_NAME)
    contact = forms.CharField(
        label=_("How to reach them"),
        max_length=120,
        help_text=_("A telephone number or an e-mail address."),
    )


class NameForm(BlockworkForm):
    name = forms.CharField(
        label=_("First and last name"),
        max_length=LONGEST_NAME,
        help_text=_("As it is to stand on your next certificates. Issued ones stay as they are."),
    )


class MemberSearchForm(BlockworkForm):
    """What the list of members is narrowed to; anything unknown narrows nothing."""

    q = forms.CharField(label=_("Name or e-mail"), required=False, max_length=120)
    role = forms.ChoiceField(
        label=_("Role"), required=False, choices=[("", _("all")), *Role.choices]
    )
    cohort = forms.ModelChoiceField(
        label=_("Cohort"),
        queryset=Cohort.objects.none(),
        to_field_name="token",
        required=False,
        empty_label=_("all"),
    )
    state = forms.ChoiceField(
        label=_("Who"),
        required=False,
        choices=[(queries.HERE, _("here now")), (queries.LEFT, _("left"))],
    )

    def __init__(self, *args: Any, academy: Academy, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        for field in self.fields.values():
            kind = "form-select" if isinstance(field, forms.ChoiceField) else "form-control"
            field.widget.attrs["class"] = kind
        every = Cohort.objects.filter(academy=academy).order_by("name")
        self.fields["cohort"].queryset = every  # type: ignore[attr-defined]

    def found(self) -> dict[str, Any]:
        """The arguments for `queries.found_members`."""
        self.full_clean()
        wanted = self.cleaned_data
        return {
            "words": wanted.get("q", ""),
            "role": wanted.get("role", ""),
            "cohort": wanted.get("cohort"),
            "state": wanted.get("state") or queries.HERE,
        }


def educators_initial(cohort: Cohort) -> dict[str, Any]:
    """The values that a cohort's form begins with."""
    teachers: list[Person] = list(cohort.educators.all())
    return {
        "name": cohort.name,
        "starts_on": cohort.starts_on,
        "educators": [person.token for person in teachers],
    }


class ClosedDayForm(BlockworkForm):
    """A day on which the academy is closed."""

    deed = _("can be closed")
    day = DayField(label=_("Day"))
    why = forms.CharField(label=_("Why"), max_length=80, help_text=_("For example: Easter Monday."))

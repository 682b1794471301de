"""The form for a person's login and role."""

from __future__ import annotations

from typing import Any

from django import forms
from django.contrib.auth.forms import AuthenticationForm
from django.contrib.auth.password_validation import validate_password

from workshop.people.models import Role, User
from workshop.people.verbs.sign_in import (
    TooManyFailuresError,
    check_sign_in,
    note_failure,
    note_success,
)

ROLE_WORDS = {
    Role.MANAGER: "manager: everything, with costs, margins, people and the shop",
    Role.DESK: "front desk: customers, bikes and quotes, without costs",
    Role.MECHANIC: "mechanic: the bench: bikes and inspections",
    Role.ACCOUNTANT: "accountant: reads everything with costs, changes nothing",
}


class PersonForm(forms.ModelForm):  # type: ignore[type-arg] # not subscriptable at run time
    """A login: name, role, whether it is in use, and a password to hand over."""

    role = forms.ChoiceField(
        label="Role", choices=list(ROLE_WORDS.items()), widget=forms.RadioSelect
    )
    password = forms.CharField(
        label="Password",
        help_text=(
            "Shown while you write it. Tell it to them; they can change it under “Your password”."
        ),
        max_length=128,
        strip=False,
        widget=forms.TextInput(
            attrs={"autocomplete": "off", "autocapitalize": "none", "spellcheck": "false"}
        ),
    )

    class Meta:
        model = User
        fields = ("username", "first_name", "last_name", "email", "role", "is_active")
        labels = {"username": "Login", "email": "E-mail", "is_active": "May sign in"}
        help_texts = {"username": "Letters, figures and @ . + - _", "is_active": ""}

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        """Ask for a password only where there is none yet."""
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            field = self.fields["password"]
            field.required, field.label = False, "New password"
            field.help_text = f"Leave empty to keep the one they have. {field.help_text}"

    def clean_username(self) -> str:
        """Return the login, which differs from every other by more than capitals."""
        login: str = self.cleaned_data["username"]
        twin = User.objects.filter(username__iexact=login).exclude(pk=self.instance.pk).first()
        if twin is not None:
            raise forms.ValidationError(
                f"“{twin.username}” is {twin.get_full_name() or 'somebody'}’s login. "
                "Choose another."
            )
        return login

    def clean(self) -> dict[str, Any]:
        """Hold the password against the rules for passwords and against the person's name."""
        super().clean()
        data = self.cleaned_data
        if data.get("password"):
            person = User(**{name: data.get(name, "") for name in ("username", "first_name")})
            try:
                validate_password(data["password"], person)
            except forms.ValidationError as error:
                self.add_error("password", error)
        return data


class SignInForm(AuthenticationForm):
    """Login and password; after too many failures even the right password has to wait."""

    def clean(self) -> dict[str, Any]:
        """Check name and password, and count what fails."""
        login, address = self.cleaned_data.get("username"), self._address()
        if not login or not self.cleaned_data.get("password"):
            return super().clean()
        try:
            check_sign_in(login, address)
        except TooManyFailuresError as error:
            raise forms.ValidationError(str(error), code="too_many_failures") from error
        try:
            cleaned = super().clean()
        except forms.ValidationError:
            note_failure(login, address)
            raise
        note_success(login, address)
        return cleaned

    def _address(self) -> str:
        """Return the network address that asks; behind a proxy it is the proxy's."""
        return str(self.request.META.get("REMOTE_ADDR", "")) if self.request else ""

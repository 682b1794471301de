"""Pages about people: signing in, the list, a person's login; and the first page."""

from __future__ import annotations

from typing import Any

from django.conf import settings
from django.contrib import messages
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth import views as auth
from django.contrib.messages.views import SuccessMessageMixin
from django.http import HttpRequest, HttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse_lazy

from inventory.lists import listing, show_list
from workshop.people.forms import PersonForm, SignInForm
from workshop.people.models import User
from workshop.people.panels import home_panels
from workshop.people.selectors import people_for_list, person_of
from workshop.people.tables import PersonTable
from workshop.people.verbs.save import LastManagerError, save_person


class SignIn(auth.LoginView):
    """Lets a person in; the demo shop shows who may be tried."""

    redirect_authenticated_user = True
    authentication_form = SignInForm

    def get_context_data(self, **kwargs: Any) -> dict[str, Any]:
        """Add the demo's logins where the demo shop is what is served."""
        return super().get_context_data(**kwargs, demo_logins=demo_logins())


class ChangePassword(SuccessMessageMixin, auth.PasswordChangeView):  # type: ignore[type-arg] # not at run time
    """Lets a person change their own password."""

    success_url = reverse_lazy("home")
    success_message = "Your password is changed."


def demo_logins() -> list[dict[str, str]]:
    """Return role, login and password of the demo's people, none in a real shop."""
    from workshop.shop import demo

    if not settings.DEMO or not demo.is_loaded():
        return []
    logins = demo.read_logins()
    return [
        {"role": each.role, "username": each.username, "password": logins.password}
        for each in logins.people
    ]


def home(request: HttpRequest) -> HttpResponse:
    """Show what waits today, as far as it is this person's."""
    panels = [(panel, panel.html(request)) for panel in home_panels(request)]
    return render(request, "workshop/people/home.html", {"panels": panels})


def person_list(request: HttpRequest) -> HttpResponseBase:
    """Show everybody with a login."""
    context = listing(request, people_for_list(), table=PersonTable)
    return show_list(request, "workshop/people/list.html", context)


def new(request: HttpRequest) -> HttpResponse:
    """Let somebody new in."""
    return edited(request, User())


def edit(request: HttpRequest, pk: int) -> HttpResponse:
    """Change a person's login, role or password, or whether they may sign in."""
    return edited(request, get_object_or_404(User, pk=pk))


def edited(request: HttpRequest, person: User) -> HttpResponse:
    """Show the form, or save it and go back to the list."""
    form = PersonForm(request.POST or None, instance=person)
    if request.method == "POST" and form.is_valid():
        try:
            save_person(person, password=form.cleaned_data["password"])
        except LastManagerError as error:
            form.add_error(None, str(error))
        else:
            if person.pk == person_of(request).pk:
                update_session_auth_hash(request, person)
            messages.success(request, f"{person} is saved.")
            return redirect("people:list")
    known = User.objects.filter(pk=person.pk).first()
    context = {"form": form, "person": known}
    return render(request, "workshop/people/form.html", context, status=422 if form.errors else 200)

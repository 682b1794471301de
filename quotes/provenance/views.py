"""Pages of a provenance check: its steps, one of them, concluding, the declaration, settings."""

from __future__ import annotations

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils import timezone
from django.views.decorators.http import require_POST, require_safe

from inventory.paper.showing import shown_pdf
from quotes.provenance.declaration import declaration_of
from quotes.provenance.forms import FrameForm, KeepingForm, RefusalForm
from quotes.provenance.models import (
    ProvenanceCheck,
    RegisterResult,
    RetentionRun,
    State,
)
from quotes.provenance.models.checks import ConcludedError
from quotes.provenance.registers import prompts_for
from quotes.provenance.retention.plan import plan_on
from quotes.provenance.selectors import check_for_page, checks_of, number_rule
from quotes.provenance.standing import STEPS, STOLEN_ADVICE, lacking
from quotes.provenance.steps import ASKED
from quotes.provenance.verbs.conclude import CannotConcludeError, pass_check, refuse
from quotes.provenance.verbs.read_frame import ReadingError, begin_readings_anew, read_frame
from quotes.provenance.verbs.start import NotOfferedError, start_check
from workshop.bikes.models import Bike
from workshop.people.policy import allowed
from workshop.people.selectors import person_of
from workshop.posting import form_page, posted
from workshop.shop.selectors import shop_of

RUNS_SHOWN = 5
LISTED_REASON = "A register lists it as stolen."


@require_POST
def start(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Begin the check of a bike, or go on with the open one."""
    try:
        check = start_check(get_object_or_404(Bike, pk=bike_id), person_of(request))
    except NotOfferedError as error:
        messages.error(request, str(error))
        return redirect("bikes:detail", bike_id)
    return redirect("provenance:check", check.pk)


def overview(request: HttpRequest, pk: int) -> HttpResponse:
    """Show a check: its steps, what is missing, and earlier checks of the bike."""
    return check_page(request, pk, None)


def check_page(request: HttpRequest, pk: int, refusal: RefusalForm | None) -> HttpResponse:
    """Show a check, with the form that refuses it, a new one where none is given."""
    check = get_object_or_404(check_for_page(pk))
    listed = check.register_result == RegisterResult.LISTED
    refusal = refusal or RefusalForm(initial={"reason": LISTED_REASON} if listed else None)
    context = {
        "check": check,
        "bike": check.bike,
        "steps": [(step, step.lacks(check)) for step in STEPS],
        "reasons": lacking(check) if check.state == State.OPEN else [],
        "refusal": refusal,
        "advice": STOLEN_ADVICE if listed else (),
        "others": [each for each in checks_of(check.bike) if each.pk != check.pk],
    }
    status = 422 if refusal.errors else 200
    return render(request, "quotes/provenance/check.html", context, status=status)


def step(request: HttpRequest, pk: int, slug: str) -> HttpResponse:
    """Show the form of a step, or keep it and go back to the check."""
    check = get_object_or_404(check_for_page(pk))
    asked = ASKED.get(slug)
    if asked is None:
        raise Http404(f"A provenance check has no step “{slug}”.")
    if check.state != State.OPEN:
        return closed(request, check)
    form = asked.form(check, posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            asked.keep(check, form, person_of(request))
        except ConcludedError:
            return closed(request, check)
        return redirect("provenance:check", check.pk)
    context = {"check": check, "title": title_of(slug)}
    if slug == "register":
        context["prompts"] = prompts_for(shop_of(request).country)
    return form_page(request, f"quotes/provenance/{slug}.html", form, context)


def frame(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a reading of the frame number, without showing the one before."""
    check = get_object_or_404(check_for_page(pk))
    if check.state != State.OPEN:
        return closed(request, check)
    if request.method == "POST" and "anew" in request.POST:
        begin_readings_anew(check)
        return redirect("provenance:frame", check.pk)
    form = FrameForm(posted(request))
    if request.method == "POST" and form.is_valid():
        try:
            read_frame(check, form.cleaned_data["number"], person_of(request))
        except ReadingError as error:
            form.add_error("number", str(error))
        else:
            messages.success(request, "The reading is kept.")
            return after_reading(request, check)
    context = {"check": check, "bike": check.bike, "title": title_of("frame")}
    return form_page(request, "quotes/provenance/frame.html", form, context)


def after_reading(request: HttpRequest, check: ProvenanceCheck) -> HttpResponse:
    """Go back to the check, or for those who may not see it to the bike."""
    if allowed(person_of(request).role, "provenance:check"):
        return redirect("provenance:check", check.pk)
    return redirect("bikes:detail", check.bike_id)


@require_POST
def conclude(request: HttpRequest, pk: int) -> HttpResponse:
    """Pass a check or refuse it."""
    check = get_object_or_404(ProvenanceCheck, pk=pk)
    refusal = RefusalForm(request.POST if "refuse" in request.POST else None)
    try:
        if "refuse" not in request.POST:
            pass_check(check, person_of(request))
            messages.success(request, "Passed. It stays as it is.")
        elif refusal.is_valid():
            refuse(check, by=person_of(request), **refusal.cleaned_data)
            messages.success(request, "Refused, and kept as refused.")
        else:
            return check_page(request, pk, refusal)
    except CannotConcludeError as error:
        messages.error(request, f"Not passed: {error}")
    except ConcludedError as error:
        messages.info(request, str(error))
    return redirect("provenance:check", pk)


@require_safe
def declaration(request: HttpRequest, pk: int) -> HttpResponse:
    """Give the declaration for the seller to sign, as PDF."""
    check = get_object_or_404(check_for_page(pk))
    body = declaration_of(check, shop_of(request))
    return shown_pdf(body, f"{check.bike.stock_no}-declaration.pdf")


def settings(request: HttpRequest) -> HttpResponse:
    """Show what is kept of sellers and for how long; change how much of a number is kept."""
    form = KeepingForm(posted(request), instance=number_rule())
    if request.method == "POST" and form.is_valid():
        form.save()
        messages.success(request, "Saved.")
        return redirect("provenance:settings")
    context = {
        "plan": plan_on(timezone.localdate()),
        "runs": list(RetentionRun.objects.all()[:RUNS_SHOWN]),
    }
    return form_page(request, "quotes/provenance/settings.html", form, context)


def closed(request: HttpRequest, check: ProvenanceCheck) -> HttpResponse:
    """Say that a check is concluded and show it."""
    messages.info(request, str(ConcludedError()))
    return after_reading(request, check)


def title_of(slug: str) -> str:
    """Return the title of a step."""
    return next(each.title for each in STEPS if each.slug == slug)

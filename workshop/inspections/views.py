"""Pages of the walk: overview, checkpoint, photos; they only translate HTTP."""

from __future__ import annotations

from django.contrib import messages
from django.http import FileResponse, Http404, HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_GET, require_POST, require_safe
from django_htmx.http import HttpResponseClientRedirect

from workshop.bikes.models import Bike
from workshop.bikes.photos import PhotoError
from workshop.inspections.forms import CheckForm, PhotosForm, RestForm
from workshop.inspections.judging import EntryError
from workshop.inspections.models import Check, Inspection, Outcome, Photo
from workshop.inspections.pages import found_in, page_of, recorded
from workshop.inspections.selectors import (
    drawing_of,
    inspection_for_walk,
    judge_for,
    photos_of,
    url_of,
    walk_of,
)
from workshop.inspections.verbs.finish import UnfinishedError, finish_inspection
from workshop.inspections.verbs.locking import FinishedError
from workshop.inspections.verbs.photos import add_photo, remove_photo
from workshop.inspections.verbs.record import StaleCheckError, record_check
from workshop.inspections.verbs.reopen import NewerInspectionError, reopen_inspection
from workshop.inspections.verbs.start import start_inspection
from workshop.inspections.verbs.take_back import QuotedError, take_back
from workshop.inspections.walk import Step, Walk
from workshop.people.policy import allowed
from workshop.people.selectors import person_of

UNPROCESSABLE = 422
KEEP_A_PHOTO = 7 * 24 * 3600
"""Seconds; a photo never changes under its address."""


@require_POST
def start(request: HttpRequest, bike_id: int) -> HttpResponse:
    """Start the bike's inspection, or take up the open one."""
    inspection = start_inspection(get_object_or_404(Bike, pk=bike_id), person_of(request))
    return redirect("inspections:overview", inspection.pk)


@require_safe
def overview(request: HttpRequest, pk: int) -> HttpResponse:
    """Show the whole walk; asked by htmx with nothing new since ``state``, answer 204."""
    inspection = inspection_for_walk(pk)
    steps = walk_of(inspection)
    if in_place(request) and request.GET.get("state") == steps.state:
        return HttpResponse(status=204)
    context = {
        "inspection": inspection,
        "walk": steps,
        "next_step": steps.next_for(person_of(request)),
        "drawing": drawing_of(steps, link=_may_walk(request)),
    }
    return render(request, "workshop/inspections/overview.html", context)


def in_place(request: HttpRequest) -> bool:
    """Tell whether htmx asks, to change a part of the page in place."""
    return "HX-Request" in request.headers


def _may_walk(request: HttpRequest) -> bool:
    """Tell whether the person may open checkpoints."""
    return allowed(person_of(request).role, "inspections:checkpoint")


@require_safe
@never_cache
def walk(request: HttpRequest, pk: int) -> HttpResponse:
    """Go to where this person goes on, or to the overview when all is done."""
    steps = walk_of(inspection_for_walk(pk))
    return redirect(_place(steps, steps.next_for(person_of(request))))


def _place(steps: Walk, step: Step | None, last: Step | None = None) -> str:
    """Return the address of a step, or of the overview where there is none."""
    if step is None:
        return reverse("inspections:overview", args=(steps.inspection.pk,))
    address = url_of(steps.inspection, step)
    return f"{address}?last={last.checkpoint.code}" if last else address


def _walk_and_step(pk: int, code: str) -> tuple[Walk, Step]:
    """Return the walk and the step of a checkpoint, or answer 404."""
    steps = walk_of(inspection_for_walk(pk))
    step = steps.step(code)
    if step is None:
        raise Http404("This checkpoint does not belong to the walk round this bike.")
    return steps, step


def _judge_url(steps: Walk, code: str) -> str:
    """Return where a reading asks what the rules say of it."""
    return reverse("inspections:judge", args=(steps.inspection.pk, code))


@never_cache
def checkpoint(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Show a checkpoint, or record what was found there."""
    if request.method == "POST":
        return _record(request, pk, code, Outcome.FINDINGS)
    steps, step = _walk_and_step(pk, code)
    if steps.inspection.finished_at:
        return _show_recorded(request, steps, step)
    form = CheckForm(
        judge=judge_for(steps.inspection, code, step.check),
        check=step.check,
        judge_url=_judge_url(steps, code),
    )
    page = page_of(steps, step, form, last=request.GET.get("last", ""))
    return render(request, "workshop/inspections/checkpoint.html", {"page": page})


def _show_recorded(request: HttpRequest, steps: Walk, step: Step) -> HttpResponse:
    """Show what a finished walk found at a checkpoint."""
    context = {
        "walk": steps,
        "step": step,
        "previous": steps.before(step),
        "next": steps.after(step),
        "recorded": recorded(step.check) if step.check else None,
        "photos": photos_of(step.check),
    }
    return render(request, "workshop/inspections/recorded.html", context)


@require_POST
def sound(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Record that a checkpoint is sound."""
    return _record(request, pk, code, Outcome.SOUND)


def _record(request: HttpRequest, pk: int, code: str, outcome: Outcome) -> HttpResponse:
    """Record the form and go on to the next checkpoint, or show what is wrong with it."""
    steps, step = _walk_and_step(pk, code)
    if steps.inspection.finished_at:
        return _refuse_finished(request, steps.inspection, FinishedError())
    form = CheckForm(
        request.POST,
        request.FILES,
        judge=judge_for(steps.inspection, code, step.check),
        judge_url=_judge_url(steps, code),
    )
    theirs = None
    if form.is_valid():
        try:
            check = _save(request, steps.inspection, step, form, outcome)
        except FinishedError as error:
            return _refuse_finished(request, steps.inspection, error)
        except StaleCheckError as error:
            theirs = error.check
            form.stand_on(theirs.version)
        except EntryError as error:
            form.add_entry_error(error)
        except PhotoError as error:
            form.add_error("photos", str(error))
        else:
            return _go_on(request, steps, step, check)
    page = page_of(steps, step, form, theirs=theirs)
    return render(
        request, "workshop/inspections/checkpoint.html", {"page": page}, status=UNPROCESSABLE
    )


def _save(
    request: HttpRequest, inspection: Inspection, step: Step, form: CheckForm, outcome: Outcome
) -> Check:
    """Hand what the form holds to the verb."""
    return record_check(
        inspection,
        step.checkpoint,
        by=person_of(request),
        base_version=form.cleaned_data["version"],
        outcome=Outcome.NOT_TESTED if form.not_tested else outcome,
        faults=form.fault_inputs,
        readings=form.readings,
        note=form.cleaned_data["note"],
        not_tested_reason=form.reason,
        photos=form.cleaned_data["photos"],
    )


def _go_on(request: HttpRequest, steps: Walk, step: Step, check: Check) -> HttpResponse:
    """Go to the next checkpoint that nobody has looked at, and say what matters of this one."""
    for finding in check.findings.filter(deal_breaker=True).select_related("fault"):
        messages.warning(request, f"Deal-breaker at {step.checkpoint}: {finding.fault}.")
    address = _place(steps, steps.next_after(step), last=step)
    return HttpResponseClientRedirect(address) if in_place(request) else redirect(address)


@require_POST
def take_back_check(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Let a checkpoint count as not looked at, and show it again."""
    steps, step = _walk_and_step(pk, code)
    seen = request.POST.get("version", "")
    try:
        take_back(
            steps.inspection, step.checkpoint, base_version=int(seen) if seen.isdecimal() else 0
        )
    except FinishedError as error:
        return _refuse_finished(request, steps.inspection, error)
    except StaleCheckError as error:
        messages.error(request, f"{error} Look at it before you take it back.")
    except QuotedError as error:
        messages.error(request, str(error))
    else:
        messages.success(request, f"{step.checkpoint}: taken back, not looked at yet.")
    address = url_of(steps.inspection, step)
    return HttpResponseClientRedirect(address) if in_place(request) else redirect(address)


def _refuse_finished(
    request: HttpRequest, inspection: Inspection, error: FinishedError
) -> HttpResponse:
    """Say that the inspection is finished, on its overview."""
    messages.error(request, str(error))
    address = reverse("inspections:overview", args=(inspection.pk,))
    return HttpResponseClientRedirect(address) if in_place(request) else redirect(address)


@require_GET
def judge(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Show what the rules say of the readings typed so far; nothing is saved."""
    steps, step = _walk_and_step(pk, code)
    form = CheckForm(request.GET, judge=judge_for(steps.inspection, code, step.check))
    context = {"found": found_in(form), "form": form, "renewed": True}
    return render(request, "workshop/inspections/found.html", context)


@require_safe
def photo(request: HttpRequest, pk: int) -> HttpResponse | FileResponse:
    """Send a photo to a signed-in person; only their own browser may keep it."""
    kept = get_object_or_404(Photo, pk=pk)
    try:
        response = FileResponse(kept.image.open("rb"), content_type="image/jpeg")
    except FileNotFoundError as error:
        raise Http404("The photo's file is missing.") from error
    response.headers["Cache-Control"] = f"private, max-age={KEEP_A_PHOTO}, immutable"
    return response


@require_POST
def photo_add(request: HttpRequest, pk: int, code: str) -> HttpResponse:
    """Add photos to a checkpoint already looked at."""
    steps, step = _walk_and_step(pk, code)
    if step.check is None:
        raise Http404("Nothing is recorded here yet; photos are saved with what is found.")
    form = PhotosForm(request.POST, request.FILES)
    uploads = form.cleaned_data["photos"] if form.is_valid() else []
    for error in form.errors.get("photos", ()):
        messages.error(request, str(error))
    for upload in uploads:
        try:
            add_photo(step.check, upload, person_of(request))
        except PhotoError as error:
            messages.error(request, str(error))
        except FinishedError as error:
            return _refuse_finished(request, steps.inspection, error)
    return _photos_answer(request, steps, step)


@require_POST
def photo_remove(request: HttpRequest, pk: int) -> HttpResponse:
    """Take a photo away."""
    kept = get_object_or_404(
        Photo.objects.select_related("check_made__inspection", "check_made__checkpoint"), pk=pk
    )
    check = kept.check_made
    steps, step = _walk_and_step(check.inspection_id, check.checkpoint.code)
    try:
        remove_photo(kept)
    except FinishedError as error:
        return _refuse_finished(request, steps.inspection, error)
    return _photos_answer(request, steps, step)


def _photos_answer(request: HttpRequest, steps: Walk, step: Step) -> HttpResponse:
    """Show the photos as they are now: in place by htmx, else on the checkpoint's page."""
    if not in_place(request):
        return redirect(f"{url_of(steps.inspection, step)}#photos")
    context = {"walk": steps, "step": step, "photos": photos_of(step.check), "in_place": True}
    return render(request, "workshop/inspections/photos.html", context)


@require_POST
def finish(request: HttpRequest, pk: int) -> HttpResponse:
    """Finish the inspection; with checkpoints open, ask why they were not tested."""
    inspection = inspection_for_walk(pk)
    asked = "rest_because" in request.POST
    form = RestForm(request.POST if asked else None)
    rest_because = form.cleaned_data["rest_because"] if asked and form.is_valid() else ""
    try:
        finish_inspection(inspection, person_of(request), rest_because=rest_because)
    except UnfinishedError:
        context = {"walk": walk_of(inspection), "form": form}
        return render(
            request, "workshop/inspections/unfinished.html", context, status=UNPROCESSABLE
        )
    except FinishedError as error:
        return _refuse_finished(request, inspection, error)
    messages.success(request, "The inspection is finished.")
    return redirect("bikes:detail", inspection.bike_id)


@require_POST
def reopen(request: HttpRequest, pk: int) -> HttpResponse:
    """Open a finished inspection again."""
    try:
        reopen_inspection(get_object_or_404(Inspection, pk=pk))
    except NewerInspectionError as error:
        messages.error(request, str(error))
    return redirect("inspections:overview", pk)

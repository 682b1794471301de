"""The worker's script at an address whose scope holds the job cards; who is signed in."""

from __future__ import annotations

from django.conf import settings
from django.http import FileResponse, HttpRequest, JsonResponse
from django.middleware.csrf import get_token
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_safe

from workshop.people.selectors import person_of

WORKER = settings.BASE_DIR / "workshop" / "static" / "js" / "offline" / "worker.js"


@require_safe
def worker(request: HttpRequest) -> FileResponse:
    """Send the service worker's script: from the root, so that it may serve any address below."""
    response = FileResponse(WORKER.open("rb"), content_type="text/javascript; charset=utf-8")
    response.headers["Cache-Control"] = "no-cache"
    return response


@require_safe
@never_cache
def who(request: HttpRequest) -> JsonResponse:
    """Tell a script who is signed in, with a fresh token of this very sign-in to post with.

    Whoever signs in afterwards makes the token void: what one person did can't go in as another's.
    """
    person = person_of(request)
    return JsonResponse({"person": person.pk, "name": str(person), "token": get_token(request)})

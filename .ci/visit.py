"""Visits a served demo as a stranger and as its manager: python3 .ci/visit.py URL PID."""

import http.cookiejar
import json
import os
import re
import sys
import time
import urllib.error
import urllib.parse
import urllib.request
from pathlib import Path

PEOPLE = Path(__file__).resolve().parent.parent / "fixtures" / "demo" / "people.json"
PATIENCE_SECONDS = 600  # the first start draws the PDFs of every quote that was sent


def wait_for(browser: urllib.request.OpenerDirector, url: str, server: int) -> str:
    """Return the page at ``url``, once the server answers; give up when it is gone."""
    deadline = time.monotonic() + PATIENCE_SECONDS
    while True:
        try:
            return read(browser, url)
        except (urllib.error.URLError, ConnectionError) as error:
            if isinstance(error, urllib.error.HTTPError) or time.monotonic() > deadline:
                raise
            os.kill(server, 0)  # an error if there is no such process any more
            time.sleep(0.5)


def read(browser: urllib.request.OpenerDirector, url: str, data: bytes | None = None) -> str:
    """Return the text at ``url``; an HTTP error ends the visit."""
    with browser.open(url, data, timeout=30) as answer:
        return str(answer.read().decode())


def main(root: str, server: int) -> None:
    """Look at the sign-in page and its stylesheet, sign in, and look at the first page."""
    cookies = urllib.request.HTTPCookieProcessor(http.cookiejar.CookieJar())
    browser = urllib.request.build_opener(cookies)
    page = wait_for(browser, root, server)
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', page)
    sheet = re.search(r'href="([^"]+\.css)"', page)
    if not token or not sheet:
        sys.exit(f"{root} shows no sign-in page:\n{page[:2000]}")
    style = read(browser, urllib.parse.urljoin(root, sheet[1]))
    people = json.loads(PEOPLE.read_text(encoding="utf-8"))
    manager = next(one for one in people["people"] if one["role"] == "manager")
    form = {
        "csrfmiddlewaretoken": token[1],
        "username": manager["username"],
        "password": people["password"],
    }
    sign_in = urllib.parse.urljoin(root, "sign-in/")
    home = read(browser, sign_in, urllib.parse.urlencode(form).encode())
    if 'name="password"' in home or "sign-out" not in home:
        sys.exit(f"{manager['username']} could not sign in:\n{home[:2000]}")
    print(f"{root}: signed in as {manager['username']}; style sheet of {len(style)} characters")


if __name__ == "__main__":
    main(sys.argv[1], int(sys.argv[2]))

"""Finds what is not Python: the libraries behind WeasyPrint, and a Chromium."""

import ctypes
import os
import shutil
import sys
from pathlib import Path

from workshop.bootstrap import needs
from workshop.bootstrap.say import say

# The names under which WeasyPrint opens its libraries on Linux, macOS and Windows
# (source: weasyprint/text/ffi.py, version 70.0).
LIBRARIES = {
    "GObject": ("libgobject-2.0.so.0", "libgobject-2.0.0.dylib", "libgobject-2.0-0.dll"),
    "Pango": ("libpango-1.0.so.0", "libpango-1.0.dylib", "libpango-1.0-0.dll"),
    "HarfBuzz": ("libharfbuzz.so.0", "libharfbuzz.0.dylib", "libharfbuzz-0.dll"),
    "HarfBuzz Subset": (
        "libharfbuzz-subset.so.0",
        "libharfbuzz-subset.0.dylib",
        "libharfbuzz-subset-0.dll",
    ),
    "Fontconfig": ("libfontconfig.so.1", "libfontconfig.1.dylib", "libfontconfig-1.dll"),
    "PangoFT2": ("libpangoft2-1.0.so.0", "libpangoft2-1.0.dylib", "libpangoft2-1.0-0.dll"),
}
BREW_FOLDERS = ("/opt/homebrew/lib", "/usr/local/lib")
CHROMIUM_NAMES = ("chromium", "chromium-browser", "google-chrome-stable", "google-chrome")
MAC_CHROMIUM = Path("/Applications/Chromium.app/Contents/MacOS/Chromium")


def opens(name: str) -> bool:
    """Whether the system's loader finds the library ``name``."""
    try:
        ctypes.CDLL(name)
    except OSError:
        return False
    return True


def missing_libraries() -> list[str]:
    """Return the libraries that WeasyPrint would not find, by their plain names."""
    folders = ("", *(f"{folder}/" for folder in BREW_FOLDERS if sys.platform == "darwin"))
    return [
        plain
        for plain, names in LIBRARIES.items()
        if not any(opens(folder + name) for folder in folders for name in names)
    ]


def ensure_libraries() -> None:
    """See that PDFs can be drawn.

    Raises:
        SystemExit: a library is missing and may not be installed from here.
    """
    missing = missing_libraries()
    if missing and needs.apt_install(needs.PDF):
        missing = missing_libraries()
    if missing:
        raise SystemExit(explain_missing(missing))


def explain_missing(missing: list[str]) -> str:
    """Say which libraries are missing and which command brings them."""
    lines = [f"Missing: {', '.join(missing)} ({needs.PDF.what}). Install it, then start again:"]
    if sys.platform == "win32":
        lines += [
            "    pacman -S mingw-w64-ucrt-x86_64-pango      (in the MSYS2 UCRT64 shell)",
            r"and set WEASYPRINT_DLL_DIRECTORIES to its folder, such as C:\msys64\ucrt64\bin.",
        ]
    else:
        lines.append(f"    {needs.command_for(needs.PDF)}")
    if sys.platform == "darwin":
        lines.append(
            f"If it is installed but not found: export DYLD_FALLBACK_LIBRARY_PATH={BREW_FOLDERS[0]}"
        )
    return "\n".join(lines)


def library_environment() -> dict[str, str]:
    """Return what macOS's loader must be told to find Homebrew's libraries; else nothing."""
    key = "DYLD_FALLBACK_LIBRARY_PATH"
    if sys.platform == "darwin" and not os.environ.get(key):
        return {key: ":".join(folder for folder in BREW_FOLDERS if Path(folder).is_dir())}
    return {}


def find_chromium() -> str | None:
    """Return the path of a Chromium: the one named by ``CHROMIUM``, else the first found."""
    named = os.environ.get("CHROMIUM")
    if named:
        return named
    found = (shutil.which(name) for name in CHROMIUM_NAMES)
    mac = str(MAC_CHROMIUM) if MAC_CHROMIUM.exists() else None
    return next((path for path in found if path), mac)


def can_browse() -> bool:
    """Whether there is a Chromium, and what Playwright's driver needs to steer it."""
    return bool(find_chromium()) and (sys.platform != "linux" or opens("libatomic.so.1"))


def ensure_chromium() -> None:
    """See that browser tests can run; where they can't, say so and go on."""
    if can_browse() or (needs.apt_install(needs.CHROMIUM) and can_browse()):
        return
    say(f"No Chromium: browser tests will be skipped. {needs.command_for(needs.CHROMIUM)}")

"""A page as PDF, by this computer's Chromium where it has one: without a network, in a profile that is thrown away, in limited time."""

from __future__ import annotations

import os
import shutil
import signal
import subprocess
import tempfile
from pathlib import Path

from ingest.errors import PrintingFailed

PROGRAMS = ("chromium", "chromium-browser")
SECONDS = 60.0
INSTEAD = "The HTML page is ready for print: open it in a browser and print it there"
_ARGUMENTS = (
    *("--headless", "--disable-gpu", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"),
    *("--host-resolver-rules=MAP * ~NOTFOUND", "--no-pdf-header-footer"),
)


def print_pdf(html: str, *, seconds: float = SECONDS) -> bytes:
    """A page as PDF.

    Args:
        html: a self-contained page; its own style says which paper.
        seconds: how long it may take.

    Raises:
        PrintingFailed: there is no Chromium, or it gave no PDF in time.
    """
    program = next(filter(None, map(shutil.which, PROGRAMS)), None)
    if program is None:
        raise PrintingFailed(f"No PDF was made: this computer has no program called {PROGRAMS[0]}. {INSTEAD}, or install Chromium.")
    with tempfile.TemporaryDirectory(prefix="tautleaf-print-", ignore_cleanup_errors=True) as name:
        folder = Path(name)
        page, made = folder / "page.html", folder / "page.pdf"
        page.write_text(html, "utf-8")
        arguments = [*_ARGUMENTS, f"--user-data-dir={folder / 'profile'}", f"--print-to-pdf={made}"]
        if os.geteuid() == 0:
            arguments.append("--no-sandbox")  # Chromium does not run as root otherwise; the page is our own and runs no script
        why = _run([program, *arguments, page.as_uri()], folder, seconds)
        data = made.read_bytes() if made.is_file() else b""
    if not data.startswith(b"%PDF-"):
        raise PrintingFailed(f"No PDF was made: {why or 'Chromium wrote none'}. {INSTEAD}.")
    return data


def _run(command: list[str], folder: Path, seconds: float) -> str:
    """Run Chromium to its end, with all that it starts; returns what went wrong, or an empty text."""
    environment = {"PATH": os.environ.get("PATH", ""), "HOME": str(folder), "LANG": "C.UTF-8"}
    nowhere = subprocess.DEVNULL
    try:
        process = subprocess.Popen(  # noqa: S603  (Chromium as found on the path, with our own arguments)
            command, env=environment, cwd=folder, start_new_session=True, stdin=nowhere, stdout=nowhere, stderr=nowhere
        )
    except OSError as error:
        return f"Chromium could not be started ({error.strerror})"
    try:
        code = process.wait(seconds)
    except subprocess.TimeoutExpired:
        os.killpg(process.pid, signal.SIGKILL)
        process.wait()
        return f"Chromium was not done after {seconds:.0f} seconds"
    return "" if code == 0 else f"Chromium ended with {code}"

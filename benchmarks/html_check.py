"""Opens a page of ``haulday plan --html`` in a browser without a screen and looks whether it holds:

``python benchmarks/html_check.py PAGE.html FOLDER``. Needs Chromium; says so and leaves with 0 where there is
none. Pictures of the page on a telephone, on a wide screen and on paper go into FOLDER, to be looked at.
Fails on: a message in the console, anything fetched, a page wider than the screen, text too small to read, a
name given twice, a link that leads nowhere, a printed page that is empty, a driver's page that does not begin on
a sheet of its own.
"""

from __future__ import annotations

import base64
import json
import os
import re
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

PROGRAMS = ("chromium", "chromium-browser", "google-chrome", "chrome")
FLAGS = (
    *("--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-sync"),
    *("--disable-background-networking", "--disable-component-update", "--hide-scrollbars"),
)
PATIENCE_S = 60.0
PHONE, DESK = (360, 800), (1200, 900)
SMALLEST_PX, SMALLEST_DRAWN_PX = 12.0, 7.5
"""Least size of letters on the page, and in its pictures, on a telephone. Common practice, no source."""
MEASURE = """(() => {
  const wide = WIDE, out = [], small = [];
  const moves = table => table && getComputedStyle(table).display === 'table' &&
    table.parentElement.getBoundingClientRect().right <= wide;
  for (const e of document.body.querySelectorAll('*')) {
    const box = e.getBoundingClientRect();
    if (!box.width || e.closest('svg, thead')) continue;
    if ((box.right > wide + 1 || box.left < -1) && !moves(e.closest('table'))) out.push(e.outerHTML.slice(0, 120));
    const own = [...e.childNodes].some(n => n.nodeType === 3 && n.data.trim());
    const px = parseFloat(getComputedStyle(e).fontSize);
    if (own && px < TEXT) small.push(px + ' ' + e.textContent.slice(0, 60));
  }
  for (const e of document.querySelectorAll('svg text')) {
    if (!e.getBoundingClientRect().width) continue;
    const px = parseFloat(getComputedStyle(e).fontSize) * Math.abs(e.getScreenCTM().a);
    if (px < DRAWN) small.push(px.toFixed(1) + ' drawn ' + e.textContent.slice(0, 60));
  }
  const ids = [...document.querySelectorAll('[id]')].map(e => e.id);
  const refs = [...document.querySelectorAll('[href^="#"]')].map(e => e.getAttribute('href').slice(1));
  for (const found of document.documentElement.outerHTML.matchAll(/url\\(#([^)]+)\\)/g)) refs.push(found[1]);
  return {
    scroll: document.documentElement.scrollWidth, wide, out, small: wide < 720 ? small : [],
    twice: ids.filter((id, n) => ids.indexOf(id) !== n),
    nowhere: [...new Set(refs)].filter(id => !document.getElementById(id)),
    scripts: document.scripts.length,
    rigs: [...document.querySelectorAll('.rig > h2')].map(e => e.textContent),
  };
})()""".replace("DRAWN", str(SMALLEST_DRAWN_PX)).replace("TEXT", str(SMALLEST_PX))


class Browser:
    """A browser spoken to over its pipe (DevTools protocol: JSON texts, each ended by a zero byte)."""

    def __init__(self, program: str, profile: str) -> None:
        read_end, self._to = os.pipe()
        self._from, write_end = os.pipe()
        words = f'exec "$0" "$@" 3<&{read_end} 4>&{write_end}'
        flags = (*FLAGS, f"--user-data-dir={profile}", "--remote-debugging-pipe", "about:blank")
        self._process = subprocess.Popen(
            ["bash", "-c", words, program, *flags], pass_fds=(read_end, write_end), stderr=subprocess.DEVNULL
        )
        os.close(read_end)
        os.close(write_end)
        self._buffer, self._number, self._session = b"", 0, ""
        self.events: list[dict[str, Any]] = []

    def open(self) -> None:
        """Take hold of a new tab."""
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        self._session = self.ask("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for part in ("Page", "Runtime", "Log", "Network"):
            self.ask(f"{part}.enable")

    def ask(self, method: str, **parameters: Any) -> Any:
        """Send one order and give its answer; raises RuntimeError when the browser refuses or is silent."""
        self._number += 1
        order = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            order["sessionId"] = self._session
        os.write(self._to, json.dumps(order).encode() + b"\0")
        while True:
            message = self._next()
            if message.get("id") != self._number:
                self.events.append(message)
            elif "error" in message:
                raise RuntimeError(f"{method}: {message['error']}")
            else:
                return message["result"]

    def wait_for(self, event: str) -> None:
        """Read on until this event."""
        while not any(message.get("method") == event for message in self.events):
            self.events.append(self._next())

    def _next(self) -> dict[str, Any]:
        end = time.monotonic() + PATIENCE_S
        while b"\0" not in self._buffer:
            part = os.read(self._from, 1 << 16)
            if not part or time.monotonic() > end:
                raise RuntimeError("the browser has gone or is silent")
            self._buffer += part
        text, _, self._buffer = self._buffer.partition(b"\0")
        message: dict[str, Any] = json.loads(text)
        return message

    def close(self) -> None:
        """End the browser that was started here."""
        self._process.terminate()
        self._process.wait(PATIENCE_S)
        os.close(self._to)
        os.close(self._from)


@contextmanager
def browser(program: str) -> Iterator[Browser]:
    with tempfile.TemporaryDirectory(ignore_cleanup_errors=True) as profile:
        one = Browser(program, profile)
        try:
            one.open()
            yield one
        finally:
            one.close()


def show(tab: Browser, page: Path, size: tuple[int, int]) -> Any:
    """Load the page on a screen of this size, pixels; gives what was measured on it."""
    width, height = size
    tab.events.clear()
    phone = width < 720
    tab.ask("Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=2, mobile=phone)
    tab.ask("Page.navigate", url=page.resolve().as_uri())
    tab.wait_for("Page.loadEventFired")
    measure = MEASURE.replace("WIDE", str(width))  # a telephone's own innerWidth grows with what is too wide
    return tab.ask("Runtime.evaluate", expression=measure, returnByValue=True)["result"]["value"]


def shoot(tab: Browser, target: Path, selector: str = "#top") -> None:
    """A picture of the screen with this part of the page at its top."""
    tab.ask("Runtime.evaluate", expression=f"document.querySelector('{selector}')?.scrollIntoView()")
    target.write_bytes(base64.b64decode(tab.ask("Page.captureScreenshot")["data"]))


def complaints(tab: Browser, page: Path) -> Iterator[str]:
    """What the browser had to say: console, exceptions, fetches."""
    for message in tab.events:
        method, told = message.get("method"), message.get("params", {})
        called = method == "Runtime.consoleAPICalled" and told["type"] in {"error", "warning", "assert"}
        if called or method in {"Log.entryAdded", "Runtime.exceptionThrown"}:
            yield f"console: {json.dumps(told)[:300]}"
        elif method == "Network.requestWillBeSent":
            url = told["request"]["url"]
            if url != page.resolve().as_uri() and not url.startswith("data:"):
                yield f"fetched: {url}"


def faults(measured: Any) -> Iterator[str]:
    """What is wrong on a screen."""
    if measured["scroll"] > measured["wide"]:
        yield f"{measured['scroll']} px wide on a screen of {measured['wide']} px"
    for kind in ("out", "small", "twice", "nowhere"):
        for what in measured[kind][:5]:
            yield f"{kind}: {what}"
    if measured["scripts"]:
        yield "the page has a script"


def paper_faults(pdf: Path, rigs: list[str]) -> Iterator[str]:
    """Printed pages that are empty, and driver's pages that do not begin on a sheet of their own."""
    if shutil.which("pdftotext") is None:
        print("pdftotext is missing: the printed pages are not read")
        return
    told = subprocess.run(
        ["pdftotext", "-layout", str(pdf), "-"], capture_output=True, text=True, check=True
    ).stdout
    sheets = told.split("\f")[:-1]
    print(f"{len(sheets)} printed pages")
    heads = [next((line.strip() for line in sheet.splitlines() if line.strip()), "") for sheet in sheets]
    yield from (f"printed page {number} is empty" for number, head in enumerate(heads, start=1) if not head)
    squeezed = [re.sub(r"\s+", "", head) for head in heads]
    yield from (f"{rig} does not begin on a sheet" for rig in rigs if re.sub(r"\s+", "", rig) not in squeezed)


def check(program: str, page: Path, folder: Path) -> list[str]:
    """Everything that is wrong with the page."""
    found: list[str] = []
    with browser(program) as tab:
        for name, size in (("phone", PHONE), ("desk", DESK)):
            measured = show(tab, page, size)
            for part in ("#top", "#timeline", "#schedule", "#left-out", ".rig", ".trip", ".leg", ".checks"):
                shoot(tab, folder / f"{name}-{re.sub('[^a-z-]', '', part)}.png", part)
            found += [f"{name}: {fault}" for fault in (*faults(measured), *complaints(tab, page))]
        paper = tab.ask("Page.printToPDF", preferCSSPageSize=False, paperWidth=8.5, paperHeight=11)
    pdf = folder / "paper.pdf"
    pdf.write_bytes(base64.b64decode(paper["data"]))
    return found + list(paper_faults(pdf, measured["rigs"]))


def main() -> int:
    page, folder = Path(sys.argv[1]), Path(sys.argv[2])
    program = next((found for name in PROGRAMS if (found := shutil.which(name))), None)
    if program is None:
        print("Chromium is missing: the page was not opened")
        return 0
    folder.mkdir(parents=True, exist_ok=True)
    found = check(program, page, folder)
    print("\n".join(found) or f"{page.name}: opens, fits, prints; pictures in {folder}")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())

#!/usr/bin/env python3
"""Opens reports in headless Chromium and looks at them as a reader and a printer do.

    check_report.py REPORT.html …

For every report: no message on the console, no request to anywhere, no part wider than the page; printed to PDF on A4
and on Letter every word is there, every page has its number, none but the last is less than half full, and no table, picture or signature line is cut: a tiny
mark is set at the first and the last corner of each before printing, and both must land on the same page.

Where a PDF of the same name lies beside a report (`balance report --pdf`), it must have the same pages with the same words.

Needs chromium and pdftotext (poppler); installs nothing. Talks to Chromium through a pipe, so no library is needed.
"""

import base64
import html.parser
import json
import os
import pathlib
import re
import shutil
import subprocess
import sys
import tempfile

PAPERS = {"A4": (210 / 25.4, 297 / 25.4), "Letter": (8.5, 11.0)}
FLAGS = [
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--remote-debugging-pipe",
]
# Events that a page which needs nothing never sends.
TALK = {"Runtime.consoleAPICalled", "Runtime.exceptionThrown", "Log.entryAdded"}

# What must not be cut, and how many there are; also whatever is wider than its page.
MEASURE = """
(() => {
  const wide = [...document.querySelectorAll('body *')].filter(part => !part.closest('svg') || part.tagName === 'svg')
    .filter(part => part.getBoundingClientRect().right > document.body.getBoundingClientRect().right + 1)
    .map(part => part.tagName + ' ' + part.className);
  const scrolls = [...document.querySelectorAll('body *')]
    .filter(part => !['visible', 'clip'].includes(getComputedStyle(part).overflowX) && part.scrollWidth > part.clientWidth + 1)
    .map(part => part.tagName + ' ' + part.className);
  return { wide, scrolls, over: document.documentElement.scrollWidth > document.documentElement.clientWidth };
})()
"""
MARK = """
(() => {
  const parts = [...document.querySelectorAll('table, figure:not(.narrow), .names, .answers')];
  const dot = (name) => {
    const mark = document.createElement('span');
    mark.textContent = name;
    mark.style.cssText = 'font: 1px sans-serif; color: #fff; position: absolute;';
    return mark;
  };
  parts.forEach((part, at) => {
    const [first, last] = part.matches('table')
      ? [part.querySelector('caption, th, td'), [...part.querySelectorAll('th, td')].at(-1)] : [part, part];
    for (const own of [first, last]) if (getComputedStyle(own).position === 'static') own.style.position = 'relative';
    const [begin, end] = [dot('zq' + at + 'a'), dot('zq' + at + 'b')];
    begin.style.top = '0'; begin.style.left = '0'; end.style.bottom = '0'; end.style.left = '0';
    first.append(begin);
    last.append(end);
  });
  return parts.map((part, at) => part.tagName.toLowerCase() + ' ' + at + ': ' + part.textContent.trim().slice(0, 40));
})()
"""


class Chromium:
    """One browser on the other end of two pipes; messages end with a zero byte."""

    def __init__(self, profile):
        program = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
        if program is None:
            sys.exit("chromium is not installed")
        to_read, self.to = os.pipe()
        self.back, to_write = os.pipe()
        # Chromium reads on 3 and writes on 4.
        command = f'exec "$0" "$@" 3<&{to_read} 4>&{to_write}'
        self.process = subprocess.Popen(
            ["bash", "-c", command, program, *FLAGS, f"--user-data-dir={profile}"],
            pass_fds=(to_read, to_write), stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
        )
        os.close(to_read)
        os.close(to_write)
        self.rest, self.number, self.session, self.events = b"", 0, None, []

    def read(self):
        while b"\0" not in self.rest:
            piece = os.read(self.back, 1 << 20)
            if not piece:
                sys.exit("chromium has ended too early")
            self.rest += piece
        message, self.rest = self.rest.split(b"\0", 1)
        return json.loads(message)

    def call(self, method, **parameters):
        self.number += 1
        message = {"id": self.number, "method": method, "params": parameters}
        if self.session is not None:
            message["sessionId"] = self.session
        os.write(self.to, json.dumps(message).encode() + b"\0")
        while True:
            answer = self.read()
            if answer.get("id") == self.number:
                if "error" in answer:
                    sys.exit(f"chromium refused {method}: {answer['error']}")
                return answer["result"]
            self.events.append(answer)

    def wait_for(self, method):
        while not any(event.get("method") == method for event in self.events):
            self.events.append(self.read())

    def value(self, script):
        result = self.call("Runtime.evaluate", expression=script, returnByValue=True)
        if "exceptionDetails" in result:
            sys.exit(f"a script of this check failed: {result['exceptionDetails']}")
        return result["result"].get("value")

    def open(self, address):
        self.session = None
        target = self.call("Target.createTarget", url="about:blank")["targetId"]
        self.session = self.call("Target.attachToTarget", targetId=target, flatten=True)["sessionId"]
        for room in ("Page", "Runtime", "Log", "Network"):
            self.call(f"{room}.enable")
        self.events = []
        self.call("Page.navigate", url=address)
        self.wait_for("Page.loadEventFired")

    def close(self):
        self.session = None
        self.call("Browser.close")
        self.process.wait(timeout=30)


class Words(html.parser.HTMLParser):
    """Every word that a reader sees: not the head, not what is for screen readers alone."""

    def __init__(self):
        super().__init__()
        self.inside, self.found = [], []

    def handle_starttag(self, tag, attributes):
        # The drawing for a phone is not printed: its words stand in the wide one.
        phone = tag == "figure" and "narrow" in (dict(attributes).get("class") or "")
        if tag in ("head", "style", "title", "desc") or phone or (self.inside and tag == "figure"):
            self.inside.append(tag)

    def handle_endtag(self, tag):
        if self.inside and self.inside[-1] == tag:
            self.inside.pop()

    def handle_data(self, text):
        if not self.inside:
            self.found += text.split()


def words_of(path):
    words = Words()
    words.feed(path.read_text(encoding="utf-8"))
    return words.found


def half_empty(pdf):
    """The pages, but the last, that carry nothing below their middle, above the foot."""
    done = subprocess.run(["pdftoppm", "-r", "20", "-gray", "-"], input=pdf, capture_output=True, check=True)
    pages, rest = [], done.stdout
    while rest:
        head = re.match(rb"P5\s+(\d+)\s+(\d+)\s+255\s", rest)
        width, height = int(head[1]), int(head[2])
        dots, rest = rest[head.end() : head.end() + width * height], rest[head.end() + width * height :]
        rows = [min(dots[row * width : (row + 1) * width]) for row in range(height)]
        pages.append(any(row < 200 for row in rows[height // 2 : int(0.95 * height)]))
    assert pages, "the pages could not be drawn"
    return [number for number, full in enumerate(pages[:-1], 1) if not full]


def print_pdf(browser, paper):
    width, height = PAPERS[paper]
    printed = browser.call(
        "Page.printToPDF", paperWidth=width, paperHeight=height, printBackground=False, displayHeaderFooter=False
    )
    return base64.b64decode(printed["data"])


def words_on_pages(pdf):
    text = subprocess.run(["pdftotext", "-", "-"], input=pdf, capture_output=True, check=True).stdout.decode()
    return text.rstrip("\f").split("\f")


def print_pages(browser, paper):
    return words_on_pages(print_pdf(browser, paper))


def without_spaces(text):
    return re.sub(r"\s+", "", text)


def faults_on_paper(browser, path, paper):
    pdf = print_pdf(browser, paper)
    pages = words_on_pages(pdf)
    faults = [f"page {number} is less than half full" for number in half_empty(pdf)]
    whole = without_spaces("".join(pages))
    missing = sorted({word for word in words_of(path) if without_spaces(word) not in whole})
    if missing:
        faults.append(f"words are missing: {missing[:8]}")
    for number, page in enumerate(pages, 1):
        if f"page{number}of{len(pages)}" not in without_spaces(page):
            faults.append(f"page {number} has no number")
    return faults, len(pages)


def faults_of_own_pdf(browser, path):
    """The PDF that the program had printed, against a printing of this check."""
    pdf = path.with_suffix(".pdf")
    if not pdf.exists():
        return [], 0
    done = subprocess.run(["pdftotext", str(pdf), "-"], capture_output=True, check=True)
    own = done.stdout.decode().rstrip("\f").split("\f")
    for paper in PAPERS:
        if f"size: {paper} portrait" in path.read_text(encoding="utf-8"):
            wanted = print_pages(browser, paper)
            if [without_spaces(page) for page in own] != [without_spaces(page) for page in wanted]:
                return [f"{pdf.name} has other pages or words: {len(own)} pages, wanted {len(wanted)}"], 0
            return [], len(own)
    return ["it does not say for which paper it is"], 0


def cut_parts(browser, paper, names):
    """Call after the marks are set."""
    pages = [without_spaces(page) for page in print_pages(browser, paper)]
    faults = []
    for at, name in enumerate(names):
        begin = [number for number, page in enumerate(pages, 1) if f"zq{at}a" in page]
        end = [number for number, page in enumerate(pages, 1) if f"zq{at}b" in page]
        if not begin or begin != end:
            faults.append(f"{name} begins on page {begin} and ends on page {end}")
    return faults


def check(browser, path):
    browser.open(path.resolve().as_uri())
    faults = []
    browser.call("Emulation.setDeviceMetricsOverride", width=1000, height=1200, deviceScaleFactor=1, mobile=False)
    for width in (1000, 375):
        browser.call("Emulation.setDeviceMetricsOverride", width=width, height=1200, deviceScaleFactor=1, mobile=False)
        found = browser.value(MEASURE)
        if found["over"] or found["wide"] or found["scrolls"]:
            faults.append(f"at {width} dots it is wider than the screen: {found['wide'][:4]} {found['scrolls'][:4]}")
    browser.call("Emulation.clearDeviceMetricsOverride")
    counts = {}
    for paper in PAPERS:
        found, counts[paper] = faults_on_paper(browser, path, paper)
        faults += [f"{paper}: {fault}" for fault in found]
    found, own = faults_of_own_pdf(browser, path)
    faults += found
    if own:
        counts["in its own PDF"] = own
    names = browser.value(MARK)
    for paper in PAPERS:
        faults += [f"{paper}: {fault}" for fault in cut_parts(browser, paper, names)]
    for event in browser.events:
        method, told = event.get("method"), event.get("params", {})
        if method in TALK:
            faults.append(f"{method}: {json.dumps(told)[:200]}")
        if method == "Network.requestWillBeSent":
            address = told["request"]["url"]
            if address != path.resolve().as_uri() and not address.startswith("data:"):
                faults.append(f"it asks for {address}")
    return faults, counts, len(names)


def main():
    paths = [pathlib.Path(name) for name in sys.argv[1:]]
    if not paths:
        sys.exit(__doc__)
    bad = 0
    with tempfile.TemporaryDirectory() as profile:
        browser = Chromium(profile)
        for path in paths:
            faults, counts, parts = check(browser, path)
            pages = ", ".join(f"{count} pages {paper}" for paper, count in counts.items())
            print(f"{path.name}: {pages}, {parts} parts uncut" if not faults else f"{path.name}: {pages}")
            for fault in faults:
                print(f"  {fault}")
            bad += len(faults)
        browser.close()
    sys.exit(1 if bad else 0)


if __name__ == "__main__":
    main()

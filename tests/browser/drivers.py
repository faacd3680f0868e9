"""One thin way to drive three browsers: open, eval_js, type, choose, click, screenshot, errors.

Chromium and WebKitGTK are driven by Selenium, Firefox by a small Node program that speaks WebDriver
BiDi, because Debian has no geckodriver.
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import queue
import shutil
import subprocess
import tempfile
import threading
import time
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path

from selenium import webdriver
from selenium.webdriver.chrome.service import Service as ChromiumService
from selenium.webdriver.common.by import By
from selenium.webdriver.common.keys import Keys
from selenium.webdriver.webkitgtk.service import Service as WebKitService

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
CHROMIUM_FLAGS = (
    "--headless=new --no-sandbox --disable-gpu --disable-quic --no-first-run "
    "--disable-background-networking --disable-component-update --disable-sync "
    "--disable-dev-shm-usage --window-size=820,1180 "
    # The browser's own errands would else be taken for the page's.
    "--disable-features=AutofillServerCommunication,OptimizationHints,Translate,MediaRouter,"
    "NetworkTimeServiceQuerying,OptimizationGuideModelDownloading,OptimizationHintsFetching "
    "--disable-default-apps --disable-domain-reliability --disable-client-side-phishing-detection "
    "--no-pings --gaia-url=http://127.0.0.1:9/ "
    "--component-updater=url-source=http://127.0.0.1:9/"
).split()
# What is left of the browsers' errands, whatever the flags say. No page of the book names these
# hosts: tests/test_site_build.py looks through every file.
ERRANDS = ("redirector.gvt1.com", "update.googleapis.com", "accounts.google.com")
FIREFOX_ERRANDS = ("mozilla.com", "mozilla.net", "mozilla.org", "firefox.com")
SCRIPT_LIMIT = 60


class BrowserError(Exception):
    """The browser refused, or a script in the page threw."""


class Turnstile:
    """A proxy that lets nothing through and remembers who tried.

    Only what leaves 127.0.0.1 is sent to it, so whatever it hears is an off-origin request.
    """

    def __init__(self) -> None:
        tried = self.tried = []

        class Refuse(BaseHTTPRequestHandler):
            def refuse(self):
                tried.append(f"{self.command} {self.path}")
                self.send_error(502)

            do_GET = do_POST = do_CONNECT = do_HEAD = do_OPTIONS = refuse

            def log_message(self, format, *args):
                pass

        self.server = ThreadingHTTPServer(("127.0.0.1", 0), Refuse)
        self.server.daemon_threads = True
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def port(self) -> int:
        return self.server.server_address[1]

    def told(self, errands: tuple[str, ...] = ()) -> list[str]:
        """Return what was tried since the last time, without the browser's own errands."""
        found, self.tried[:] = list(self.tried), []
        return [each for each in found if not any(host in each for host in errands)]

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()


# WebKitGTK keeps what a page says to itself, so it is taken down in the page. What a page says
# before it has loaded is not heard there.
HEAR = """
if (!globalThis.heard) {
  globalThis.heard = [];
  const plain = console.error;
  console.error = (...words) => { heard.push(words.map(String).join(" ")); plain(...words); };
  addEventListener("error", (event) => {
    // A module that a reader left behind is no fault of the page; nor is a size that is told a
    // frame later, as the standard has it.
    const said = event.message;
    if (said && !said.startsWith("ResizeObserver loop")) heard.push(said);
  });
  addEventListener("unhandledrejection", (event) => heard.push(String(event.reason)));
}
"""


class _Selenium:
    """What Chromium and WebKitGTK have in common."""

    name = ""
    browser: webdriver.Remote

    def open(self, address: str) -> None:
        self.browser.get(address)

    def reload(self) -> None:
        self.browser.refresh()

    def eval_js(self, body: str):
        """Run the body of an async function in the page and return what it returns."""
        found = self.browser.execute_async_script(
            "const done = arguments[arguments.length - 1];"
            f"(async () => {{ {body} }})().then("
            "(value) => done({ value: value === undefined ? null : value }),"
            "(error) => done({ error: String(error) }));"
        )
        if "error" in found:
            raise BrowserError(found["error"])
        return found["value"]

    def _element(self, selector: str):
        element = self.browser.find_element(By.CSS_SELECTOR, selector)
        self.browser.execute_script("arguments[0].scrollIntoView({ block: 'center' })", element)
        return element

    def type(self, selector: str, text: str) -> None:
        element = self._element(selector)
        element.click()
        element.send_keys(Keys.CONTROL, "a")
        element.send_keys(Keys.DELETE)
        if text:
            element.send_keys(text)

    def click(self, selector: str) -> None:
        self._element(selector).click()

    def screenshot(self, path: Path) -> None:
        self.browser.save_screenshot(str(path))

    def close(self) -> None:
        self.browser.quit()


class Chromium(_Selenium):
    name = "chromium"

    def __init__(self, *, javascript: bool = True) -> None:
        self.turnstile = Turnstile()
        options = webdriver.ChromeOptions()
        options.binary_location = shutil.which("chromium") or "/usr/bin/chromium"
        for flag in CHROMIUM_FLAGS:
            options.add_argument(flag)
        options.add_argument(f"--proxy-server=127.0.0.1:{self.turnstile.port}")
        options.add_argument("--proxy-bypass-list=127.0.0.1")
        options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
        if not javascript:
            options.add_experimental_option(
                "prefs", {"profile.managed_default_content_settings.javascript": 2}
            )
        service = ChromiumService(shutil.which("chromedriver") or "/usr/bin/chromedriver")
        self.browser = webdriver.Chrome(options=options, service=service)
        self.browser.set_script_timeout(SCRIPT_LIMIT)

    def errors(self) -> list[str]:
        return [
            line["message"]
            for line in self.browser.get_log("browser")
            if line["level"] in ("SEVERE", "WARNING")
        ]

    def strangers(self) -> list[str]:
        """Return requests that tried to leave the machine, the engine's worker included."""
        return self.turnstile.told(ERRANDS)

    def media(self, *, kind: str = "", scheme: str = "") -> None:
        """Show the page as on paper, or in the light or dark scheme."""
        features = [{"name": "prefers-color-scheme", "value": scheme}] if scheme else []
        self.browser.execute_cdp_cmd(
            "Emulation.setEmulatedMedia", {"media": kind, "features": features}
        )

    def pdf(self) -> bytes:
        """Return the page as it would be printed."""
        return base64.b64decode(self.browser.print_page())

    def close(self) -> None:
        super().close()
        self.turnstile.close()


class WebKitGTK(_Selenium):
    name = "webkitgtk"

    def __init__(self) -> None:
        self.display = f":{80 + os.getpid() % 900}"
        self.folder = tempfile.TemporaryDirectory()
        self.screen = subprocess.Popen(
            ["Xvfb", self.display, "-screen", "0", "1000x1300x24", "-nolisten", "tcp"],
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        self.turnstile = Turnstile()
        options = webdriver.WebKitGTKOptions()
        options.binary_location = str(next(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser")))
        options.add_argument("--automation")
        options.add_argument(f"--proxy=http://127.0.0.1:{self.turnstile.port}")
        options.add_argument("--ignore-host=127.0.0.1")
        time.sleep(1)
        service = WebKitService(
            shutil.which("WebKitWebDriver") or "/usr/bin/WebKitWebDriver",
            log_output=subprocess.DEVNULL,
            env={
                **os.environ,
                "DISPLAY": self.display,
                "WEBKIT_DISABLE_COMPOSITING_MODE": "1",
                "GDK_BACKEND": "x11",
                "LIBGL_ALWAYS_SOFTWARE": "1",
            },
        )
        self.browser = webdriver.WebKitGTK(options=options, service=service)
        self.browser.set_script_timeout(SCRIPT_LIMIT)
        with contextlib.suppress(Exception):
            self.browser.set_window_size(820, 1180)

    def open(self, address: str) -> None:
        super().open(address)
        self.browser.execute_script(HEAR)

    def reload(self) -> None:
        super().reload()
        self.browser.execute_script(HEAR)

    def errors(self) -> list[str]:
        return self.browser.execute_script("return globalThis.heard?.splice(0) ?? []")

    def strangers(self) -> list[str]:
        return self.turnstile.told()

    def close(self) -> None:
        with contextlib.suppress(Exception):
            super().close()
        self.turnstile.close()
        self.screen.terminate()
        self.screen.wait()
        self.folder.cleanup()


class Firefox:
    name = "firefox"

    def __init__(self) -> None:
        self.turnstile = Turnstile()
        # The run script puts its own Node first on the path.
        self.process = subprocess.Popen(
            [
                shutil.which("node") or "node",
                str(HERE / "firefox.mjs"),
                shutil.which("firefox-esr") or "/usr/bin/firefox-esr",
                str(self.turnstile.port),
            ],
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
            encoding="utf-8",
            cwd=ROOT,
        )
        self.lines: queue.Queue[str] = queue.Queue()
        threading.Thread(target=self._listen, daemon=True).start()
        self._ask("launch")

    def _listen(self) -> None:
        for line in self.process.stdout:
            self.lines.put(line)

    def _ask(self, action: str, **details):
        self.process.stdin.write(json.dumps({"action": action, **details}) + "\n")
        self.process.stdin.flush()
        try:
            answer = json.loads(self.lines.get(timeout=SCRIPT_LIMIT + 30))
        except queue.Empty:
            raise BrowserError(f"Firefox did not answer to {action}") from None
        if "error" in answer:
            raise BrowserError(answer["error"])
        return answer["value"]

    def open(self, address: str) -> None:
        self._ask("open", address=address)

    def reload(self) -> None:
        self._ask("reload")

    def eval_js(self, body: str):
        return self._ask("eval", body=body)

    def type(self, selector: str, text: str) -> None:
        self._ask("type", selector=selector, text=text)

    def click(self, selector: str) -> None:
        self._ask("click", selector=selector)

    def screenshot(self, path: Path) -> None:
        self._ask("screenshot", path=str(path))

    def errors(self) -> list[str]:
        return self._ask("errors")

    def strangers(self) -> list[str]:
        return self.turnstile.told(FIREFOX_ERRANDS)

    def close(self) -> None:
        with contextlib.suppress(Exception):
            self._ask("close")
        self.turnstile.close()
        self.process.stdin.close()
        try:
            self.process.wait(timeout=15)
        except subprocess.TimeoutExpired:
            self.process.kill()


DRIVERS = {"chromium": Chromium, "firefox": Firefox, "webkitgtk": WebKitGTK}

"""A headless Chromium that tests look through: it is told what to do over a pipe, so no package is needed.

Source:   the Chrome DevTools Protocol: `--remote-debugging-pipe` reads messages of JSON, each ended by a zero byte,
          from file descriptor 3 and writes them to 4. A window is never narrower than 500 pixels, so a telephone's
          width is asked for by `Emulation.setDeviceMetricsOverride`
"""

from __future__ import annotations

import base64
import json
import os
import shutil
import subprocess
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")
_OPTIONS = ("--headless", "--no-sandbox", "--disable-gpu", "--hide-scrollbars", "--remote-debugging-pipe")


class Browser:
    """One page in one browser; use it in a `with` block."""

    def __init__(self, scratch: Path) -> None:
        self._scratch, self._number, self._session = scratch, 0, ""
        self.events: list[dict[str, Any]] = []

    def __enter__(self) -> Browser:
        told, heard = os.pipe(), os.pipe()
        command = [str(CHROMIUM), *_OPTIONS, f"--user-data-dir={self._scratch / 'profile'}", "about:blank"]

        def wire() -> None:
            read, write = os.dup(told[0]), os.dup(heard[1])
            os.dup2(read, 3)
            os.dup2(write, 4)

        self._process = subprocess.Popen(
            command, preexec_fn=wire, close_fds=False, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL
        )
        os.close(told[0])
        os.close(heard[1])
        self._out, self._in = os.fdopen(told[1], "wb"), os.fdopen(heard[0], "rb")
        targets = self.ask("Target.getTargets")["targetInfos"]
        (page,) = [one["targetId"] for one in targets if one["type"] == "page"]
        self._session = self.ask("Target.attachToTarget", targetId=page, flatten=True)["sessionId"]
        for domain in ("Page", "Network", "Accessibility"):
            self.ask(f"{domain}.enable")
        return self

    def __exit__(self, *_: object) -> None:
        self._process.kill()
        self._process.wait(timeout=30)
        self._in.close()
        self._out.close()

    def ask(self, method: str, **parameters: Any) -> dict[str, Any]:
        """Send a command and return its result; what the browser says meanwhile is kept in `events`."""
        self._number += 1
        message: dict[str, Any] = {"id": self._number, "method": method, "params": parameters}
        if self._session:
            message["sessionId"] = self._session
        self._out.write(json.dumps(message).encode() + b"\0")
        self._out.flush()
        while (said := self._next()).get("id") != self._number:
            self.events.append(said)
        assert "error" not in said, said
        return dict(said["result"])

    def _next(self) -> dict[str, Any]:
        letters = bytearray()
        while (letter := self._in.read(1)) != b"\0":
            assert letter, "the browser has ended"
            letters += letter
        return dict(json.loads(letters))

    def open(self, page: Path, width: int, height: int = 900) -> None:
        """Show a page in a window of *width* pixels, a telephone's where it is narrow."""
        self.ask(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 600
        )
        self.events.clear()
        self.ask("Page.navigate", url=page.as_uri())
        while not any(event.get("method") == "Page.loadEventFired" for event in self.events):
            self.events.append(self._next())

    def value(self, expression: str) -> Any:
        """What a line of script is worth on the page; promises are waited for."""
        result = self.ask("Runtime.evaluate", expression=expression, returnByValue=True, awaitPromise=True)
        assert "exceptionDetails" not in result, result
        return result["result"].get("value")

    def press_tab(self) -> None:
        """Press the tabulator key."""
        for kind in ("keyDown", "keyUp"):
            self.ask("Input.dispatchKeyEvent", type=kind, key="Tab", code="Tab", windowsVirtualKeyCode=9)

    def addresses(self) -> list[str]:
        """Every address the page has asked for since it was opened."""
        sent = [event["params"] for event in self.events if event.get("method") == "Network.requestWillBeSent"]
        return [one["request"]["url"] for one in sent]

    def spoken(self) -> list[tuple[str, str]]:
        """The role and name of everything that a screen reader is told."""
        nodes = self.ask("Accessibility.getFullAXTree")["nodes"]
        told = [node for node in nodes if not node["ignored"]]
        return [(node["role"]["value"], node.get("name", {}).get("value", "")) for node in told]

    def picture(self) -> bytes:
        """The whole page as PNG."""
        shot = self.ask("Page.captureScreenshot", format="png", captureBeyondViewport=True)
        return base64.b64decode(shot["data"])

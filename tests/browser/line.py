"""A line between the browser and the site that can be cut: what a lost connection is to every part of a browser.
It can also answer in place of the site, as a gateway does while the site behind it starts again.

The browser's own switch is set too, for its `online` event; by itself it reaches a new page or worker a moment late.
"""

from __future__ import annotations

import socket
import threading
from contextlib import suppress
from http import HTTPStatus
from urllib.parse import urlsplit

from playwright.sync_api import BrowserContext

CHUNK = 65536


class Line:
    """Hands every byte on while it is whole; `cut` drops what is open and refuses what comes."""

    def __init__(self, site_url: str) -> None:
        parts = urlsplit(site_url)
        self._site = (parts.hostname or "localhost", parts.port or 80)
        self._listening = socket.create_server(("127.0.0.1", 0))
        self._open: set[socket.socket] = set()
        self._whole = True
        self._status = 0
        self.url = f"http://127.0.0.1:{self._listening.getsockname()[1]}"
        threading.Thread(target=self._accept, daemon=True).start()

    def cut(self, context: BrowserContext) -> None:
        """Lose the connection."""
        self._whole = False
        for end in list(self._open):
            _shut(end)
        context.set_offline(True)

    def answer(self, status: int) -> None:
        """Answer every request with that status in place of the site."""
        self._status = status
        for end in list(self._open):
            _shut(end)

    def mend(self, context: BrowserContext) -> None:
        """Have it back, and let the browser notice."""
        self._whole, self._status = True, 0
        context.set_offline(False)

    def close(self) -> None:
        """Stop for good."""
        self._whole = False
        _shut(self._listening)
        for end in list(self._open):
            _shut(end)

    def _accept(self) -> None:
        while True:
            try:
                browser, _ = self._listening.accept()
            except OSError:
                return
            if not self._whole:
                _shut(browser)
                continue
            if self._status:
                self._open.add(browser)
                threading.Thread(target=self._refuse, args=(browser, self._status), daemon=True).start()
                continue
            try:
                site = socket.create_connection(self._site)
            except OSError:
                _shut(browser)
                continue
            self._open |= {browser, site}
            for ends in ((browser, site), (site, browser)):
                threading.Thread(target=self._hand_on, args=ends, daemon=True).start()

    def _refuse(self, browser: socket.socket, status: int) -> None:
        with suppress(OSError):
            asked = b""
            while b"\r\n\r\n" not in asked and (chunk := browser.recv(CHUNK)):
                asked += chunk
            said = f"{status} {HTTPStatus(status).phrase}"
            head = f"HTTP/1.1 {said}\r\nContent-Type: text/plain\r\nContent-Length: {len(said)}\r\nConnection: close"
            browser.sendall(f"{head}\r\n\r\n{said}".encode())
        self._open.discard(browser)
        _shut(browser)

    def _hand_on(self, source: socket.socket, sink: socket.socket) -> None:
        with suppress(OSError):
            while chunk := source.recv(CHUNK):
                sink.sendall(chunk)
        for end in (source, sink):
            self._open.discard(end)
            _shut(end)


def _shut(end: socket.socket) -> None:
    with suppress(OSError):
        end.shutdown(socket.SHUT_RDWR)
    end.close()


__all__ = ["Line"]

"""What takes long is worked out once for each text of a job: at once, or late, while pages go on without it."""

from __future__ import annotations

import hashlib
import logging
from collections import OrderedDict
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from threading import Condition, Lock, Thread
from time import monotonic, sleep
from typing import Any, TypeVar, cast

from starlette.types import ASGIApp, Receive, Scope, Send

from driploop.worksheet import DriploopError

_LOG = logging.getLogger(__name__)
_T = TypeVar("_T")
#: What is worked out of which job, and the digest of its text.
Key = tuple[str, str, bytes]
#: Called between two steps of long work: waits for pages that are being made, and ends work that nobody wants.
Pause = Callable[[], None]
#: So long a step of long work waits at most for pages. [s]
_LONGEST_PAUSE_S = 0.2
#: So long late work waits before it begins: who answers one question often answers the next. [s]
_QUIET_S = 0.3
_OUR_FAULT = "It could not be worked out: a fault of this program. The survey is safe."


class _DroppedError(Exception):
    """The job was changed meanwhile, so that the answer is wanted by nobody."""


@dataclass(frozen=True, slots=True)
class Known:
    """What was worked out, or in words why it could not be."""

    value: Any
    trouble: str = ""


def key_of(what: str, job: str, text: str) -> Key:
    """The key of one thing that is worked out of a job's text."""
    return what, job, hashlib.sha256(text.encode("utf-8", "surrogatepass")).digest()


@dataclass
class Kept:
    """What was worked out last, and one worker for what is wanted late: of each job the newest text alone."""

    most: int = 24
    _known: OrderedDict[Key, Known] = field(default_factory=OrderedDict)
    _making: dict[Key, Lock] = field(default_factory=dict)
    _wanted: OrderedDict[tuple[str, str], tuple[Key, Callable[[Pause], Any]]] = field(default_factory=OrderedDict)
    _turn: Condition = field(default_factory=Condition)
    _pages: int = 0
    _worker: Thread | None = None

    def now(self, key: Key, make: Callable[[], _T]) -> _T:
        """The value of a key, made where it is not there. Two who ask at once wait for one making."""
        with self._turn:
            if (known := self._seen(key)) is not None:
                return cast(_T, known.value)
            making = self._making.setdefault(key, Lock())
        with making:
            with self._turn:
                if (known := self._seen(key)) is not None:
                    return cast(_T, known.value)
            value = make()
            with self._turn:
                self._keep(key, Known(value))
                self._making.pop(key, None)
        return value

    def late(self, key: Key, make: Callable[[Pause], Any], *, wait_s: float = 0) -> Known | None:
        """What is known of a key; None while it is worked out, which begins now.

        Args:
            key: what is wanted.
            make: works it out; calls what it is given between its steps.
            wait_s: so long to wait for it. [s]
        """
        with self._turn:
            if (known := self._seen(key)) is not None:
                return known
            if not self._wants(key):
                self._wanted[key[:2]] = (key, make)
            if self._worker is None:
                self._worker = Thread(target=self._work, daemon=True, name="late answers")
                self._worker.start()
            self._turn.notify_all()
            if wait_s:
                self._pages -= 1  # who waits is in nobody's way
                self._turn.wait_for(lambda: key in self._known or not self._wants(key), timeout=wait_s)
                self._pages += 1
            return self._known.get(key)

    def forget(self, job: str) -> None:
        """Let go of all that was worked out of a job, as when it was deleted."""
        with self._turn:
            for key in [key for key in self._known if key[1] == job]:
                del self._known[key]
            for place in [place for place in self._wanted if place[1] == job]:
                del self._wanted[place]

    @contextmanager
    def page(self) -> Iterator[None]:
        """While a page is made, late work waits."""
        with self._turn:
            self._pages += 1
        try:
            yield
        finally:
            with self._turn:
                self._pages -= 1

    def _seen(self, key: Key) -> Known | None:
        known = self._known.get(key)
        if known is not None:
            self._known.move_to_end(key)
        return known

    def _keep(self, key: Key, known: Known) -> None:
        self._known[key] = known
        while len(self._known) > self.most:
            self._known.popitem(last=False)

    def _wants(self, key: Key) -> bool:
        return self._wanted.get(key[:2], (None, None))[0] == key

    def _work(self) -> None:
        while True:
            with self._turn:
                self._turn.wait_for(lambda: bool(self._wanted))
                key, make = next(reversed(self._wanted.values()))
            known = self._worked_out(key, make)
            with self._turn:
                if known is not None:
                    self._keep(key, known)
                if self._wants(key):
                    del self._wanted[key[:2]]
                self._turn.notify_all()

    def _worked_out(self, key: Key, make: Callable[[Pause], Any]) -> Known | None:
        def pause() -> None:
            until = monotonic() + _LONGEST_PAUSE_S
            while self._pages > 0 and monotonic() < until:
                sleep(0.002)
            if not self._wants(key):
                raise _DroppedError

        try:
            sleep(_QUIET_S)
            pause()
            return Known(make(pause))
        except _DroppedError:
            return None
        except DriploopError as error:
            return Known(None, str(error))
        except Exception:  # a page must open whatever this meets
            _LOG.exception("late work failed")
            return Known(None, _OUR_FAULT)


class PagesFirst:
    """Tells late work that a page is being made."""

    def __init__(self, app: ASGIApp, kept: Kept) -> None:
        self.app = app
        self.kept = kept

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """One request."""
        if scope["type"] != "http":  # what lasts as long as the program is no page
            await self.app(scope, receive, send)
            return
        with self.kept.page():
            await self.app(scope, receive, send)

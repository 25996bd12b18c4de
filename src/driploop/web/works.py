"""Long work in threads: begun once for the same thing, looked at, cancelled, its result kept a while."""

from __future__ import annotations

import logging
import time
from collections import OrderedDict
from collections.abc import Callable, Hashable
from dataclasses import dataclass, field
from threading import Event, Lock, Thread
from typing import Any

from driploop.worksheet import DriploopError

_LOG = logging.getLogger(__name__)
#: So many results are kept.
MOST_KEPT = 6


@dataclass(slots=True)
class Work:
    """One long work. ``said`` is how far it is; ``trouble`` why it failed."""

    said: str = "Begun"
    result: Any = None
    trouble: str = ""
    done: Event = field(default_factory=Event)
    cancelled: Event = field(default_factory=Event)
    started: float = field(default_factory=time.monotonic)
    _stop: Callable[[], None] | None = None

    @property
    def seconds(self) -> int:
        """How long it runs. [s]"""
        return int(time.monotonic() - self.started)

    def begun(self, stop: Callable[[], None]) -> None:
        """The work can be stopped from here on."""
        self._stop = stop
        if self.cancelled.is_set():
            stop()

    def better(self, cost: int, bound: int) -> None:
        """A layout of this cost was found."""
        self.said = f"Best so far costs {cost}; none can cost less than {bound}"

    def cancel(self) -> None:
        """End it as soon as it can be ended."""
        self.cancelled.set()
        if self._stop is not None:
            self._stop()


@dataclass(slots=True)
class Works:
    """All long works of an application, by what they are of."""

    _kept: OrderedDict[Hashable, Work] = field(default_factory=OrderedDict)
    _lock: Lock = field(default_factory=Lock)

    def of(self, key: Hashable) -> Work | None:
        """The work of this key, if there is one."""
        with self._lock:
            return self._kept.get(key)

    def start(self, key: Hashable, work: Callable[[Work], Any]) -> Work:
        """The work of this key, begun if there is none, or none that went well."""
        with self._lock:
            found = self._kept.get(key)
            if found is not None and not found.cancelled.is_set() and not found.trouble:
                self._kept.move_to_end(key)
                return found
            made = self._kept[key] = Work()
            self._kept.move_to_end(key)
            for old in [k for k, each in self._kept.items() if each.done.is_set()][
                : max(0, len(self._kept) - MOST_KEPT)
            ]:
                del self._kept[old]
        Thread(target=self._run, args=(made, work), daemon=True).start()
        return made

    def forget(self, key: Hashable) -> None:
        """Let go of a work, cancelled if it runs."""
        with self._lock:
            found = self._kept.pop(key, None)
        if found is not None and not found.done.is_set():
            found.cancel()

    def forget_job(self, job: str) -> None:
        """Let go of all that is of a job, as when it was deleted."""
        with self._lock:
            mine = [key for key in self._kept if isinstance(key, tuple) and job in key]
        for key in mine:
            self.forget(key)

    def _run(self, made: Work, work: Callable[[Work], Any]) -> None:
        try:
            made.result = work(made)
        except DriploopError as error:
            made.trouble = str(error)
        except Exception:  # whoever waits must be told, whatever went wrong
            _LOG.exception("a long work failed")
            made.trouble = "A fault of this program. Nothing of the job is lost; go back and try again."
        finally:
            made.done.set()

"""What every stop of the walk needs: the readings, the sections, and what is still open at a place."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field

from driploop.closeout.results import Check, Standing, Stop
from driploop.installation import Equipment
from driploop.rules import Readings, Rule, catalogue, section_of
from driploop.worksheet import Finding, Verdict


@dataclass(frozen=True, slots=True)
class Walk:
    """One installation with its findings, asked line by line."""

    r: Readings
    findings: tuple[Finding, ...]
    rules: dict[str, Rule] = field(default_factory=lambda: {rule.id: rule for rule in catalogue()})

    def line(
        self,
        stop: Stop,
        rule: str,
        where: str,
        place: str,
        see: str,
        photograph: str,
        *,
        section: str = "",
        known: bool = True,
    ) -> Iterator[Check]:
        """One line; none where this edition has no such rule.

        Args:
            stop: where on the walk.
            rule: its id in the catalogue, which gives the section unless ``section`` does.
            where: path of the part in the job file.
            place: what to call it.
            see: what to see there.
            photograph: what the picture must show.
            section: the section, where it is another than the rule's.
            known: False where the survey does not know what is to be seen.
        """
        entered = self.rules[rule]
        if self.r.edition.has(entered.requirement):
            cited = section or section_of(entered, self.r.edition)
            yield Check(stop, rule, where, place, see, cited, photograph, self._standing(rule, where, known))

    def _standing(self, rule: str, where: str, known: bool) -> Standing:
        open_here = {f.verdict for f in self.findings if f.rule == rule and _same_part(f.where, where)}
        if Verdict.MEND in open_here:
            return "to be mended"
        return "to be asked" if Verdict.ASK in open_here or not known else "as planned"

    @property
    def service_sites(self) -> tuple[str | None, ...]:
        """Where the service disconnects hang."""
        ids = self.r.graph.service_disconnects
        return tuple(dict.fromkeys(self.r.graph.site_of(self.r.graph.equipment(id).building) for id in ids))

    def at_service(self, equipment: Equipment) -> bool:
        """Whether an enclosure hangs where the service ends, or nobody said where it hangs."""
        return equipment.building is None or self.r.graph.site_of(equipment.building) in self.service_sites

    def enclosures(self, *kinds: str) -> Iterator[Equipment]:
        """Enclosures of these kinds, each after its supply."""
        for id in self.r.graph.order:
            if self.r.graph.equipment(id).kind in kinds:
                yield self.r.graph.equipment(id)


def _same_part(found: str, where: str) -> bool:
    return found.split(".")[:2] == where.split(".")[:2]


def measured(value: float | None, unit: str) -> str:
    """A measure of the survey in words, or a blank to be filled in on the spot."""
    return f"____ {unit}" if value is None else f"{value:g} {unit}"

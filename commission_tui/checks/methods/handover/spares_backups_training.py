"""What is left behind: spares, saved settings, people who can do it, papers."""

from __future__ import annotations

from commission_tui.checks import judgement as j
from commission_tui.checks.model.types import CheckInput, Figure, Outcome
from commission_tui.checks.registry import method
from commission_tui.engineering.quality.spares import cover, expected_failures, spares_for
from commission_tui.figures import shown
from commission_tui.text import counted, listed


@method(fields="as_scheduled went_dark?")
def circuit_identity(data: CheckInput) -> Outcome:
    """Require that each breaker darkens exactly its own cabinets."""
    wrong = j.answered_no(data, "as_scheduled")
    answered = len(data.field("as_scheduled"))
    figure = j.count_right("circuits as scheduled", answered, wrong, digits=3)
    if not wrong:
        doubtful = [name for name in data.field("went_dark") if name in data.field("as_scheduled")]
        if doubtful:
            reason = f"Said to be as scheduled, yet other cabinets are noted for {listed(doubtful)}"
            step = "Correct the answer or the note; open that breaker again."
            return j.conclude([figure], reason, where=doubtful, next_step=step, failed=True)
        return j.conclude(
            [figure], f"All {counted(answered, 'circuit')} darken exactly their cabinets"
        )
    notes = [_dark_note(data, name) for name in wrong]
    step = "Move the power link or correct the schedule, then open that breaker again."
    return j.conclude([figure], f"Not as scheduled: {listed(notes)}", where=wrong, next_step=step)


def _dark_note(data: CheckInput, circuit: str) -> str:
    reading = data.one("went_dark", circuit)
    return circuit if reading is None else f"{circuit} (dark: {j.shortened_text(reading, 60)})"


@method(
    fields="counted lit same_batch? kept_at? yearly_percent? term_years? other_parts?",
    limits="sound_spares",
)
def spares(data: CheckInput) -> Outcome:
    """Count only spares that light, say what is wrong with the others, and how long they last."""
    counted, lit = data.one("counted"), data.one("lit")
    figures: list[Figure] = []
    if counted is not None:
        figures.append(j.right_or_wrong("spare modules counted", counted.number, ok=True))
    figures += j.judged_at(data, "sound spare modules", "lit", limit="sound_spares")
    if counted is not None and lit is not None and lit.number > counted.number:
        reason = f"More spares lit ({lit.number:g}) than counted ({counted.number:g})"
        return j.conclude(figures, reason, next_step="Count again.", failed=True)
    if counted is not None and lit is not None and lit.number < counted.number:
        figures.append(
            j.right_or_wrong("spares that do not light", counted.number - lit.number, ok=False)
        )
    other = j.answered_no(data, "same_batch")
    reason = j.phrased("spares are not of the wall's batch" if other else "", j.clauses_of(figures))
    term, remark = _term(data)
    step = "Order what is missing, from the wall's own batch, and count again."
    return j.conclude([*figures, *term], reason + remark, next_step=step, failed=other)


def _term(data: CheckInput) -> tuple[list[Figure], str]:
    """Hold the stock against the failures to expect over the term; a record, not a limit."""
    lit, rate, years = data.one("lit"), data.one("yearly_percent"), data.one("term_years")
    if lit is None or rate is None or years is None:
        return [], ""
    modules = sum(c.module_columns * c.module_rows for c in data.wall.cabinets.values())
    expected = expected_failures(modules, rate.number / 100, years.number)
    wanted, chance = spares_for(expected), 100 * cover(int(lit.number), expected)
    figures = [
        j.judged("module failures to expect over the term", expected, digits=3),
        j.judged("stock that lasts the term in 95 of 100 cases", wanted, digits=5),
        j.judged("chance that this stock lasts the term", chance, "%", digits=2),
    ]
    remark = (
        f"; {shown(rate.number)} % of {counted(modules, 'module')} a year over {shown(years.number)} years ask "
        f"for {wanted}, this stock lasts in {shown(chance, 2)} of 100 cases"
    )
    return figures, remark


@method(fields="saved restored copies", limits="copies")
def backups(data: CheckInput) -> Outcome:
    """Require a restore that was tried and enough places where the files are kept."""
    name = "places where settings are kept"
    figures = j.judged_at(data, name, "copies", limit="copies")
    untried = j.answered_no(data, "restored")
    reason = (
        j.phrased("Never loaded back", j.clauses_of(figures) if figures else "") if untried else ""
    )
    step = "Load the files onto a spare or blanked unit, compare the picture, store a second copy."
    return j.conclude(figures, reason, next_step=step, failed=untried)


@method(fields="people_able names?", limits="people_able")
def training(data: CheckInput) -> Outcome:
    """Require enough people who did each topic unaided."""
    topics = j.judged_places(data, "people able for {}", "people_able", limit="people_able")
    bad, reason = j.bad_places(topics), ""
    if bad:
        worst = topics[0]
        reason = f"Too few people for {listed(bad)}; {bad[0]}: {worst.value:g}, {worst.limit}"
    step = "Repeat the named topics with the people who will run the wall."
    return j.conclude(topics[:1], reason, where=bad, next_step=step)

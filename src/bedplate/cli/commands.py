"""The table of commands: it feeds the tree, the help, the completion and the documentation.

One line a command. What is not listed here cannot be called, and what is listed is called: the
tests import every row.
"""

from __future__ import annotations

from typing import NamedTuple

START = "Start"
YOURS = "Yours"


class Row(NamedTuple):
    """One command.

    Attributes:
        heading: under which it stands in the help; headings are in the order of a job.
        name: what is typed after ``bedplate``: ``"measure"``, or noun and verb, ``"sheet new"``.
        where: the function, ``"module:function"`` below ``bedplate.cli``.
        help: its line in the help; the function's docstring begins with the same line.
    """

    heading: str
    name: str
    where: str
    help: str

    @property
    def noun(self) -> str | None:
        """The first word of a command of two words."""
        first, _, second = self.name.partition(" ")
        return first if second else None

    @property
    def verb(self) -> str:
        """The last word of the name."""
        return self.name.rpartition(" ")[2]


BEGIN, READ, PARTS = "Begin", "Measure and check", "Parts and findings"
BUILD, RECORD = "Put it together", "The record"

ROWS = ("axis", "component", "feature", "fit", "size", "fasteners", "proof", "step")
"""What a sheet can be added to with, and what of it can be changed."""


OF_NO_JOB = frozenset({
    "demo", "calc", "sheet new", "sheet check", "sheet show", "open", "gauge add", "gauge list",
    "summary", "verify", "key show", "key trust", "key retire", "settings", "completion", "help",
})  # fmt: skip
"""Commands that are not about the job at hand, or name theirs as an argument."""


def _article(noun: str) -> str:
    return {"axis": "an axis", "fasteners": "a set of fasteners"}.get(noun, f"a {noun}")


COMMANDS: tuple[Row, ...] = (
    Row(BEGIN, "demo", "demo:demo", "See a whole invented job, start to signature."),
    Row(BEGIN, "calc", "calc:calc", "Work out one clearance, no job needed."),
    Row(BEGIN, "sheet new", "sheet_command:new", "Write a commented starter to fill in."),
    Row(BEGIN, "sheet check", "sheet_command:check", "Say everything wrong with a build sheet."),
    Row(BEGIN, "sheet show", "sheet_command:show", "Show a build sheet, or print it as a form."),
    Row(BEGIN, "sheet save", "sheet_command:save", "Write this job's sheet for the next time."),
    Row(BEGIN, "open", "open_command:open_job", "Start a job: one unit, one file."),
    *(
        Row(
            BEGIN,
            f"add {noun}",
            f"adding:add_{noun}",
            f"Add {_article(noun)} to this job's sheet.",
        )
        for noun in ROWS
    ),
    *(
        Row(
            BEGIN,
            f"amend {noun}",
            f"adding:amend_{noun}",
            f"Change {_article(noun)} of this job's sheet.",
        )
        for noun in ROWS
    ),
    Row(READ, "gauge add", "gauge:add", "Describe a gauge once, for every job to come."),
    Row(READ, "gauge set", "gauge:set_gauge", "Record what a gauge stood at and showed."),
    Row(READ, "gauge list", "gauge:list_gauges", "List your gauges."),
    Row(READ, "bench", "bench.command:bench", "Be asked for each reading in turn."),
    Row(READ, "measure", "measure:measure", "Record readings and see what they settle."),
    Row(READ, "correct", "measure:correct", "Strike a reading and put the right one."),
    Row(READ, "check", "check:check", "Show each clearance against its band."),
    Row(
        READ,
        "remedy",
        "mending:remedy",
        "Show what would bring a fit in, and what it would spoil.",
    ),
    Row(READ, "match", "mending:match", "Show which part goes where."),
    Row(PARTS, "inspect", "waiting:inspect", "Record what you saw."),
    Row(PARTS, "note", "striking:note", "Write anything down."),
    Row(PARTS, "attach", "sealing:attach", "Keep a photo or a report beside the job."),
    Row(PARTS, "decide", "striking:decide", "Decide what becomes of a part."),
    Row(PARTS, "change", "striking:change", "Record that it has happened."),
    Row(BUILD, "fasten", "fitting:fasten", "Record nuts, bolts and their locks."),
    Row(BUILD, "prove", "fitting:prove", "Record a proof."),
    Row(BUILD, "done", "fitting:done", "Record a step done; alone, show the next."),
    Row(BUILD, "use", "fitting:use", "Draw a gasket, seal, lock or part."),
    Row(BUILD, "defer", "waiting:defer", "Put work off until a moment, a time or a person."),
    Row(BUILD, "settle", "waiting:settle", "Say that what was put off is done; answer a finding."),
    Row(BUILD, "concede", "waiting:concede", "Accept something as it is."),
    Row(RECORD, "status", "status:status", "Show what is next and what is in the way."),
    Row(RECORD, "strike", "striking:strike", "Cross an entry out; it stays readable."),
    Row(RECORD, "log", "log:log", "Show every entry, also the struck ones."),
    Row(RECORD, "summary", "summary:summary", "Write the page for whoever reads it next."),
    Row(RECORD, "export", "export:export", "Hand the record to another program."),
    Row(RECORD, "sign", "sealing:sign", "Sign the record as it stands."),
    Row(RECORD, "reopen", "sealing:reopen", "Go on after a signature."),
    Row(RECORD, "verify", "verifying:verify", "Hold a record to what was signed."),
    Row(
        RECORD,
        "rejoin",
        "verifying:rejoin",
        "Take over from a copy of this job what can be taken.",
    ),
    Row(YOURS, "key show", "keys:key_show", "Show your own key and the keys known here."),
    Row(YOURS, "key trust", "keys:key_trust", "Take up a person's public key."),
    Row(YOURS, "key retire", "keys:key_retire", "Put a key out of use."),
    Row(YOURS, "settings", "settings_command:settings", "Show your settings, or change one."),
    Row(
        YOURS,
        "completion",
        "completion_command:completion",
        "Print what makes the Tab key complete, for your shell.",
    ),
    Row(YOURS, "help", "help_command:help_on", "All commands; one command; or a topic."),
)
"""Every command, in the order of a job."""

NOUNS: dict[str, str] = {
    "sheet": "Start, check, show, save a build sheet.",
    "add": "Add to this job's sheet.",
    "amend": "Change this job's sheet.",
    "gauge": "Your gauges, and what they stood at and showed.",
    "key": "Your key, and the keys known here.",
}
"""The help line of every noun that has verbs in `COMMANDS` (``sheet``, ``gauge``, …)."""

ALONE = Row("", "", "alone:alone", "Where the job stands.")
"""What ``bedplate`` without a command does."""


def headings() -> list[str]:
    """Return the headings, each once, in the order of a job."""
    return list(dict.fromkeys(row.heading for row in COMMANDS))


def first_words() -> list[str]:
    """Return what can follow ``bedplate`` directly: commands and nouns, each once."""
    return list(dict.fromkeys(row.noun or row.name for row in COMMANDS))


def under(noun: str) -> list[Row]:
    """Return the rows of one noun."""
    return [row for row in COMMANDS if row.noun == noun]


def found(name: str) -> Row | None:
    """Return the row with exactly this name."""
    return next((row for row in COMMANDS if row.name == name), None)

"""The page to hand on: one HTML file that asks nothing of any network, for a telephone, a desk and two sheets of A4."""

from __future__ import annotations

from collections.abc import Sequence
from html import escape
from importlib import resources
from pathlib import Path
from urllib.parse import quote

import ridethrough._core as _core

from ..engine.risk import Risk
from ..files.scenario import Scenario
from ..files.scenario_writer import dump_scenario
from ..files.whole_file import target_path, write_whole
from ..studies.suggestions import Suggestions
from ..version import __version__
from .inputs import DEFAULT, GIVEN, MEASURED, OF_STARTER, Input, inputs_of
from .layout import Rows, Section, printable
from .pictures.charge import draw_charge
from .pictures.first_cutout import draw_first_cutout
from .pictures.ledger import draw_ledger
from .pictures.picture import Picture
from .pictures.survival import draw_survival
from .trip_description import climate_lines
from .verdict import Verdict, compose, heading

_SUFFIXES = (".html", ".htm")
_POLICY = "default-src 'none'; style-src 'unsafe-inline'; img-src data:"  # a browser is told to fetch nothing
_ANSWER, _HELP = "WILL THE FRIDGE STAY ON?", "WHAT WOULD HELP MOST"
_HOW_HELP = "Chance of a cut-out without and with each change; in brackets the 95 % interval of the difference."


def page_path(path: object) -> Path:
    """The path of a page's file; an error before anything is played where it is none."""
    return target_path(path, _SUFFIXES, "trip.html")


def write_page(
    risk: Risk,
    path: str | Path,
    *,
    title: str = "",
    name: str = "",
    charge_limit: float | None = None,
    notes: Sequence[str] = (),
    suggestions: Suggestions | None = None,
) -> Path:
    """Write the page; a file that is there is replaced.

    `name` is that of the scenario, else the file's; suggestions that are not given are played.
    """
    found = page_path(path)
    name, title = name or found.stem, title.strip()
    scenario = Scenario(
        name=name,
        title="" if title == name else title,  # a title that only repeats the name is none
        van=risk.van,
        trip=risk.trip,
        trials=risk.trials,
        seed=risk.seed,
        charge_limit=charge_limit,
    )
    write_whole(found, page_of(risk, scenario, title, notes, suggestions), overwrite=True)
    return found


def page_of(
    risk: Risk, scenario: Scenario, title: str, notes: Sequence[str] = (), suggestions: Suggestions | None = None
) -> str:
    """The whole page as text."""
    title = title or f"{risk.nights} night{'s' if risk.nights > 1 else ''} at {risk.places[0].name}"
    pictures = _pictures(risk, scenario.charge_limit)
    verdict = compose(risk, suggestions or risk.suggestions(), charge_limit=scenario.charge_limit, notes=notes)
    style = resources.files(__package__).joinpath("page.css").read_text(encoding="utf-8")
    parts = [
        "<!DOCTYPE html>",
        '<html lang="en"><head><meta charset="utf-8">',
        f'<meta http-equiv="Content-Security-Policy" content="{_POLICY}">',
        '<meta name="viewport" content="width=device-width, initial-scale=1">',
        f"<title>{_text(title)}: will the fridge stay on?</title><style>{style}</style></head><body>",
        f"<h1>{_text(title)}</h1>",
        *(f'<p class="facts">{_text(line)}</p>' for line in heading(risk, "")),
        _warned(verdict),
        *_answers(verdict),
        *(f'<div class="pictures">{"".join(pictures[i : i + 2])}</div>' for i in (0, 2)),
        _assumed(risk),
        _cautions(verdict),
        _all_inputs(risk),
        _again(risk, scenario),
        f'<p class="note">{risk.trials:,} trips played, seed {risk.seed}, ridethrough {__version__}.</p>',
        "</body></html>\n",
    ]
    return "\n".join(part for part in parts if part)


def _pictures(risk: Risk, charge_limit: float | None) -> list[str]:
    """Four pictures of a telephone's width, which stand beside each other where there is room."""
    drawn = [
        draw_charge(risk, "phone", "", short=True, charge_limit=charge_limit),
        draw_survival(risk, {}, "", "phone", "", short=True),
        draw_first_cutout(risk, "phone", "", short=True),
        draw_ledger(risk, "phone", "", short=True),
    ]
    return [f"<figure>{_inline(picture, f'p{i}')}</figure>" for i, picture in enumerate(drawn, 1)]


def _inline(picture: Picture, name: str) -> str:
    """SVG as a part of HTML, which needs no names of its languages and takes the width that it is given."""
    text = picture.svg(name)
    head, _, body = text.partition(">")
    kept = [part for part in _attributes(head) if not part.startswith(("xmlns", "width", "height", "version"))]
    return f"<svg {' '.join(kept)}>{body}"


def _attributes(head: str) -> list[str]:
    """Attributes of a tag, whose values hold no quotation marks."""
    pieces = head.removeprefix("<svg").split('"')
    return [f'{name.strip()}"{value}"' for name, value in zip(pieces[::2], pieces[1::2], strict=False)]


def _warned(verdict: Verdict) -> str:
    inner = "".join(_part(part) for part in verdict.warnings.content)
    return f'<div class="warned">{inner}</div>' if inner else ""


def _answers(verdict: Verdict) -> list[str]:
    """The answer in large type, then what goes with it."""
    parts, rest = [], []
    for section in sorted(verdict.answer, key=lambda one: not one.heading.startswith(_HELP)):  # what helps comes first
        if section.heading == _ANSWER:
            parts.append(f'<div class="answer">{_content(section)}</div>')
        elif section.heading:
            how = f'<p class="note">{_HOW_HELP}</p>' if any(isinstance(part, Rows) for part in section.content) else ""
            rest.append(f"<section><h2>{_text(_sentence(section.heading))}</h2>{how}{_content(section)}</section>")
    return [*parts, f'<div class="columns">{"".join(rest)}</div>']


def _sentence(heading: str) -> str:
    return f"{heading[:1]}{heading[1:].lower()}"


def _content(section: Section) -> str:
    return "".join(_part(part) for part in section.content)


def _part(part: str | tuple[str, str] | Rows) -> str:
    if isinstance(part, str):
        return f"<p>{_text(part.removesuffix(' More: --details.'))}</p>"
    if isinstance(part, Rows):
        rows = "".join(f"<tr><td>{_text(a)}</td><td>{_text(b)}</td></tr>" for a, b in part.rows)
        return f"<table>{rows}</table>"
    label, text = part
    return f'<p><span class="label">{_text(label.strip())}:</span> {_text(text)}</p>'


def _assumed(risk: Risk) -> str:
    """What was given or measured, and the defaults that decide most."""
    inputs = inputs_of(risk.van, risk.trip)
    shown = [one for one in inputs if one.told]
    known, assumed = (sorted(each, key=_order) for each in _parted(shown))
    climate = "".join(
        f"<p>{_text(line)}</p>" for line in climate_lines(risk.places, replayed=risk.trip.weather == "replayed")
    )
    note = (
        f"{len(inputs) - len(shown):,} more inputs are listed by the page on a screen. Where a range is given, "
        "each trip draws from it. Nothing was checked on the van, unless it says measured."
    )
    if any(one.origin == OF_STARTER for one in shown):
        note += " A usual value of a starter file stands there where nobody answered, or somebody answered the same."
    tables = "".join(
        f"<div>{_table(names, inputs)}</div>"
        for names, inputs in (
            (("given or measured", "value", "from"), known),
            (("assumed: a default", "value"), assumed),
        )
    )
    return (
        f'<section class="assumed"><h2>What was assumed, and where it came from</h2>{climate}'
        f'<div class="beside">{tables}</div>'
        f'<p class="note">{_text(note)}</p></section>'
    )


def _order(one: Input) -> tuple[int, bool]:
    return (MEASURED, GIVEN, DEFAULT).index(one.kind), one.usual


def _parted(inputs: Sequence[Input]) -> tuple[list[Input], list[Input]]:
    """What is known of the van and the trip, and what was assumed."""
    known = [one for one in inputs if one.kind != DEFAULT]
    return known, [one for one in inputs if one.kind == DEFAULT]


def _table(names: Sequence[str], inputs: Sequence[Input]) -> str:
    """As many columns as there are names: path, value, origin, source."""

    def row(one: Input) -> str:
        cells = (_path(one.path), _text(one.value), _text(one.origin), _text(one.source))
        return f"<tr>{''.join(f'<td>{cell}</td>' for cell in cells[: len(names)])}</tr>"

    head = "".join(f"<th>{cell}</th>" for cell in names)
    return f"<table><thead><tr>{head}</tr></thead><tbody>{''.join(map(row, inputs))}</tbody></table>"


def _path(path: str) -> str:
    """A dotted path, which may be broken after its dots and underscores."""
    return escape(printable(path)).replace(".", ".<wbr>").replace("_", "_<wbr>")


def _text(text: str) -> str:
    """A text of whatever source, safe in a page; a number keeps its sign of per cent."""
    return escape(printable(text).replace(" %", "\u00a0%"), quote=True)


def _all_inputs(risk: Risk) -> str:
    inputs = sorted(inputs_of(risk.van, risk.trip), key=_order)
    names = ("input", "value", "from", "source of the default")
    return f"<details><summary>All {len(inputs):,} inputs</summary>{_table(names, inputs)}</details>"


def _cautions(verdict: Verdict) -> str:
    return f"<section><h2>Cautions</h2>{_content(verdict.cautions)}</section>"


def _again(risk: Risk, scenario: Scenario) -> str:
    """The scenario, from which the same answer comes again."""
    try:
        text = dump_scenario(scenario)
    except _core.InputError as error:
        why = f"This trip has no scenario file: {error}."
        return f'<section class="screen"><h2>Run it again</h2><p>{_text(why)}</p></section>'
    same = "The same version gives the same numbers."
    if risk.precision == "single":
        same = "This was played in single precision, which the file does not say: the numbers may differ a little."
    link = f"data:text/plain;charset=utf-8,{quote(text)}"
    save = f'<a download="trip.toml" href="{escape(link, quote=True)}">Save this text as trip.toml</a>'
    return (
        f"<details><summary>Run it again</summary><p>{save} and say: <code>ridethrough run trip.toml</code>. "
        f'{same}</p><pre id="scenario">{escape(text)}</pre></details>'
    )

"""The page to hand on: that it fetches nothing, what it says, hostile names, and the scenario in it."""

from __future__ import annotations

import html
import re
import sys
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import unquote

import pytest
import ridethrough as rt
from optional import there
from ridethrough.files.scenario import demo_path, load_scenario
from ridethrough.report.inputs import inputs_of
from ridethrough.report.page import write_page

pytest.importorskip("matplotlib")

DEMO = load_scenario(demo_path())
HOSTILE = '</title><script>alert(1)</script>" onload="alert(2) & <b>$x$</b> \u202e'
VOID = {"meta", "br", "wbr", "path", "use", "rect", "line"}


class Reader(HTMLParser):
    """Tags with their attributes, the text that is seen, and whether all tags are closed."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tags: list[tuple[str, dict[str, str | None]]] = []
        self.text, self.open = "", list[str]()
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.append((tag, dict(attrs)))

    def handle_endtag(self, tag: str) -> None:
        self.text += " "
        if tag not in VOID:
            assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        if not self.open or self.open[-1] not in ("style", "title", "desc"):
            self.text += data


@pytest.fixture(scope="module")
def risk() -> rt.Risk:
    van = DEMO.van.with_measured({"battery.capacity_ah": 141}, "2026-05-01")
    return rt.simulate(van, DEMO.trip, trials=2000, seed=4)


@pytest.fixture(scope="module")
def page(risk: rt.Risk, tmp_path_factory: pytest.TempPathFactory) -> str:
    path = risk.report(tmp_path_factory.mktemp("page") / "trip.html", title="Our five nights")
    return path.read_text(encoding="utf-8")


def said(page: str) -> str:
    return " ".join(Reader(page).text.replace("\u00a0", " ").split())


def test_nothing_is_fetched(page: str) -> None:
    assert "//" not in re.sub(r'content="[^"]*"|<details>.*?</details>', "", page, flags=re.S)  # no address at all
    assert not re.search(r"https?:|@import|url\((?!#)", page)
    for tag, attributes in Reader(page).tags:
        assert tag not in ("script", "link", "iframe", "img", "object", "embed", "base", "form"), tag
        for name, value in attributes.items():
            assert not name.startswith("on")
            if name in ("src", "href", "xlink:href", "action", "srcset"):
                assert str(value).startswith(("#", "data:text/plain")), (tag, value)
    assert "default-src 'none'" in page


def test_it_says_the_chance_its_range_and_what_helps_most(risk: rt.Risk, page: str) -> None:
    text, e = said(page), risk.cutout
    assert f"Chance of a cut-out: {100 * e.value:.0f} % (" in text and "2,000 trips)" in text
    low, high = risk.likely_range
    assert "with the model's error" in text and f"{100 * high:.0f} %" in text and low < e.value
    best = risk.suggestions().tried[0]
    assert text.index("What would help most") < text.index(best.name) < text.index("How many nights?")
    for line in (
        "Our five nights",
        "Greensboro",
        "141 Ah AGM",
        "If it fails",
        "No whole van was measured.",
        "planning aid",
    ):
        assert line in text
    assert "if in doubt, throw it out" in text.lower() and "--details" not in text and "risk.verdict" not in text


def test_each_input_says_where_it_came_from(risk: rt.Risk, page: str) -> None:
    inputs = {one.path: one for one in inputs_of(risk.van, risk.trip)}
    assert inputs["van.battery.capacity_ah"].origin == "measured on 2026-05-01"
    assert inputs["van.solar.rated_w"].origin == "usual value" and inputs["van.solar.rated_w"].value == "220 W"
    assert inputs["van.fridge.cutout_v"].origin == "default" and inputs["van.fridge.cutout_v"].source
    assert inputs["van.loads.heater.set_point_c"].value == "19 degC"
    assert inputs["van.battery.state_of_health"].value == "0.85 to 1, most likely 0.95"
    text = said(page)
    short, _, full = text.partition(f"All {len(inputs)} inputs")
    assert "van.battery.capacity_ah 141 Ah measured on 2026-05-01".replace(" ", "") in short.replace(" ", "")
    assert "van.fridge.cutout_v" in short and all(path in full for path in inputs)
    assert f"{len(inputs) - sum(one.told for one in inputs.values())} more inputs" in short


def test_four_pictures_have_words_and_names_of_their_own(page: str) -> None:
    tags = Reader(page).tags
    pictures = [attributes for tag, attributes in tags if tag == "svg"]
    assert len(pictures) == 4 and all(there(one["aria-label"]) and "viewbox" in one for one in pictures)
    assert all("width" not in one for one in pictures)
    ids = [attributes["id"] for _, attributes in tags if "id" in attributes]
    assert len(ids) == len(set(ids))
    known = {f"#{name}" for name in ids}
    assert all(a["xlink:href"] in known for _, a in tags if "xlink:href" in a)
    assert all(f"#{name}" in known for name in re.findall(r"url\(#([^)]*)\)", page))


def test_the_scenario_in_it_gives_the_same_answer(risk: rt.Risk, page: str, tmp_path: Path) -> None:
    text = html.unescape(there(re.search(r'<pre id="scenario">(.*?)</pre>', page, re.S))[1])
    link = there(re.search(r'href="data:text/plain;charset=utf-8,([^"]*)"', page))[1]
    assert unquote(html.unescape(link)) == text
    (tmp_path / "trip.toml").write_text(text, encoding="utf-8")
    again = load_scenario(tmp_path / "trip.toml")
    assert (again.van, again.trip, again.trials, again.seed) == (risk.van, risk.trip, 2000, 4)
    assert again.title == "Our five nights"
    assert str(again.van.origin("battery.capacity_ah")) == "measured on 2026-05-01"


def scenario_in(page: Path) -> rt.Scenario:
    text = html.unescape(there(re.search(r'<pre id="scenario">(.*?)</pre>', page.read_text(encoding="utf-8"), re.S))[1])
    page.with_suffix(".toml").write_text(text, encoding="utf-8")
    return load_scenario(page.with_suffix(".toml"))


def test_the_scenario_in_it_keeps_its_names_and_the_charge_limit(tmp_path: Path) -> None:
    few = rt.simulate(DEMO.van, DEMO.trip.replace(nights=1), trials=50, precision="single")
    page = few.report(tmp_path / "trip.html", charge_limit="55 %")
    again = scenario_in(page)
    assert (again.charge_limit, again.name, again.title) == (0.55, "trip", "")
    assert "single precision, which the file does not say" in said(page.read_text(encoding="utf-8"))
    write_page(few, page, title=DEMO.title, name=DEMO.name)
    again = scenario_in(page)
    assert (again.charge_limit, again.name, again.title) == (None, DEMO.name, DEMO.title)


def test_a_page_that_cannot_be_written_leaves_the_old_one(
    risk: rt.Risk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    old = tmp_path / "trip.html"
    old.write_text("old", encoding="utf-8")

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr("os.replace", full)
    with pytest.raises(rt.InputError, match="No space left"):
        risk.report(old)
    assert old.read_text(encoding="utf-8") == "old" and [*tmp_path.iterdir()] == [old]


def test_hostile_names_are_text(tmp_path: Path) -> None:
    site = there(DEMO.trip.site)
    climate = there(site.climate).replace(name=HOSTILE, source=f"]]>{HOSTILE}")
    van = DEMO.van.replace(
        loads=[*DEMO.van.loads, rt.Standby(name="</pre><img src=x onerror=alert(3)>", current_a=0.01)]
    )
    trip = DEMO.trip.replace(site=site.replace(climate=climate), nights=2)
    page = rt.simulate(van, trip, trials=50).report(tmp_path / "x.html", title=HOSTILE).read_text(encoding="utf-8")
    reader = Reader(page)
    assert not {"script", "img", "b"} & {tag for tag, _ in reader.tags}
    assert not any(name.startswith("on") for _, attributes in reader.tags for name in attributes)
    assert reader.open == [] and "<script>alert(1)</script>" in reader.text
    assert "\u202e" not in re.sub(r"<pre.*?</pre>", "", page, flags=re.S)  # no mark that turns the text around


def test_what_no_file_can_hold_is_said(tmp_path: Path) -> None:
    pd = pytest.importorskip("pandas")
    days = pd.date_range("2019-01-01", "2020-12-31", freq="D")
    record = pd.DataFrame({"ghi_kwh_m2": 2.0, "temp_min_c": 3.0, "temp_max_c": 11.0}, index=days)
    climate = rt.Climate.from_daily(record, latitude=36.1, longitude=-79.95)
    trip = rt.Trip(site=rt.Site(latitude=36.1, longitude=-79.95, climate=climate), start="2026-11-06 15:00", nights=2)
    text = said(rt.simulate(DEMO.van, trip, trials=50).report(tmp_path / "x.htm").read_text(encoding="utf-8"))
    assert "This trip has no scenario file" in text and "measured hours" in text
    assert text.startswith("2 nights at")  # a title of its own


def test_bad_paths_and_missing_matplotlib(risk: rt.Risk, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with pytest.raises(rt.InputError, match=r"trip.toml'?: allowed a name that ends in \.html"):
        risk.report(tmp_path / "trip.toml")
    with pytest.raises(rt.InputError, match="No such file"):
        risk.report(tmp_path / "nowhere" / "trip.html")
    wrong: Any
    for wrong in (5, "half a \ud800 character"):
        with pytest.raises(rt.InputError, match="title = .*allowed a text"):
            risk.report(tmp_path / "trip.html", title=wrong)
        with pytest.raises(rt.InputError, match="title = .*allowed a text"):
            risk.verdict(title=wrong)
    monkeypatch.setitem(sys.modules, "matplotlib", None)
    with pytest.raises(rt.InputError, match=r"pictures need matplotlib: pip install '\.\[plot\]'"):
        risk.report(tmp_path / "trip.html")

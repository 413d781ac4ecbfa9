"""The page and the sliders in a browser without a display: `.[plot,notebook,long]`, chromium and its driver.

.venv/bin/python tests/long/browser.py [page|sliders]

The page of the demo and one with hostile names are shown at 360 and 1,280 pixels and printed on A4: nothing is fetched,
nothing is wider than the window, the print has two sheets. notebooks/before_a_trip.ipynb is run in JupyterLab, a slider
is moved, and the line below it changes. Screenshots and prints stay in build/browser to be looked at.
"""

from __future__ import annotations

import base64
import re
import secrets
import shutil
import socket
import subprocess
import sys
import tempfile
import time
import warnings
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
KEPT = ROOT / "build" / "browser"
WAIT_S = 240
HOSTILE = '</title><script>document.title="seen"</script>" onload="document.title=1 & <b>$x$</b>'


def missing() -> str:
    """What is not there, and how it is installed."""
    if not shutil.which("chromium") or not shutil.which("chromedriver"):
        return "chromium and chromedriver are needed: apt-get install chromium chromium-driver"
    for module in ("selenium", "matplotlib", "ipywidgets", "jupyterlab"):
        if subprocess.run([sys.executable, "-c", f"import {module}"], capture_output=True).returncode:
            return f"{module} is needed: pip install '.[plot,notebook,long]' in a checkout"
    return ""


@contextmanager
def browser() -> Iterator[Any]:
    from selenium import webdriver

    options = webdriver.ChromeOptions()
    options.binary_location = str(shutil.which("chromium"))
    for word in ("--headless=new", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--hide-scrollbars"):
        options.add_argument(word)
    service = webdriver.ChromeService(executable_path=str(shutil.which("chromedriver")))
    driver = webdriver.Chrome(options=options, service=service)
    try:
        driver.set_page_load_timeout(WAIT_S)
        driver.set_script_timeout(WAIT_S)
        yield driver
    finally:
        driver.quit()


def wait_for(what: str, found: Callable[[], Any]) -> Any:
    """The first true value of a call; AssertionError after a long time."""
    end = time.monotonic() + WAIT_S
    while time.monotonic() < end:
        if value := found():
            return value
        time.sleep(0.5)
    raise AssertionError(f"waited {WAIT_S} s for {what}")


def sized(driver: Any, width: int, height: int = 900) -> None:
    metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": width < 500}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)


def shoot(driver: Any, name: str, *, whole: bool = True) -> None:
    shot = driver.execute_cdp_cmd("Page.captureScreenshot", {"captureBeyondViewport": whole})
    (KEPT / f"{name}.png").write_bytes(base64.b64decode(shot["data"]))


def look_at_page(driver: Any, path: Path) -> None:
    """At both widths, and printed."""
    for width in (360, 1280):
        sized(driver, width)
        driver.get(path.as_uri())
        wide = driver.execute_script("return document.documentElement.scrollWidth")
        assert wide <= width, f"{path.name} is {wide} pixels wide in a window of {width}"
        fetched = driver.execute_script("return performance.getEntriesByType('resource').map(e => e.name)")
        assert fetched == [], fetched
        assert (
            driver.title != "seen" and driver.execute_script("return document.querySelectorAll('script').length") == 0
        )
        text = driver.execute_script("return document.body.innerText")
        assert "Chance of a cut-out" in text and "What would help most" in text
        high = driver.execute_script("return document.documentElement.scrollHeight")
        sized(driver, width, high)
        shoot(driver, f"{path.stem}_{width}")
    sheet = {"paperWidth": 8.27, "paperHeight": 11.69, "preferCSSPageSize": True, "printBackground": True}
    printed = base64.b64decode(driver.execute_cdp_cmd("Page.printToPDF", sheet)["data"])
    (KEPT / f"{path.stem}.pdf").write_bytes(printed)
    sheets = len(re.findall(rb"/Type\s*/Page\b", printed))
    assert sheets == 2, f"{path.name} prints on {sheets} sheets"
    print(f"{path.name}: 360 and 1,280 pixels, nothing fetched, {sheets} sheets of A4")


def check_pages() -> None:
    import ridethrough as rt
    from ridethrough.files.scenario import demo_path, load_scenario

    demo = load_scenario(demo_path())
    warnings.simplefilter("ignore", UserWarning)
    risk = rt.simulate(demo.van, demo.trip, trials=5_000, seed=1)
    site = demo.trip.site
    assert site is not None and site.climate is not None
    trip = demo.trip.replace(site=site.replace(climate=site.climate.replace(name=HOSTILE)), nights=10)
    hostile = rt.simulate(demo.van.replace(mains=rt.MainsCharger()), trip, trials=1_000, seed=1)
    pages = [risk.report(KEPT / "demo.html", title=demo.title), hostile.report(KEPT / "hostile.html", title=HOSTILE)]
    with browser() as driver:
        for page in pages:
            look_at_page(driver, page)


@contextmanager
def laboratory(folder: Path) -> Iterator[str]:
    """JupyterLab on a free port, for this program alone."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    token = secrets.token_hex(16)
    words = ["-m", "jupyterlab", "--no-browser", "--allow-root", f"--port={port}", f"--IdentityProvider.token={token}"]
    log = (KEPT / "jupyterlab.log").open("w")
    server = subprocess.Popen([sys.executable, *words], cwd=folder, stdout=log, stderr=log)
    try:
        wait_for("JupyterLab", lambda: server.poll() is not None or _answers(port))
        assert server.poll() is None, f"JupyterLab stopped: see {log.name}"
        yield f"http://127.0.0.1:{port}/lab/tree/before_a_trip.ipynb?token={token}&reset"
    finally:
        server.terminate()
        server.wait(60)
        log.close()


def _answers(port: int) -> bool:
    with socket.socket() as one:
        return one.connect_ex(("127.0.0.1", port)) == 0


def check_sliders() -> None:
    with tempfile.TemporaryDirectory() as folder, browser() as driver:
        shutil.copy(ROOT / "notebooks" / "before_a_trip.ipynb", folder)
        with laboratory(Path(folder)) as address:
            sized(driver, 1280, 1000)
            driver.get(address)
            _run_all(driver)
            line = ".jp-OutputArea .widget-html-content"
            text = wait_for("the sliders' line", lambda: _text(driver, line))
            before = driver.execute_script("return document.querySelectorAll('.widget-slider').length")
            assert before == 6, f"{before} sliders"
            shoot(driver, "sliders_before", whole=False)
            handle = driver.execute_script(
                "const h = document.querySelectorAll('.widget-slider .noUi-handle')[0];"
                "h.scrollIntoView({block: 'center'}); h.focus(); return h"
            )
            from selenium.webdriver.common.keys import Keys

            handle.send_keys(Keys.ARROW_RIGHT * 4)
            now = wait_for("another line", lambda: (new := _text(driver, line)) != text and new)
            assert "trips" in now and "95 % interval" in now
            shoot(driver, "sliders_after", whole=False)
            print(f"before: {text}\nafter:  {now}")


def _text(driver: Any, where: str) -> str:
    found = f"const e = document.querySelector({where!r}); return e ? e.innerText : ''"
    return str(driver.execute_script(found))


def _run_all(driver: Any) -> None:
    """Run all cells from the menu Run, as a hand would."""
    from selenium.webdriver.common.action_chains import ActionChains

    def element(where: str, text: str) -> Any:
        script = f"return [...document.querySelectorAll({where!r})].find(e => e.innerText.trim() == {text!r})"
        return driver.execute_script(script)

    wait_for("the notebook", lambda: driver.execute_script("return document.querySelectorAll('.jp-Cell').length > 5"))
    wait_for("a kernel", lambda: "Idle" in _text(driver, ".jp-Notebook-ExecutionIndicator") or _idle(driver))
    ActionChains(driver).click(wait_for("the menu", lambda: element(".lm-MenuBar-item", "Run"))).perform()
    item = wait_for("its entry", lambda: element(".lm-Menu-itemLabel", "Run All Cells"))
    ActionChains(driver).click(item).perform()


def _idle(driver: Any) -> bool:
    status = "const e = document.querySelector('[data-status]'); return e ? e.dataset.status : ''"
    return str(driver.execute_script(status)) == "idle"


def main() -> int:
    if lacks := missing():
        print(lacks, file=sys.stderr)
        return 2
    KEPT.mkdir(parents=True, exist_ok=True)
    chosen = sys.argv[1:] or ["page", "sliders"]
    for name in chosen:
        {"page": check_pages, "sliders": check_sliders}[name]()
    print(f"look at {KEPT}")
    return 0


if __name__ == "__main__":
    sys.exit(main())

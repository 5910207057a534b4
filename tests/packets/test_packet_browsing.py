"""The page of a packet in a real browser: on a phone, at a desk, by keyboard and on paper."""

import os
import shutil
from collections.abc import Callable, Iterator
from dataclasses import replace
from decimal import Decimal
from pathlib import Path
from typing import Any

import pypdf
import pytest
from packet_samples import HOSTILE, sample
from swardcost_api.packets.document import Document, Table
from swardcost_api.packets.faces.html_face import html_of
from swardcost_api.packets.formatter import Formatter
from swardcost_model.values import Money

sync_api: Any = pytest.importorskip("playwright.sync_api", reason="no Playwright to drive a browser")

CHROMIUM = shutil.which("chromium")
AXE = Path(os.environ.get("SWARDCOST_AXE", "node_modules/axe-core/axe.min.js"))
REQUIRED = bool(os.environ.get("SWARDCOST_REQUIRE_BROWSER"))
RULES = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
PACKETS: dict[str, Callable[[], Document]] = {
    "plain": sample,
    "hostile": lambda: sample(names=HOSTILE, club=HOSTILE[0]),
    "metric": lambda: sample("fr-CA", metric=True),
}
pytestmark = [
    pytest.mark.skipif(CHROMIUM is None and not REQUIRED, reason="no Chromium"),
    pytest.mark.xdist_group("browser"),
]


@pytest.fixture(scope="module")
def browser() -> Iterator[Any]:
    assert CHROMIUM is not None, "Chromium is required and not installed"
    with sync_api.sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        yield browser
        browser.close()


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    folder = tmp_path_factory.mktemp("pages")
    for name, made in PACKETS.items():
        (folder / f"{name}.html").write_text(html_of(made()), encoding="utf-8")
    return {name: folder / f"{name}.html" for name in PACKETS}


def opened(browser: Any, path: Path, width: int, told: list[str], probing: bool = False) -> Any:
    """The page in a window of that width; what the console says and what is asked of a network is told."""

    def refused(dialog: Any) -> None:
        told.append("a dialog")
        dialog.dismiss()

    page = browser.new_context(viewport={"width": width, "height": 800}, bypass_csp=probing).new_page()
    page.on("console", lambda message: told.append(message.text))
    page.on("pageerror", lambda error: told.append(str(error)))
    page.on("dialog", refused)
    page.on(
        "request",
        lambda request: None if request.url.startswith(("file:", "data:")) else told.append(request.url),
    )
    page.goto(path.as_uri())
    return page


@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("name", PACKETS)
def test_a_page_is_quiet_asks_for_nothing_and_never_scrolls_sideways(
    name: str, width: int, browser: Any, pages: dict[str, Path]
) -> None:
    told: list[str] = []
    page = opened(browser, pages[name], width, told)
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    assert page.evaluate("[...document.images].every(image => image.naturalWidth > 0)")
    assert told == []


@pytest.mark.skipif(not AXE.exists() and not REQUIRED, reason="no axe-core to check with")
@pytest.mark.parametrize("width", [360, 1280])
@pytest.mark.parametrize("name", ["plain", "hostile"])
def test_a_page_has_no_barrier_that_can_be_found_by_rule(
    name: str, width: int, browser: Any, pages: dict[str, Path]
) -> None:
    page = opened(browser, pages[name], width, [], probing=True)
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    page.add_script_tag(content=AXE.read_text(encoding="utf-8"))
    found = page.evaluate("rules => axe.run(document, {runOnly: rules})", RULES)
    assert [(one["id"], one["nodes"][0]["html"]) for one in found["violations"]] == []
    assert len(found["passes"]) > 30


def test_a_figure_leads_to_its_steps_and_back_by_keyboard_alone(browser: Any, pages: dict[str, Path]) -> None:
    page = opened(browser, pages["plain"], 1280, [])
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.className") == "skip"
    page.keyboard.press("Enter")
    assert page.evaluate("document.activeElement.id") == "packet"
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "$33,446.12"
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#why-line-2"
    target = page.locator("#why-line-2")
    assert target.bounding_box()["y"] < 100
    target.locator(".back a").first.focus()
    page.keyboard.press("Enter")
    assert page.evaluate("location.hash") == "#at-2-1"


def test_a_table_that_is_wider_than_the_phone_is_scrolled_by_keyboard(
    browser: Any, pages: dict[str, Path]
) -> None:
    page = opened(browser, pages["plain"], 360, [])
    region = page.locator(".wide:has(#lines)")
    assert region.evaluate("one => one.scrollWidth > one.clientWidth")
    region.focus()
    page.keyboard.press("ArrowRight")
    for _ in range(100):
        if region.evaluate("one => one.scrollLeft") > 0:
            return
        page.wait_for_timeout(50)
    raise AssertionError("the table did not move")


def test_a_caption_stays_within_a_phone_while_its_table_is_scrolled(browser: Any, tmp_path: Path) -> None:
    document = sample()
    longer = "Itemised direct cost of all the work that the committee is asked for, by item and by vendor"
    parts = [
        replace(part, caption=longer) if isinstance(part, Table) and part.id == "lines" else part
        for part in document.parts
    ]
    (tmp_path / "long.html").write_text(html_of(replace(document, parts=tuple(parts))), encoding="utf-8")
    page = opened(browser, tmp_path / "long.html", 360, [])
    region, caption = page.locator(".wide:has(#lines)"), page.locator("#lines-caption bdi")
    assert caption.text_content() == longer
    for scrolled in (0, 200):
        region.evaluate("(one, left) => one.scrollLeft = left", scrolled)
        assert region.evaluate("one => one.scrollLeft") == scrolled
        box = caption.bounding_box()
        assert box["x"] >= 0
        assert box["x"] + box["width"] <= 360


def test_a_page_prints_its_tables_whole_with_their_heads_again(
    browser: Any, pages: dict[str, Path], tmp_path: Path
) -> None:
    page = opened(browser, pages["plain"], 1280, [])
    page.pdf(path=tmp_path / "print.pdf", format="Letter")
    sheets = [sheet.extract_text() for sheet in pypdf.PdfReader(tmp_path / "print.pdf").pages]
    with_lines = [sheet for sheet in sheets if "1520-" in sheet]
    assert len(with_lines) > 1
    assert all("Unit price" in sheet and "Account" in sheet for sheet in with_lines)
    assert all(f"1520-{number:02d}" in "".join(with_lines) for number in range(24))
    # What is folded on the screen is open on paper: the table of the chart.
    assert sum(sheet.count("Direct cost by group") for sheet in sheets) == 2


@pytest.mark.parametrize("locale", ["en-US", "en-CA", "fr-CA", "de-DE", "es-MX", "ja-JP"])
def test_numbers_are_written_as_the_browser_writes_them_for_that_country(locale: str, browser: Any) -> None:
    """The browser has the same tables (CLDR) from another hand (ICU)."""
    page, formatter = browser.new_page(), Formatter(locale)
    for currency in ("USD", "CAD", "MXN", "EUR", "JPY", "GBP"):
        for text in ("-1234", "0", "9999999"):
            amount = Money.model_validate({"amount": text, "currency": currency})
            written = page.evaluate(
                "([l, v, c]) => new Intl.NumberFormat(l, {style: 'currency', currency: c}).format(v)",
                [locale, text, currency],
            )
            assert formatter.money(amount) == written
    for text in ("1234567.891", "-0.5", "1000"):
        written = page.evaluate("([l, v]) => new Intl.NumberFormat(l).format(v)", [locale, text])
        assert formatter.number(Decimal(text)) == written
    percent = "v => new Intl.NumberFormat(v, {style: 'percent', minimumFractionDigits: 2}).format(0.0725)"
    assert formatter.percent(Decimal("7.25")) == page.evaluate(percent, locale)

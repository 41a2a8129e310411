"""The page in a real browser, where one is installed: nothing is asked for, nothing sticks out, it prints."""

from __future__ import annotations

import io
import re
import shutil
import subprocess
from pathlib import Path

import numpy as np
import pypdf
import pytest
import soundfile

from benchvoice.report import Format, build, write
from benchvoice.report.clips import cut
from benchvoice.report.pack import write_pack
from tests.report.records import FIXED, demo, engine

BROWSER = next(
    (path for name in ("chromium", "chromium-browser", "google-chrome") if (path := shutil.which(name))), None
)
pytestmark = [pytest.mark.skipif(BROWSER is None, reason="no Chromium is installed"), pytest.mark.slow]
FLAGS = ("--headless", "--no-sandbox", "--disable-gpu", "--allow-file-access-from-files", "--virtual-time-budget=4000")
PROBE = """<!doctype html><title>?</title>
<iframe id=f src="{page}" style="width:{width}px;height:900px;border:0"></iframe>
<script>onload=()=>{{const d=document.getElementById('f').contentDocument;
document.title=JSON.stringify([d.documentElement.scrollWidth,
 f.contentWindow.performance.getEntriesByType('resource').length,
 d.querySelectorAll('script').length,
 [...d.querySelectorAll('p,li')].filter(e=>e.getBoundingClientRect().right>{width}+1).length]);}}</script>"""


def _run(*arguments: str, cwd: Path) -> str:
    done = subprocess.run(
        [str(BROWSER), *FLAGS, f"--user-data-dir={cwd / 'profile'}", *arguments],
        cwd=cwd, capture_output=True, text=True, timeout=120, check=True,
    )  # fmt: skip
    return done.stdout


@pytest.fixture(scope="module")
def page(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("page")
    return write(build(demo(), engine(), None, options=FIXED), folder, [Format.HTML])[0]


@pytest.mark.parametrize("width", [360, 390, 768, 1280])
def test_nothing_sticks_out_and_nothing_is_fetched(page: Path, width: int) -> None:
    (page.parent / "probe.html").write_text(PROBE.format(page=page.name, width=width))
    dom = _run("--dump-dom", f"file://{page.parent / 'probe.html'}", cwd=page.parent)
    found = re.search(r"<title>\[(\d+),(\d+),(\d+),(\d+)\]</title>", dom)
    assert found, dom[:300]
    scroll, fetched, scripts, outside = map(int, found.groups())
    assert scroll <= width
    assert fetched == 0
    assert scripts == 0
    assert outside == 0


def test_it_prints_with_headings_on_every_page_of_a_table(page: Path) -> None:
    _run("--no-pdf-header-footer", "--print-to-pdf=page.pdf", f"file://{page}", cwd=page.parent)
    reader = pypdf.PdfReader(io.BytesIO((page.parent / "page.pdf").read_bytes()))
    texts = [" ".join(sheet.extract_text().split()) for sheet in reader.pages]
    assert "USED. Not new, not rebuilt" in texts[0]
    assert 3 <= len(texts) <= 20
    measured = [text for text in texts if "Diameter" in text and "Cylinder bore" in text and "In other units" in text]
    assert measured


@pytest.mark.parametrize("size", ["1200,1600", "500,1600"])
def test_it_is_painted(page: Path, size: str) -> None:
    image = pytest.importorskip("PIL.Image")
    _run(f"--window-size={size}", "--hide-scrollbars", "--screenshot=shot.png", f"file://{page}", cwd=page.parent)
    with image.open(page.parent / "shot.png") as shot:
        colours = shot.convert("L").getextrema()
        assert shot.size == tuple(map(int, size.split(",")))
    assert colours[0] < 80
    assert colours[1] > 200


CLIP_PROBE = """<!doctype html><title>?</title><iframe id=f src="{page}"></iframe>
<script>onload=()=>{{const a=document.getElementById('f').contentDocument.querySelector('audio');
a.onloadedmetadata=()=>document.title='plays '+a.duration.toFixed(1);
a.onerror=()=>document.title='fails '+(a.error&&a.error.message);a.preload='auto';a.load();}}</script>"""


def test_the_clips_of_a_pack_play_in_the_page(tmp_path: Path) -> None:
    """Real FLAC, in the real browser, under the page's own content rules."""
    record = demo()
    sound = record.sittings["s1"].sounds[0]
    path = tmp_path / sound.path
    path.parent.mkdir(parents=True)
    soundfile.write(path, np.random.default_rng(1).normal(0, 0.05, int(sound.seconds * 16000)), 16000)
    report = build(record, engine(), None, options=FIXED)
    pack = write_pack(report, tmp_path, clips=cut(report.evidence, record, tmp_path), as_zip=False)
    (pack / "probe.html").write_text(CLIP_PROBE.format(page="QF-114-report.html"))
    # Sound loads in real time, the page has a clock of its own: on a busy machine it may be over too soon.
    for _ in range(4):
        dom = _run("--dump-dom", f"file://{pack / 'probe.html'}", cwd=tmp_path)
        found = re.search(r"<title>(.*?)</title>", dom)
        assert found
        if found.group(1) != "?":
            break
    assert found.group(1).startswith("plays "), found.group(1)

"""The page in a real browser, by keyboard and pointer: a style is written, mended, saved, changed behind its back, left and taken up again;
and a page of another origin that would reach the desk."""

import http.server
import os
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest
from desks import BELT, free_port

import tapeline
from paper.browsing import start

PATIENCE = 25  # seconds


class Desk:
    """The desk as a process, to be killed and started again, and the browser that looks at it."""

    def __init__(self, folder):
        self.folder, self.driver, self.port = folder, None, str(free_port())
        self.process = self.address = None
        self.serve()

    def serve(self):
        environment = {
            **os.environ,
            "PYTHONPATH": str(Path(tapeline.__file__).parents[1]),
            "XDG_CACHE_HOME": str(self.folder.parent / "cache"),
        }
        words = [sys.executable, "-m", "tapeline.desk.cli", "open", "belt.style", "--for", "nell", "--no-browser", "--port", self.port]
        self.process = subprocess.Popen(words, cwd=self.folder, env=environment, stdout=subprocess.PIPE, text=True)
        self.address = self.process.stdout.readline().split()[-1]

    def kill(self):
        self.process.send_signal(signal.SIGKILL)
        self.process.wait()

    def run(self, script, *args):
        return self.driver.execute_script(script, *args)

    def shadow(self, script):
        """Something of the editor that is in front."""
        return self.run(f"const root = document.querySelector('.editor:not([hidden])')?.shadowRoot; return root && ({script})")

    def text(self):
        """The text as the page has it, of which only lines in sight are in the document: so it is kept short here."""
        return self.shadow("[...root.querySelectorAll('.cm-line')].map((line) => [...line.childNodes].filter((part) =>"
                           " !part.classList?.contains('value')).map((part) => part.textContent).join('')).join('\\n')")  # fmt: skip

    def words(self, id):
        return self.run("return document.getElementById(arguments[0]).textContent", id)

    def until(self, holds, what):
        end = time.monotonic() + PATIENCE
        while time.monotonic() < end:
            if holds():
                return
            time.sleep(0.05)
        raise AssertionError(f"{what}: {self.words('status')} | {self.words('messages-list')} | {self.words('notice')}\n{self.text()}")

    def keys(self, *keys):
        from selenium.webdriver import ActionChains

        ActionChains(self.driver).send_keys(*keys).perform()

    def chord(self, held, key):
        from selenium.webdriver import ActionChains

        ActionChains(self.driver).key_down(held).send_keys(key).key_up(held).perform()

    def press(self, words):
        """Press a button; once more where what it stands in was told anew meanwhile."""
        from selenium.common.exceptions import StaleElementReferenceException

        def pressed():
            (button,) = self.driver.find_elements("xpath", f'//*[@id="notice" or @id="tabs"]//button[text()="{words}"]')
            try:
                button.click()
            except StaleElementReferenceException:
                return False
            return True

        self.until(pressed, words)

    def faults(self):
        """What the browser complained of, but for the socket while the server was away."""
        return [entry["message"] for entry in self.driver.get_log("browser") if "/language?token" not in entry["message"]]


@pytest.fixture
def desk(tmp_path):
    folder = tmp_path / "home"
    folder.mkdir()
    (folder / "belt.style").write_text(BELT)
    one = Desk(folder)
    try:
        one.driver = start(1280, 800)
        one.driver.get(one.address)
        one.until(lambda: one.words("messages-count") == "The text is in order.", "opened")
        yield one
    finally:
        if one.driver is not None:
            one.driver.quit()
        one.process.kill()
        one.process.wait()


def test_a_style_is_written_saved_and_taken_up_again(desk):
    from selenium.webdriver.common.keys import Keys

    file = desk.folder / "belt.style"
    assert desk.text() == BELT.rstrip("\n") + "\n"
    assert desk.words("status") == "Saved." and desk.shadow("root.activeElement?.classList.contains('cm-content')")
    # a mistake is typed, told, and mended by the way out that stands beside it
    desk.chord(Keys.CONTROL, Keys.END)
    desk.keys("wide = wiast / 2\n")
    desk.until(lambda: "1 mistake." in desk.words("messages-count"), "the mistake is told")
    assert "line 9" in desk.words("messages-list") and "wiast" in desk.words("messages-list")
    desk.until(lambda: "Not saved; kept beside the file." in desk.words("status"), "the text is kept")
    assert file.read_text() == BELT and len(list(desk.folder.glob(".belt.style.*.unsaved"))) == 1
    desk.keys(Keys.ARROW_UP)
    desk.chord(Keys.CONTROL, ".")
    desk.until(lambda: desk.words("messages-count") == "The text is in order.", "the mistake is mended")
    mended = f"{BELT}wide = waist / 2\n"
    assert desk.text() == mended
    # a reload, and a server that is killed while the author writes on, take nothing away
    desk.driver.refresh()
    desk.until(lambda: desk.text() == mended and "taken up" in desk.words("status"), "taken up after a reload")
    desk.kill()
    desk.until(lambda: "server is away" in desk.words("status"), "the server is away")
    desk.chord(Keys.CONTROL, Keys.END)
    desk.keys("-- alone")
    desk.until(lambda: "kept in this browser" in desk.words("status"), "kept in the browser")
    desk.serve()
    desk.until(lambda: "kept beside the file" in desk.words("status"), "taken up by the new server")
    assert desk.text() == f"{mended}-- alone"
    # saved by the keyboard, as it stands
    desk.chord(Keys.CONTROL, "s")
    desk.until(lambda: file.read_text() == f"{mended}-- alone", "saved")
    desk.until(lambda: not list(desk.folder.glob(".belt*")), "the copy goes when the text is saved")
    # a change on the disk is taken over where nothing is unsaved, and told where something is
    file.write_text(BELT)
    desk.until(lambda: desk.text() == BELT and "changed on the disk" in desk.words("status"), "taken over")
    desk.chord(Keys.CONTROL, Keys.END)
    desk.keys("-- mine")
    theirs = BELT.replace("4 cm", "7 cm")
    file.write_text(theirs)
    desk.until(lambda: "changed on the disk while you wrote" in desk.words("notice"), "the conflict is told")
    desk.chord(Keys.CONTROL, "s")
    desk.until(lambda: "changed on the disk while you wrote" in desk.words("notice"), "and nothing is saved over it")
    assert file.read_text() == theirs
    desk.press("Keep mine as...")
    desk.until(lambda: desk.run("return document.querySelector('#notice input')?.value") == "belt_mine", "a name is asked")
    desk.keys(Keys.ENTER)
    desk.until(lambda: (desk.folder / "belt_mine.style").is_file(), "mine is kept under its name")
    assert (desk.folder / "belt_mine.style").read_text() == f"{BELT}-- mine" and file.read_text() == theirs
    desk.until(lambda: desk.run("return document.getElementById('texts').selectedOptions[0].text") == "belt_mine.style", "and is open")
    # the frame by keyboard: parts in turn, the divider, the keys; and what a screen reader is told
    desk.keys(Keys.F6)
    assert desk.run("return document.activeElement.id") == "right"
    desk.run("document.getElementById('divider').focus()")
    before = int(desk.run("return document.getElementById('divider').getAttribute('aria-valuenow')"))
    desk.keys(Keys.ARROW_RIGHT)
    assert int(desk.run("return document.getElementById('divider').getAttribute('aria-valuenow')")) == before + 2
    desk.keys(Keys.F1)
    assert "Ctrl+S" in desk.words("help") and desk.run("return document.getElementById('help').open")
    desk.keys(Keys.ESCAPE)
    nameless = desk.run(
        "return [...document.querySelectorAll('button, select, input, [role=separator], section')].filter((one) =>"
        " !(one.textContent.trim() || one.getAttribute('aria-label') || one.getAttribute('aria-labelledby') || one.labels?.length))"
        ".map((one) => one.outerHTML)"
    )
    assert nameless == [] and desk.run("return document.querySelectorAll('main').length") == 1
    # on a tablet held upright, one part at a time
    desk.driver.set_window_size(768, 1024)
    shown = "return ['writing', 'right', 'below'].filter((id) => document.getElementById(id).offsetWidth > 0)"
    desk.until(lambda: desk.run(shown) == ["writing"], "one part on a tablet")
    desk.press("Drawing")
    assert desk.run(shown) == ["right"]
    assert desk.run("return document.documentElement.scrollWidth <= document.documentElement.clientWidth")
    assert desk.faults() == []


ATTACK = """<!doctype html><title>waiting</title><script>
const at = "%s", told = {};
const tries = {
  read: () => fetch(at + "/"),
  quietly: () => fetch(at + "/desk.js", {mode: "no-cors"}),
  post: () => fetch(at + "/", {method: "POST", body: "x=1", mode: "no-cors"}),
  image: () => new Promise((yes, no) => Object.assign(new Image(), {onload: yes, onerror: no, src: at + "/mark.svg"})),
  script: () => new Promise((yes, no) => document.head.append(Object.assign(document.createElement("script"),
    {onload: yes, onerror: no, src: at + "/desk.js"}))),
  socket: () => new Promise((yes, no) => Object.assign(new WebSocket(at.replace("http", "ws") + "/language?token=%s"),
    {onopen: yes, onerror: no})),
  frame: () => new Promise((yes, no) => { const f = document.createElement("iframe"); f.src = at + "/#%s";
    f.onload = () => { let seen; try { seen = f.contentDocument && f.contentDocument.getElementById("desk"); } catch (e) { seen = null; }
      (seen || f.contentWindow.length ? yes : no)(); }; document.body.append(f); }),
};
addEventListener("load", async () => {
  for (const name in tries) told[name] = await tries[name]().then((a) => a && a.type === "opaque" ? "opaque" : "reached", () => "kept out");
  window.told = told; document.title = "done";
});
</script><body></body>"""


def test_a_page_of_another_origin_reaches_nothing(desk):
    """Even where it knows the token."""
    own, token = desk.address.split("/#")
    page = (ATTACK % (own, token, token)).encode()

    class Elsewhere(http.server.BaseHTTPRequestHandler):
        def do_GET(self):
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(page)

        def log_message(self, *args):
            pass

    other = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Elsewhere)
    threading.Thread(target=other.serve_forever, daemon=True).start()
    try:
        desk.driver.get(f"http://127.0.0.1:{other.server_port}/")
        end = time.monotonic() + PATIENCE
        while desk.driver.title != "done" and time.monotonic() < end:
            time.sleep(0.05)
        assert desk.run("return window.told") == {
            "read": "kept out",
            "quietly": "kept out",
            "post": "kept out",
            "image": "kept out",
            "script": "kept out",
            "socket": "kept out",
            "frame": "kept out",
        }
        form = f'data:text/html,<form method="post" action="{own}/"><input name="x" value="1"></form>'
        desk.driver.get(form)
        desk.run("document.forms[0].submit()")
        time.sleep(0.3)
        assert "desk" not in desk.run("return document.body.id + [...document.querySelectorAll('main')].map((one) => one.id)")
    finally:
        other.shutdown()
        other.server_close()

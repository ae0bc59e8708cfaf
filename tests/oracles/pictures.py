"""The pictures of the README, made from the demos: a finding in a terminal and in an editor as SVG, a piece of the manual and the tablet
as PNG, in site/pictures.

Without arguments: are they what comes out today? The SVGs are made again and must be the same bytes; where Neovim has another version than
the one that was drawn, the same text. No pixel is compared, because typefaces differ between machines: beside each PNG stands the
digest of the page that it was taken from. With --write everything is made anew.

The programs run in a pseudo terminal, whose screen pyte reads as ECMA-48 says.
"""

import hashlib
import json
import os
import pathlib
import pty
import re
import select
import shutil
import signal
import struct
import subprocess
import sys
import tempfile
import time
from xml.sax.saxutils import escape

import fcntl
import pyte
import termios

TOP = pathlib.Path(__file__).resolve().parents[2]
PICTURES = TOP / "site" / "pictures"
FITWRIGHT = os.path.abspath(os.environ["FITWRIGHT"])
OUT = pathlib.Path(os.environ["FITWRIGHT_OUT"]) / "kestrel-rack"
WRITE = "--write" in sys.argv
AGAIN = "make them anew: FITWRIGHT=… FITWRIGHT_OUT=… python3 tests/oracles/pictures.py --write"
LARGEST = 150_000

# One edit of the demo: a rail of 46 mm has no pads any more.
EDIT = ("    46 mm to 53 mm {", "    47 mm to 53 mm {")


# What a program asks the terminal, which pyte takes for text: DCS strings, requests of modes, private sequences (ECMA-48, xterm's ctlseqs).
ASKED = re.compile(rb"\x1bP.*?\x1b\\|\x1b\[[?>=<]?[0-9;]*\$p|\x1b\[[>=<][0-9;]*[A-Za-z]", re.S)


def shown(data, columns, rows):
    screen = pyte.Screen(columns, rows)
    pyte.ByteStream(screen).feed(ASKED.sub(b"", data))
    return screen


def screen_of(command, columns, rows, environment, until):
    """The screen of a program in a terminal, when it has ended or `until` says so of its text and nothing more comes."""
    pid, terminal = pty.fork()
    if pid == 0:
        os.chdir(environment["HOME"])
        os.execve(command[0], command, environment)
    fcntl.ioctl(terminal, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))
    data, end, quiet = b"", time.monotonic() + 120, 0.0
    while time.monotonic() < end:
        ready, _, _ = select.select([terminal], [], [], 0.25)
        if not ready:
            quiet += 0.25
            if quiet >= 2 and until is not None and until("\n".join(shown(data, columns, rows).display)):
                break
            continue
        try:
            more = os.read(terminal, 65536)
        except OSError:  # Linux says so when the other end is closed.
            break
        if not more:
            break
        data, quiet = data + more, 0.0
    try:
        os.kill(pid, signal.SIGTERM)
    except ProcessLookupError:
        pass
    os.waitpid(pid, 0)
    os.close(terminal)
    return shown(data, columns, rows)


# Cells in user units; each run of text is set to the width of its cells, whatever face there is.
WIDE, HIGH, EDGE = 8, 17, 14
STYLE = """
rect.ground { fill: #fff; stroke: #b9c2c7; }
text { font: 13px ui-monospace, "DejaVu Sans Mono", "Liberation Mono", Menlo, Consolas, monospace; fill: #15191d; white-space: pre; }
.bold { font-weight: 700; } .line { text-decoration: underline; }
.red { fill: #b00020; } .brown { fill: #8a4b00; } .cyan { fill: #0b6470; } .blue { fill: #1c4fa0; } .green { fill: #2a6b1f; } .magenta { fill: #7a2a8c; } .quiet { fill: #5b666d; }
@media (prefers-color-scheme: dark) {
rect.ground { fill: #151b1e; stroke: #3d484d; }
text { fill: #e9eef0; }
.red { fill: #ff8a8f; } .brown { fill: #ffb65c; } .cyan { fill: #7cc6cf; } .blue { fill: #8fb8ff; } .green { fill: #9fd48f; } .magenta { fill: #dfa3ee; } .quiet { fill: #a7b2b8; }
}
"""


def classes(cell):
    colour = {"default": "", "black": "", "brightblack": "quiet"}.get(cell.fg, cell.fg)
    names = [colour, "bold" if cell.bold else "", "line" if cell.underscore else ""]
    return " ".join(name for name in names if name)


def svg(screen, columns, title, said):
    rows = [line.rstrip() for line in screen.display]
    while rows and not rows[-1]:
        rows.pop()
    width, height = columns * WIDE + 2 * EDGE, len(rows) * HIGH + 2 * EDGE
    out = [f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {width} {height}" width="{width}" height="{height}" role="img" aria-labelledby="t d">',
           f'<title id="t">{escape(title)}</title>', f'<desc id="d">{escape(said)}</desc>', f"<style>{STYLE}</style>",
           f'<rect class="ground" x=".5" y=".5" width="{width - 1}" height="{height - 1}" rx="6"/>']
    for at, row in enumerate(rows):
        runs = []
        for column in range(len(row)):
            cell = screen.buffer[at][column]
            # A blank takes the look of what stands before it, so that words stay together.
            look = runs[-1][1] if runs and cell.data == " " and not cell.underscore and "line" not in runs[-1][1] else classes(cell)
            if runs and runs[-1][1] == look:
                runs[-1][2] += cell.data
            else:
                runs.append([column, look, cell.data])
        for column, look, text in runs:
            lead = len(text) - len(text.lstrip(" "))
            text, column = text.strip(" "), column + lead
            if not text:
                continue
            kind = f' class="{look}"' if look else ""
            x, y = EDGE + column * WIDE, EDGE + at * HIGH + 13
            out.append(f'<text x="{x}" y="{y}" textLength="{len(text) * WIDE}" lengthAdjust="spacingAndGlyphs"{kind}>{escape(text)}</text>')
    return "\n".join(out) + "\n</svg>\n"


def text_of(picture):
    """The words of a picture, without where they stand and in which colour."""
    return " ".join(" ".join(re.findall(r"<text[^>]*>([^<]*)</text>", picture)).split())


def environment_of(home):
    kept = {"PATH": os.environ["PATH"], "HOME": home, "LANG": "C.UTF-8", "LC_ALL": "C.UTF-8", "TERM": "xterm-256color"}
    return kept | {f"XDG_{name}_HOME": home for name in ("CONFIG", "DATA", "STATE", "CACHE")}


def terminal(home):
    columns = 93
    command = ["/bin/sh", "-c", f"printf '$ fitwright check kestrel-rack.fitw\\r\\n'; exec '{FITWRIGHT}' check kestrel-rack.fitw"]
    screen = screen_of(command, columns, 60, environment_of(home) | {"COLUMNS": str(columns)}, None)
    assert "FW0401" in "\n".join(screen.display), "\n".join(screen.display)
    return svg(screen, columns, "A finding in a terminal", "fitwright check says that no branch takes a rail of 46 mm, shows the place, why it matters, what to write, and one case to replay.")


def editor(home):
    columns = 100
    page = (TOP / "site/editors.md").read_text(encoding="utf-8")
    syntax = pathlib.Path(home) / "fitwright.vim"
    syntax.write_text(re.search(r"```vim\n(.*?)```", page, re.S).group(1), encoding="utf-8")
    more = {"PICTURE_SERVER": FITWRIGHT, "PICTURE_FILE": f"{home}/kestrel-rack.fitw", "PICTURE_SYNTAX": str(syntax), "PICTURE_LINE": "choose rail-width"}
    command = [shutil.which("nvim"), "-u", "NONE", "-i", "NONE", "-n", "-S", str(TOP / "tests/oracles/_pictures.lua")]
    screen = screen_of(command, columns, 24, environment_of(home) | more, lambda text: "FW0401" in text)
    assert "FW0401" in "\n".join(screen.display), "\n".join(screen.display)
    return svg(screen, columns, "The same finding in an editor", "Neovim with fitwright server: the branch that misses a value is underlined, and the finding stands beside it.")


def neovim():
    return subprocess.run(["nvim", "--version"], capture_output=True, text=True, check=True).stdout.split("\n")[0]


def digest(path):
    return hashlib.sha256(path.read_bytes()).hexdigest()


def main():
    pages = {"manual.png": OUT / "manual.html", "tablet.png": OUT / "job.html"}
    with tempfile.TemporaryDirectory() as home:
        text = (TOP / "procedures/kestrel-rack.fitw").read_text(encoding="utf-8")
        assert text.count(EDIT[0]) == 1, "the demo has no such line any more"
        (pathlib.Path(home) / "kestrel-rack.fitw").write_text(text.replace(*EDIT), encoding="utf-8")
        shutil.copytree(TOP / "procedures/figures", pathlib.Path(home) / "figures")
        drawn = {"finding.svg": terminal(home), "editor.svg": editor(home)}
    listed = PICTURES / "made-from.json"
    now = {"neovim": neovim()} | {name: digest(page) for name, page in pages.items()}
    if WRITE:
        PICTURES.mkdir(exist_ok=True)
        for name, picture in drawn.items():
            (PICTURES / name).write_text(picture, encoding="utf-8")
        subprocess.run(["node", str(TOP / "tests/oracles/_pictures.cjs"), str(OUT), str(PICTURES)], check=True)
        listed.write_text(json.dumps(now, indent=2) + "\n", encoding="utf-8")
    before = json.loads(listed.read_text(encoding="utf-8"))
    faults = []
    for name, picture in drawn.items():
        kept = (PICTURES / name).read_text(encoding="utf-8")
        is_same = kept == picture
        if not is_same and name == "editor.svg" and before["neovim"] != now["neovim"]:
            is_same = text_of(kept) == text_of(picture)
        if not is_same:
            faults.append(f"{name} is not what comes out today")
    faults += [f"{name} was taken from another {page.name}" for name, page in pages.items() if before[name] != now[name]]
    for name in [*drawn, *pages]:
        size = (PICTURES / name).stat().st_size
        if size > LARGEST:
            faults.append(f"{name} has {size} bytes, more than {LARGEST}")
        if f"](site/pictures/{name})" not in (TOP / "README.md").read_text(encoding="utf-8"):
            faults.append(f"the README does not show {name}")
    for fault in faults:
        print(f"{fault}; {AGAIN}" if "README" not in fault else fault)
    print(f"{len(drawn) + len(pages)} pictures, {len(faults)} faults")
    sys.exit(1 if faults else 0)


main()

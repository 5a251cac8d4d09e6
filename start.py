#!/usr/bin/env python3
"""One command for everything: set up, show, build, test, measure and lend the course.

Only the standard library is used, and the file parses on Python 3.6: an old Python then says which one is
needed instead of stumbling over the grammar. Nothing here knows what is inside the course.
"""

import hashlib
import http.server
import importlib
import importlib.util
import os
import re
import shutil
import signal
import socket
import socketserver
import subprocess
import sys
from pathlib import Path

OLDEST = (3, 11)
NEEDED = "%d.%d" % OLDEST
ROOT = Path(__file__).resolve().parent
VENV = ROOT / ".venv"
PYTHON = VENV / ("Scripts/python.exe" if os.name == "nt" else "bin/python")
CONSTRAINTS = ROOT / ".ci" / "constraints.txt"
MARKER = VENV / "quizgen-is-set-up"
"""What stands in .venv: UNFINISHED while it is being filled, then the marks of what was put into it."""
UNFINISHED = "unfinished\n"
SITE = ROOT / "site"
BUILT = ROOT / ".cache" / "site-built-from"
"""State of the sources from which site/ was last built without a fault."""
PORTS = range(8000, 8100)

HELP = """\
python3 start.py          show the course on this computer; what you change appears as you save it
python3 start.py build    write the finished course into the folder site
python3 start.py lend     let phones and PCs on the shop's network read the finished course
python3 start.py test     check everything, the pages in a real browser too
python3 start.py bench    measure speed and size
python3 start.py help     this page

Any other word goes to quizgen as it stands, for example

python3 start.py check          look through the question bank for faults
python3 start.py check --help   what check can do

On Windows write "py start.py". The first start sets up a Python environment of its own in the
folder .venv: this takes a minute or two and needs the network once. Ctrl-C ends what runs."""


class Stop(Exception):
    """Ends the run with exit code 1 and a sentence that says what is wrong and what to do."""


def say(text, out):
    """Print at once, so that our lines and those of the programs we start keep their order."""
    print(text, file=out, flush=True)


# -- which word does what -------------------------------------------------------------------------------


def main(words):
    """Do what the words ask for; returns the exit code."""
    if sys.version_info < OLDEST:
        say(too_old(sys.version_info, sys.executable), sys.stderr)
        return 1
    for out in (sys.stdout, sys.stderr):
        if hasattr(out, "reconfigure"):
            out.reconfigure(errors="replace")  # a console without some letter still gets the rest
    try:
        return route(words)
    except Stop as stop:
        say(str(stop), sys.stderr)
        return 1
    except KeyboardInterrupt:
        say("", sys.stderr)
        return 130


def too_old(version, executable):
    """The sentence for a Python that is too old; version is a tuple that opens with major, minor."""
    return (
        f"quizgen needs Python {NEEDED} or newer; this is Python {version[0]}.{version[1]} ({executable}). "
        f"Install a newer Python and start again with it, for example: python{NEEDED} start.py"
    )


def route(words):
    """Words of ours are done here; all others go to quizgen, unchanged."""
    if not words:
        return serve()
    first, rest = words[0], words[1:]
    if first in ("help", "-h", "--help"):
        say(HELP, sys.stdout)
        return 0
    if first in ("build", "lend"):
        if rest:
            raise Stop(f'"{first}" stands alone, but was followed by "{" ".join(rest)}": leave that out.')
        return build() if first == "build" else lend()
    if first == "test":
        return test(rest)
    if first == "bench":
        return bench(rest)
    return hand_on(words)


def serve():
    """Show the course on this computer only, and build it again whenever a file is saved."""
    prepare("run", sys.stdout)
    port = free_port("127.0.0.1", PORTS)
    say(f"\nThe course opens at http://127.0.0.1:{port}/ when it is built. Ctrl-C ends it.\n", sys.stdout)
    try:
        return run([PYTHON, "-m", "mkdocs", "serve", "--dev-addr", f"127.0.0.1:{port}"])
    except KeyboardInterrupt:
        return 0


def build():
    """Write site/; a warning counts as a fault."""
    prepare("run", sys.stdout)
    if BUILT.exists():
        BUILT.unlink()
    state = sources_state(ROOT)
    code = run([PYTHON, "-m", "mkdocs", "build", "--strict", "--site-dir", SITE])
    if code == 0:
        BUILT.parent.mkdir(parents=True, exist_ok=True)
        BUILT.write_text(state, encoding="utf-8")
        say("\nThe course is built: open site/index.html.", sys.stdout)
    return code


def test(arguments):
    """Lint, then every test; further arguments go to pytest. Fails when either finds a fault."""
    browser = chromium(sys.stdout)
    prepare("test", sys.stdout)
    say("\nReading the code (ruff)", sys.stdout)
    lint = run([PYTHON, "-m", "ruff", "check", "quizgen", "tests", "start.py"])
    if lint:
        say("ruff found faults, see above. The tests run all the same, but this run has failed.", sys.stdout)
    say("\nRunning the tests (pytest)", sys.stdout)
    tests = [PYTHON, "-m", "pytest", "-n", "2", "--dist", "loadfile"]
    return run(tests + arguments, QUIZGEN_CHROMIUM=browser) or lint


def bench(arguments):
    """Measure; the arguments go to the bench, and so does a Chromium where there is one."""
    prepare("test", sys.stdout)
    browser = find_chromium()
    found = {"QUIZGEN_CHROMIUM": browser} if browser else {}
    return run([PYTHON, "-m", "tests.bench"] + arguments, **found)


def hand_on(words):
    """Give the words to quizgen, in the folder where they were typed; its exit code is ours.

    What the set-up has to say goes to stderr, because a program may read quizgen's stdout. Python files in
    that folder must not stand in for packages of ours (-P).
    """
    prepare("run", sys.stderr)
    return run([PYTHON, "-P", "-m", "quizgen"] + words, folder=None)


# -- programs we start ----------------------------------------------------------------------------------


def surroundings(**more):
    """The environment of every program we start."""
    environment = dict(os.environ, PYTHONUTF8="1", NO_MKDOCS_2_WARNING="1", PIP_USER="0")
    for name in ("PYTHONHOME", "PYTHONPATH", "__PYVENV_LAUNCHER__"):
        environment.pop(name, None)  # they would lead our Python to packages of another one
    environment.pop("PYTHONDONTWRITEBYTECODE", None)  # every program of a run would compile all of ours again
    environment.update(more)
    return environment


def run(command, folder=ROOT, **more):
    """Run a program in a folder (None: where we are) until it ends; returns its exit code."""
    child = subprocess.Popen([str(part) for part in command], cwd=folder, env=surroundings(**more))
    try:
        code = child.wait()
    except KeyboardInterrupt:
        wait_a_little(child)  # the terminal has told the program too: let it close in its own way
        raise
    finally:
        end(child)
    return code if code >= 0 else 128 - code


def wait_a_little(child, seconds=10):
    """Wait for a program that is about to end; another Ctrl-C cuts the wait short."""
    try:
        child.wait(seconds)
    except (subprocess.TimeoutExpired, KeyboardInterrupt):
        pass


def end(child):
    """Leave no program behind."""
    if child.poll() is None:
        child.terminate()
        wait_a_little(child)
    if child.poll() is None:
        child.kill()
        child.wait()


def follow(command, out):
    """Run a program and print each of its lines as it comes; returns exit code and all lines."""
    child = subprocess.Popen(
        [str(part) for part in command],
        cwd=ROOT,
        env=surroundings(),
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        encoding="utf-8",
        errors="replace",
    )
    lines = []
    try:
        for line in child.stdout:
            lines.append(line.rstrip())
            say("  " + lines[-1], out)
        return child.wait(), lines
    finally:
        end(child)
        child.stdout.close()


# -- the environment in .venv ---------------------------------------------------------------------------

GROUPS = {"run": ".", "test": ".[test]"}
PROOF = {"bare": ("pip",), "run": ("pip", "mkdocs", "material", "yaml", "quizgen")}
PROOF["test"] = PROOF["run"] + ("pytest", "xdist", "playwright")
"""Modules that must be there; a group without one of them is broken, whatever the marker says."""

NO_NETWORK = re.compile(
    r"NewConnectionError|NameResolutionError|ConnectTimeoutError|ReadTimeoutError|MaxRetryError|ProxyError"
    r"|SSLError|ProtocolError|RemoteDisconnected|connection broken by"
)


def prepare(group, out):
    """Set up .venv for a group, "run" or "test", unless that is done already.

    Raises Stop where a part of Python is missing or the packages cannot be installed.
    """
    wanted = marks(group)
    there = read_marker()
    done = there == wanted or (group == "run" and there == marks("test"))
    if done and sound(group):
        return
    complain_about_missing_parts(out)
    if there is None:
        keep = sound("bare")  # somebody made it by hand: fill it, but take nothing away
    else:
        keep = not done and there[:1] == wanted[:1] and sound("run")
    if not keep:
        make_venv(out)
    elif there is not None:
        MARKER.write_text(UNFINISHED, encoding="utf-8")
    try:
        install(group, out)
    except Stop:
        if keep and there is not None:
            write_marker(there)  # pip gave up before it changed anything
        raise
    write_marker(wanted)


def marks(group):
    """Two hashes: of the ground .venv stands on (Python, folder), and of all that was put into it."""
    ground = digest([sys.implementation.cache_tag, sys.platform, str(ROOT)])
    try:
        wishes = [path.read_text(encoding="utf-8") for path in (ROOT / "pyproject.toml", CONSTRAINTS)]
    except OSError as error:
        raise Stop(f"{error.filename} is missing: fetch the whole repository and start again.") from None
    return [ground, digest([ground, group] + wishes)]


def digest(texts):
    """SHA-256 of texts, as hexadecimal digits; where one text ends and the next begins counts."""
    whole = hashlib.sha256()
    for text in texts:
        content = text.encode("utf-8", "surrogateescape")
        whole.update(b"%d:" % len(content) + content)
    return whole.hexdigest()


def read_marker():
    """The marker's lines, or None where there is no marker. A damaged one equals no marks."""
    if not MARKER.exists():
        return None
    try:
        return MARKER.read_text(encoding="utf-8").split()
    except (OSError, UnicodeDecodeError):
        return []


def write_marker(marks):
    """Note what was put into .venv."""
    MARKER.write_text("\n".join(marks) + "\n", encoding="utf-8")


def sound(group):
    """Whether the Python in .venv starts, is of our version, and finds what the group needs."""
    words = [str(PYTHON), "-I", "-c", ASK, sys.implementation.cache_tag] + list(PROOF[group])
    try:
        return subprocess.call(words, **SILENT) == 0
    except OSError:
        return False


ASK = """
import importlib.util, sys
version, modules = sys.argv[1], sys.argv[2:]
missing = any(importlib.util.find_spec(name) is None for name in modules)
sys.exit(missing or version != sys.implementation.cache_tag)
"""
SILENT = {"stdin": subprocess.DEVNULL, "stdout": subprocess.DEVNULL, "stderr": subprocess.DEVNULL}


def missing_parts():
    """Parts of Python that the set-up needs and that some systems pack apart."""
    missing = []
    for name in ("venv", "ensurepip", "_ssl"):
        found = importlib.util.find_spec(name)
        if found is None or found.origin is None:  # an empty folder, left behind, has no origin
            missing.append(name)
    return missing


def complain_about_missing_parts(out):
    """Raise Stop with the command to type; in CI on Debian, install the part instead."""
    missing = missing_parts()
    if not missing:
        return
    package = "python%d.%d-venv" % sys.version_info[:2]
    debian = shutil.which("apt-get") and "_ssl" not in missing
    if debian and in_ci() and install_from_debian(package, out):
        importlib.invalidate_caches()
        if not missing_parts():
            return
    names = " and ".join(missing)
    if debian:
        raise Stop(
            f"This Python lacks {names}, which Debian and its kin pack apart. Type\n\n"
            f"    sudo apt-get install {package}\n\nand start again."
        )
    raise Stop(f"This Python lacks {names}: install a complete Python {NEEDED} or newer and start again.")


def make_venv(out):
    """Make .venv anew with the running Python; whatever stood there goes."""
    if os.path.lexists(VENV):
        say("The folder .venv is unfinished, was moved or belongs to another Python: it is made again.", out)
        if os.path.lexists(PYTHON) and not VENV.is_symlink():
            remove(PYTHON)  # first, so that a removal cut short leaves nothing that looks whole
        remove(VENV)
    say("Making a Python environment in the folder .venv", out)
    VENV.mkdir()
    MARKER.write_text(UNFINISHED, encoding="utf-8")
    # From within a .venv, the Python it was made with: the one inside has just been removed.
    python = getattr(sys, "_base_executable", None) or sys.executable
    code, lines = follow([python, "-m", "venv", VENV], out)
    if code:
        last = lines[-1] if lines else f"exit code {code}"
        raise Stop(f"Python could not make the folder .venv: {last}")


def remove(path):
    """Remove a folder, a file or a link; of a link only the link."""
    try:
        if path.is_dir() and not path.is_symlink():
            shutil.rmtree(path)
        else:
            path.unlink()
    except OSError as error:
        raise Stop(f"{error.filename} cannot be removed: {error.strerror}. Close what uses it.") from None


def install(group, out):
    """Put our package and what it needs into .venv, in the versions of .ci/constraints.txt."""
    say("Installing what the course needs (a minute or two)", out)
    pip = [PYTHON, "-m", "pip", "install", "--no-input", "--progress-bar=off", "--disable-pip-version-check"]
    code, lines = follow(pip + ["--constraint", CONSTRAINTS, "--editable", GROUPS[group]], out)
    if code == 0:
        return
    if any(NO_NETWORK.search(line) for line in lines):
        raise Stop(
            "The packages could not be fetched: no package index answered. Connect this computer to the "
            "network and start again; once set up, no network is needed."
        )
    raise Stop("pip could not install the packages; its lines above say why. The next start begins again.")


def in_ci():
    """Whether nobody is there to be asked."""
    return os.environ.get("CI", "").lower() not in ("", "0", "false")


def install_from_debian(package, out):
    """Install a package of Debian, as root or through sudo; whether that went well."""
    apt = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get"]
    if os.geteuid() != 0:
        if not shutil.which("sudo"):
            return False
        apt.insert(0, "sudo")
    say(f"Installing {package} from Debian's packages", out)
    follow(apt + ["update", "-q"], out)  # its failure shows in the next command, or does not matter
    code, _ = follow(apt + ["install", "-q", "-y", "--no-install-recommends", package], out)
    return code == 0


# -- a Chromium for the tests of the pages --------------------------------------------------------------

BROWSERS = (
    "chromium",
    "chromium-browser",
    "google-chrome",
    "google-chrome-stable",
    "chrome",
    "msedge",
)


def chromium(out):
    """Path of a Chromium that starts; on Debian one is installed, after asking.

    Raises Stop where there is none: the tests of the pages are never left out in silence.
    """
    named = os.environ.get("QUIZGEN_CHROMIUM")
    if named:
        found = shutil.which(named)
        if not found or not starts(found):
            raise Stop(f'QUIZGEN_CHROMIUM names "{named}", which does not start: correct or unset it.')
        return found
    found = find_chromium()
    if found is None and shutil.which("apt-get") and may_install("chromium"):
        if not install_from_debian("chromium", out):
            raise Stop("Chromium could not be installed. Type: sudo apt-get install chromium")
        found = find_chromium()
    if found is None:
        raise Stop(
            "The tests of the pages need Chromium or a browser made from it, and none was found. Install one "
            "(on Debian: sudo apt-get install chromium), or name its program in QUIZGEN_CHROMIUM."
        )
    return found


def find_chromium():
    """Path of the first Chromium that is found and starts, or None."""
    on_path = [shutil.which(name) for name in BROWSERS]
    for path in on_path + [str(place) for place in usual_places() if place.is_file()]:
        if path and starts(path):
            return path
    return None


def usual_places():
    """Where macOS and Windows keep browsers, which are not on PATH there."""
    if sys.platform == "darwin":
        names = ("Chromium", "Google Chrome", "Microsoft Edge")
        homes = (Path("/Applications"), Path.home() / "Applications")
        return [home / f"{name}.app" / "Contents" / "MacOS" / name for home in homes for name in names]
    if os.name == "nt":
        homes = [os.environ.get(name) for name in ("PROGRAMFILES", "PROGRAMFILES(X86)", "LOCALAPPDATA")]
        tails = ("Chromium/Application/chrome.exe", "Google/Chrome/Application/chrome.exe")
        tails += ("Microsoft/Edge/Application/msedge.exe",)
        return [Path(home) / tail for home in homes if home for tail in tails]
    return []


def starts(path):
    """Whether a browser tells its version: some systems ship a stand-in that only asks to be replaced."""
    if os.name == "nt":
        return True  # there the question would open a window
    try:
        return subprocess.call([path, "--version"], timeout=60, **SILENT) == 0
    except (OSError, subprocess.TimeoutExpired):
        return False


def may_install(package):
    """Ask the person at the keyboard; nobody there means no, CI means yes."""
    if in_ci():
        return True
    if not sys.stdin or not sys.stdin.isatty():
        return False
    answer = input(f"The tests need {package}. Install it from Debian's packages now? [y/N] ")
    return answer.strip().lower() in ("y", "yes")


# -- lending the built course to the shop's network -----------------------------------------------------


def lend():
    """Serve the built site, read-only, to everybody on this computer's network until Ctrl-C."""
    if not is_built():
        code = build()
        if code:
            return code
    with open_lender(SITE, "0.0.0.0", PORTS) as server:
        say(what_is_lent(own_addresses(), server.server_port), sys.stdout)
        try:
            server.serve_forever()
        except KeyboardInterrupt:
            say("\nThe course is no longer lent.", sys.stdout)
    return 0


def is_built():
    """Whether site/ was built without a fault from the sources as they are now."""
    try:
        return (SITE / "index.html").is_file() and BUILT.read_text(encoding="utf-8") == sources_state(ROOT)
    except (OSError, UnicodeDecodeError):
        return False


def sources_state(root):
    """A hash over name, size and time of change of every file that the site is made from."""
    files = [root / name for name in ("mkdocs.yml", "pyproject.toml", ".ci/constraints.txt")]
    for name in ("course", "overrides", "quizgen"):
        files += [path for path in (root / name).rglob("*") if "__pycache__" not in path.parts]
    facts = []
    for path in sorted(files):
        if path.is_file():
            stat = path.stat()
            facts.append(f"{path.relative_to(root).as_posix()} {stat.st_size} {stat.st_mtime_ns}")
    return digest(facts)


def what_is_lent(addresses, port):
    """What the person who lends the course needs to know."""
    if addresses:
        head = "The course is lent to everybody on this network. On a phone or another PC open\n\n"
    else:
        head = "This computer is on no network: the course can be read on it alone.\n\n"
    places = "\n".join(f"    http://{address}:{port}/" for address in addresses or ["127.0.0.1"])
    return (
        f"{head}{places}\n\n"
        "Whoever opens it can read the pages of the course, the answers of its practice questions included.\n"
        "Nothing else is lent: no file of the question bank, no paper, no record, no list of folders.\n"
        "Nobody can change anything. If a phone cannot open it, look at this computer's firewall first.\n"
        "Ctrl-C ends it."
    )


def own_addresses():
    """This computer's IPv4 addresses on its networks, sorted.

    Connecting a UDP socket sends nothing: it only asks which address the way to a place would start from.
    """
    found = set()
    for place in ("192.0.2.1", "10.0.0.1", "172.16.0.1", "192.168.0.1"):
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as asked:
            try:
                asked.connect((place, 9))
                found.add(asked.getsockname()[0])
            except OSError:
                continue
    return sorted(address for address in found if not address.startswith(("127.", "0.")))


def free_port(host, ports):
    """The first port of ports that nobody listens on. Raises Stop when all are taken."""
    for port in ports:
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as caller:
            if caller.connect_ex((host, port)) == 0:
                continue  # some systems would let two programs share it
        with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as holder:
            if os.name != "nt":
                holder.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # a port just left is free
            try:
                holder.bind((host, port))
            except OSError:
                continue
        return port
    raise Stop(all_taken(ports))


def all_taken(ports):
    """The sentence for no free port."""
    return f"The ports {ports[0]} to {ports[-1]} are all taken: end a program that uses one of them."


def open_lender(site, host, ports):
    """A server of site on the first port of ports that is free. Raises Stop when all are taken."""
    for port in ports:
        try:
            return Lender(site, (host, port))
        except OSError:
            continue
    raise Stop(all_taken(ports))


class Lender(socketserver.ThreadingMixIn, http.server.HTTPServer):
    """Serves the files under one folder to whoever asks."""

    daemon_threads = True
    allow_reuse_address = os.name != "nt"  # on Windows it would take the port from another program
    allow_reuse_port = False

    def __init__(self, site, address):
        self.site = os.path.realpath(site)
        super().__init__(address, Reader)

    def server_bind(self):
        """Bind without the look-up of this computer's name, which can take seconds in a shop."""
        socketserver.TCPServer.server_bind(self)
        self.server_name, self.server_port = self.server_address[:2]

    def handle_error(self, request, client_address):
        """A reader that hangs up is no news."""


class Reader(http.server.SimpleHTTPRequestHandler):
    """Gives out a file below the site; anything else is not found."""

    timeout = 30
    server_version = "quizgen"
    sys_version = ""
    # Windows looks types up in its registry, where other programs leave wrong ones.
    extensions_map = {
        "": "application/octet-stream",
        ".css": "text/css; charset=utf-8",
        ".csv": "text/csv; charset=utf-8",
        ".gz": "application/gzip",
        ".html": "text/html; charset=utf-8",
        ".ico": "image/x-icon",
        ".jpg": "image/jpeg",
        ".js": "text/javascript; charset=utf-8",
        ".json": "application/json",
        ".pdf": "application/pdf",
        ".png": "image/png",
        ".svg": "image/svg+xml",
        ".txt": "text/plain; charset=utf-8",
        ".webp": "image/webp",
        ".woff2": "font/woff2",
        ".xml": "application/xml",
    }

    def __init__(self, request, client_address, server):
        super().__init__(request, client_address, server, directory=server.site)

    def send_head(self):
        """Refuse what lies outside the site, also behind a link, before any file is touched."""
        try:
            path = os.path.realpath(self.translate_path(self.path))
            inside = os.path.commonpath([self.server.site, path]) == self.server.site
        except ValueError:  # a NUL in the name, or another drive
            inside = False
        if not inside:
            self.send_error(404)
            return None
        return super().send_head()

    def list_directory(self, path):
        """No lists of folders."""
        self.send_error(404)

    def end_headers(self):
        """A page that was built again must not be hidden by an old copy."""
        self.send_header("Cache-Control", "no-cache")
        self.send_header("X-Content-Type-Options", "nosniff")
        super().end_headers()

    def log_message(self, format, *args):
        """Nobody writes down who reads what."""


def ended_from_outside(number, frame):
    """Leave by the ordinary way, so that the programs we started are ended too."""
    sys.exit(128 + number)


if __name__ == "__main__":
    signal.signal(signal.SIGTERM, ended_from_outside)
    sys.exit(main(sys.argv[1:]))

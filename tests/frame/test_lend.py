"""The lent course: what is in site/ and nothing else. These tests lend it to this computer only."""

import http.client
import mimetypes
import socket
import threading

import pytest


@pytest.fixture
def site(start):
    """A small built site, with something secret beside it."""
    files = {
        "site/index.html": "<h1>Course</h1>",
        "site/filter/index.html": "<h1>Filter</h1>",
        "site/assets/practice.js": "1",
        "site/assets/look.css": "a{}",
        "secret.txt": "SECRET",
        "course/bank/supply.yml": "SECRET",
        "site-of-another/index.html": "SECRET",
    }
    for name, text in files.items():
        path = start.ROOT / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return start.SITE


@pytest.fixture
def ask(start, site):
    """Sends one request with the path as it is written here; gives the answer and its body."""
    with start.open_lender(site, "127.0.0.1", [0]) as server:
        thread = threading.Thread(target=server.serve_forever, kwargs={"poll_interval": 0.01})
        thread.start()

        def request(path, method="GET"):
            connection = http.client.HTTPConnection(*server.server_address, timeout=5)
            connection.putrequest(method, path, skip_host=True)
            connection.endheaders()
            answer = connection.getresponse()
            body = answer.read().decode("utf-8", "replace")
            connection.close()
            return answer, body

        yield request
        server.shutdown()
        thread.join()


@pytest.mark.parametrize(
    ("path", "kind", "text"),
    [
        ("/", "text/html; charset=utf-8", "<h1>Course</h1>"),
        ("/filter/", "text/html; charset=utf-8", "<h1>Filter</h1>"),
        ("/filter/index.html?a=1", "text/html; charset=utf-8", "<h1>Filter</h1>"),
        ("/assets/practice.js", "text/javascript; charset=utf-8", "1"),
        ("/assets/look.css", "text/css; charset=utf-8", "a{}"),
    ],
)
def test_pages_are_read(ask, monkeypatch, path, kind, text):
    """With the right type even where the system's own table is wrong, as other programs can make it."""
    monkeypatch.setattr(mimetypes, "guess_type", lambda *args, **more: ("text/plain", None))
    answer, body = ask(path)
    assert (answer.status, body) == (200, text)
    assert answer.headers["Content-Type"] == kind
    assert answer.headers["X-Content-Type-Options"] == "nosniff"


@pytest.mark.parametrize(
    "path",
    [
        "/../secret.txt",
        "/%2e%2e/secret.txt",
        "/..%2fsecret.txt",
        "/..%5csecret.txt",
        "/assets/../../secret.txt",
        "/assets/%2e%2e/%2e%2e/secret.txt",
        "/....//secret.txt",
        "//secret.txt",
        "/../site-of-another/index.html",
        "/../course/bank/supply.yml",
        "/index.html%00.txt",
        "/%ff%fe",
        "/index.html/",
        "http://example.org/../secret.txt",
    ],
)
def test_nothing_beside_the_site_is_read(ask, path):
    answer, body = ask(path)
    assert answer.status == 404
    assert "SECRET" not in body


def test_a_link_that_leads_out_is_not_followed(ask, site):
    (site / "out").symlink_to(site.parent)
    (site / "out.txt").symlink_to(site.parent / "secret.txt")
    assert [ask(path)[0].status for path in ("/out/secret.txt", "/out/", "/out.txt")] == [404, 404, 404]


def test_no_folder_is_listed(ask):
    answer, body = ask("/assets/")
    assert answer.status == 404
    assert "practice.js" not in body


@pytest.mark.parametrize("path", ["/filter", "//filter"])
def test_a_folder_leads_to_its_page_on_the_same_server(ask, path):
    answer, _ = ask(path)
    assert (answer.status, answer.headers["Location"]) == (301, "/filter/")


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PATCH", "OPTIONS"])
def test_nothing_can_be_changed(ask, method):
    assert ask("/index.html", method)[0].status == 501
    assert ask("/index.html")[1] == "<h1>Course</h1>"


def test_a_reader_learns_nothing_about_this_computer(ask):
    server = ask("/")[0].headers["Server"]
    assert server.strip() == "quizgen"


def test_a_port_that_is_taken_is_passed_over(start, site):
    with start.open_lender(site, "127.0.0.1", [0]) as first:
        taken = first.server_port
        with start.open_lender(site, "127.0.0.1", [taken, 0]) as second:
            assert second.server_port != taken
        with pytest.raises(start.Stop, match=f"ports {taken} to {taken} are all taken"):
            start.open_lender(site, "127.0.0.1", [taken])
        with pytest.raises(start.Stop, match="all taken"):
            start.free_port("127.0.0.1", [taken])
        port = start.free_port("127.0.0.1", range(taken, min(taken + 50, 65536)))
        assert port > taken


def test_it_says_what_is_lent_and_where(start):
    text = start.what_is_lent(["192.0.2.7", "198.51.100.3"], 8001)
    assert "http://192.0.2.7:8001/" in text
    assert "http://198.51.100.3:8001/" in text
    for words in (
        "everybody on this network",
        "answers of its practice questions",
        "no file of the question bank",
    ):
        assert words in text


def test_without_a_network_it_says_so(start, monkeypatch):
    class Unplugged(socket.socket):
        def connect(self, address):
            raise OSError("Network is unreachable")

    monkeypatch.setattr(socket, "socket", Unplugged)
    assert start.own_addresses() == []
    assert "http://127.0.0.1:8000/" in start.what_is_lent([], 8000)
    assert "on no network" in start.what_is_lent([], 8000)


def test_the_way_to_two_networks_gives_both_addresses_and_never_loopback(start, monkeypatch):
    ways = {
        "10.0.0.1": "10.0.0.5",
        "192.168.0.1": "192.168.0.9",
        "192.0.2.1": "10.0.0.5",
        "172.16.0.1": "127.0.0.1",
    }

    class Asked(socket.socket):
        def connect(self, address):
            self.way = ways[address[0]]

        def getsockname(self):
            return self.way, 9

    monkeypatch.setattr(socket, "socket", Asked)
    assert start.own_addresses() == ["10.0.0.5", "192.168.0.9"]


def test_the_site_is_built_only_when_its_sources_changed(start, site, monkeypatch):
    monkeypatch.setattr(start, "prepare", lambda group, out: None)
    monkeypatch.setattr(start, "run", lambda command: 0)
    assert not start.is_built()
    assert start.build() == 0
    assert start.is_built()

    cache = start.ROOT / "quizgen" / "__pycache__"
    cache.mkdir(parents=True)
    (cache / "cli.pyc").write_bytes(b"")
    assert start.is_built(), "what Python leaves behind is no source"

    (start.ROOT / "course" / "bank" / "supply.yml").write_text("changed", encoding="utf-8")
    assert not start.is_built()
    start.build()
    (start.ROOT / "course" / "bank" / "supply.yml").unlink()
    assert not start.is_built(), "a file less is a change too"


def test_a_site_whose_build_failed_is_not_lent(start, site, monkeypatch):
    monkeypatch.setattr(start, "prepare", lambda group, out: None)
    monkeypatch.setattr(start, "run", lambda command: 0)
    start.build()
    monkeypatch.setattr(start, "run", lambda command: 1)
    assert start.build() == 1
    assert not start.is_built()
    monkeypatch.setattr(start, "open_lender", lambda *args: pytest.fail("lent in spite of it"))
    assert start.lend() == 1

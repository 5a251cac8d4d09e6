"""A folder on a network share is told as one; a disk of this machine is not."""

import pytest

from quizgen.commands import register_write
from quizgen.records import network

MOUNTS = """\
/dev/sda1 / ext4 rw,relatime 0 0
//server/shop /mnt/shop cifs rw 0 0
server:/depot /mnt/the\\040depot nfs4 rw 0 0
/dev/sdb1 /mnt/shop/stick vfat rw 0 0
broken line
"""


@pytest.fixture(autouse=True)
def mounts(tmp_path, monkeypatch):
    (tmp_path / "mounts").write_text(MOUNTS, encoding="utf-8")
    monkeypatch.setattr(network, "MOUNTS", tmp_path / "mounts")
    monkeypatch.setattr(network.os.path, "realpath", str)
    monkeypatch.setattr(network.sys, "platform", "linux")


@pytest.mark.parametrize(
    ("folder", "kind"),
    [
        ("/home/trainer/records", ""),
        ("/mnt/shop/records", "cifs"),
        ("/mnt/shop", "cifs"),
        ("/mnt/shopping/records", ""),
        ("/mnt/the depot/records", "nfs4"),
        ("/mnt/shop/stick/records", ""),
    ],
)
def test_the_mount_that_holds_the_folder_decides(folder, kind):
    assert network.network_kind(folder) == kind


def test_where_it_cannot_be_told_nothing_is_said(tmp_path, monkeypatch):
    monkeypatch.setattr(network, "MOUNTS", tmp_path / "nothing")
    assert network.network_kind("/mnt/shop/records") == ""


def test_the_trainer_is_warned_and_told_what_to_do():
    (warning,) = register_write._warned("/mnt/shop/records")
    assert "network share (cifs)" in warning and "Keep it on one computer" in warning
